"""Prices and tariffs in; figures and their sentences out."""
