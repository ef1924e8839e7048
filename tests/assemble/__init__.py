"""Tests of what joins a case to the kernel."""
