"""Tests of the kernel: lanes, packing, threads, and the cache of compiled code."""
