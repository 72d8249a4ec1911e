"""Formulas of the propeller chapter: plain numbers in and out."""
