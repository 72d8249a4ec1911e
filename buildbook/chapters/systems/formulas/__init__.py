"""Formulas of the systems: plain numbers in and out."""
