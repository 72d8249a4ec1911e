"""Formulas of the chapter on shafting and steering gear: plain numbers in and out."""
