"""Words that more than one face still says: what a range means, what an estimate is, and how notes are told apart."""

from __future__ import annotations

CAUTION, ASSUMED = "Caution: ", "Assumed for you: "
RANGE_MEANS = "Likely range: eight of ten samples lie in it (10th to 90th percentile of {lanes})."
ESTIMATE = "Estimates under the stated assumptions, not a guarantee."


def split_notes(notes: tuple[str, ...]) -> tuple[list[str], list[str], list[str]]:
    """Tell the notes of a case or of a year apart: cautions, what was assumed, and how it was worked out."""
    cautions = [note for note in notes if note.startswith(CAUTION)]
    assumed = [note for note in notes if note.startswith(ASSUMED)]
    return cautions, assumed, [note for note in notes if not note.startswith((CAUTION, ASSUMED))]
