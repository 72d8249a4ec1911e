"""Formulas of the laminate chapter: plain numbers in, plain numbers or frozen values out."""
