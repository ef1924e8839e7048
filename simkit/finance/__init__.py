"""A simulated year, ledgers and terms of money in; what options cost and are worth over the years, out."""
