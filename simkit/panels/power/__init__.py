"""Panels and a battery to try on a home in; the year that they make out."""
