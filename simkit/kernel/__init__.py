"""Homes as lanes in, a year's totals, end states and time series out (NumPy and numba only)."""
