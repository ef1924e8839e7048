"""One exercise: what is asked in; whether an answer is right, out."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.notation import Notation

PARTS = {
    "A": "Heat from electricity", "B": "What a kelvin saves", "C": "One price, or a cheap night",
    "D": "Cooler at night",
}  # fmt: skip
GUESSES = {
    "A": "How many kilowatt-hours of heat does a heat pump give for each of electricity, on its worst day?",
    "B": "By how many per cent does its electricity fall for each kelvin of cooler water?",
    "C": "Which costs less in a year, one price or a cheap night?",
    "D": "Rooms cooler at night: how much does that save in a year?",
}
FIRST_GUESS = "What does a year of electricity cost in this home, and which setting changes that most?"
HUNT = "E"
LEVELS = (1, 2, 3)
MONEY = "€"


@dataclass(frozen=True)
class Exercise:
    """A question with one number for an answer.

    Attributes
    ----------
    key
        Part and level, such as ``B2``.
    question
        As the pupil reads it, with the numbers of the pupil's own home.
    unit
        Unit of the answer; empty for a plain number.
    value
        The answer, unrounded, from the simulated years.
    tolerance
        How far off an answer may be: it covers rounding on the way, and no slip that is usual.
    digits
        Decimals with which the answer is written.
    hint
        What helps whose answer is not right.
    because
        What there is to learn from it, said once it is right, and in the key.
    slips
        Answers that usual slips give, each with what is said of it.
    """

    key: str
    question: str
    unit: str
    value: float
    tolerance: float
    digits: int
    hint: str
    because: str
    slips: tuple[tuple[float, str], ...] = ()

    @property
    def level(self) -> int:
        """1, 2 or 3."""
        return int(self.key[1:])

    def right(self, given: float) -> bool:
        """Whether an answer is right."""
        return abs(given - self.value) <= self.tolerance

    def worded(self, value: float, notation: Notation) -> str:
        """An answer with its unit."""
        return (
            notation.money(value)
            if self.unit == MONEY
            else f"{notation.number(value, self.digits)} {self.unit}".strip()
        )

    def helped(self, given: float) -> str:
        """What helps whoever answered so: of a usual slip what it was, else the hint."""
        off = {abs(given - value): said for value, said in self.slips}
        return off[min(off)] if off and min(off) <= self.tolerance else self.hint
