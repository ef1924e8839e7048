"""Simulated years in; the words, JSON objects, terminal tables and pages that say them, out."""
