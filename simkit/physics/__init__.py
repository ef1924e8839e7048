"""What nature does: plain scalar functions on floats (NumPy and numba only), composed into one step of one home."""
