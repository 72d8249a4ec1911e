"""Bytes to rows, each with its place in the folder. Nothing here knows of yachts."""
