"""A figure that was shown in; the chain from inputs through the laws to it, and what moves it most, out."""
