"""Readings and a home in; the fitted home with its posterior, and its projected year, out."""
