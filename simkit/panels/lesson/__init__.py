"""A pupil's number in; boxes for guesses and answers that say at once what they hold, out."""
