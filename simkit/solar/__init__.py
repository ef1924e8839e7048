"""Places, times and panels in; where the sun stands, what it shines and what panels make of it out."""
