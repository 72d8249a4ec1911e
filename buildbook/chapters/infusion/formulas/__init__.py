"""Formulas of the infusion chapter: plain numbers in and out."""
