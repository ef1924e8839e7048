"""Simulated homes and prices in; what to do next out."""
