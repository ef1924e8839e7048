"""Energies or test points in; seasonal performance by boundary, by standard and beside field trials out."""
