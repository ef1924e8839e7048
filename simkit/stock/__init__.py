"""A table of homes, of any length: each simulated under each tariff, option and weather; files of results."""
