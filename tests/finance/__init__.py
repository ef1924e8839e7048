"""Tests of money over the years."""
