"""Formulas of the systems and of the tests with the whole boat."""
