"""What is only known about in; samples of a home and of its weather, and the ranges they make, out."""
