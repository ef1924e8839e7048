"""A file of meter readings in; what was read, the fitted home and its year out."""
