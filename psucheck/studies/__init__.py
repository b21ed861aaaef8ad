"""Whole questions: a supply checked, as found and as proposed."""
