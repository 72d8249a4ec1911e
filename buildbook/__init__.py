"""Turns one yacht hull's folder of quality records into a web site, a PDF and JSON."""

__version__ = "0.1.0"
