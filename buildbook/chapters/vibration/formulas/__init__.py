"""Weightings, spectra, orders and levels."""
