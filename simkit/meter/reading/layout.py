"""Candidates and what speaks for each in; what is known of a file of readings, and how sure it is, out.

Every open question about a file is settled by `guess_of`: its clock, the part of the interval that its stamps name, the
unit of a column. A candidate starts with how often files are so, and each piece of evidence multiplies that by how
likely it would be, were the candidate true.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import prod
from typing import TypeVar

import numpy as np

from simkit.arrays import Dates, Floats, Ints
from simkit.notation import PLAIN

Candidate = TypeVar("Candidate", bound=Hashable)
Evidence = tuple[Mapping[Candidate, float], str]  # likelihood by candidate, and why in words

# own: mean power of a home's meter [kW], its median and how far homes lie apart (natural logarithm)
USUAL_KW = {
    "import_kwh": 0.45, "export_kwh": 0.3, "heat_pump_kwh": 0.45, "heat_kwh": 1.2, "fuel_kwh": 1.3,
}  # fmt: skip
APART = 1.1
ASKS_BELOW = 0.7  # a statement that is less sure than this is a question


@dataclass(frozen=True)
class Guess:
    """One thing that was guessed.

    Attributes
    ----------
    what, answer
        The question, and what it was taken to be.
    confidence, why
        How sure, 0 to 1: of what is said with 0.9, nine in ten are right. Why it is that.
    key
        The key of a mapping that answers it; "" where an answer would not hold for the next file.
    choices
        Every answer that is possible, the likeliest first: as a mapping writes it, in words, how likely.
    """

    what: str
    answer: str
    confidence: float
    why: str
    key: str = ""
    choices: tuple[tuple[str, str, float], ...] = ()

    @property
    def asks(self) -> bool:
        """Whether it is a question rather than an answer."""
        return self.confidence < ASKS_BELOW and bool(self.choices)

    def __str__(self) -> str:
        """The question with its choices, and how each is answered on the command line or in a mapping."""
        listed = [f"{words} ({PLAIN.share(sure)})" if sure else words for _, words, sure in self.choices]
        answers = [f"{self.key}={answer}" for answer, _, _ in self.choices]
        quoted = [f'--say "{answer}"' if " " in answer else f"--say {answer}" for answer in answers]
        return f"{self.what}: {' or '.join(listed)}? Answer with {' or '.join(quoted)}"


def guess_of(
    what: str,
    key: str,
    prior: Mapping[Candidate, float],
    evidence: Sequence[Evidence[Candidate]],
    *,
    part: Callable[[Candidate], str],
    words: Callable[[str], str],
    otherwise: str,
) -> tuple[str, Guess]:
    """One question answered from candidates that may answer several.

    Parameters
    ----------
    what, key
        The question in words, and the key of a mapping that answers it.
    prior
        How often files are so, by candidate.
    evidence
        Likelihoods: the piece that speaks most for the answer is its reason.
    part
        From a candidate to its answer to this question, as a mapping writes it.
    words
        The same in words.
    otherwise
        The reason where no evidence tells the answers apart.
    """
    found = {one: held * prod(likelihood[one] for likelihood, _ in evidence) for one, held in prior.items()}
    sums: dict[str, float] = {}
    for one, held in found.items():
        sums[part(one)] = sums.get(part(one), 0.0) + held / sum(found.values())
    ranked = sorted(sums, key=lambda answer: -sums[answer])
    best, why, strongest = ranked[0], otherwise, 1.5
    for likelihood, said in evidence:
        for_it = [held for one, held in likelihood.items() if part(one) == best]
        against = [held for one, held in likelihood.items() if part(one) != best]
        strength = max(for_it) / max(max(against, default=np.inf), 1e-12)
        if strength > strongest:
            why, strongest = said, strength
    choices = tuple((answer, words(answer), sums[answer]) for answer in ranked if sums[answer] > 0.005)
    return best, Guess(what, words(best), min(sums[best], 0.99), why, key, choices)


def likely_size(quantity: str, kw: float) -> float:
    """How likely a home's meter shows so much mean power [kW]; nothing is impossible."""
    apart = np.log(max(kw, 1e-9) / USUAL_KW[quantity]) / APART
    return float(np.exp(-0.5 * apart**2)) + 1e-4


@dataclass(frozen=True)
class Column:
    """A column of values: its position and head, the quantity in our names, its unit, interval values or a register."""

    position: int
    head: str
    quantity: str
    unit: str
    register: bool


@dataclass(frozen=True)
class Layout:
    """What a file's columns mean.

    Attributes
    ----------
    shape
        ``rows`` (one interval a row), ``wide`` (one day a row) or ``numbered`` (a date and the number of the interval).
    stamp, time, end, number, unit, flag, meter, direction
        Positions of those columns; None where the file has none.
    left
        Columns of numbers that are not read, each with the reason; "" where nothing says what it holds.
    places
        Positions of the intervals of a day, in order, for ``wide``.
    """

    shape: str
    decimal: str
    order: str
    stamp: int
    columns: tuple[Column, ...]
    time: int | None = None
    end: int | None = None
    number: int | None = None
    unit: int | None = None
    flag: int | None = None
    meter: int | None = None
    direction: int | None = None
    left: tuple[tuple[str, str], ...] = ()
    places: tuple[int, ...] = ()
    label: str = ""
    clock: str = ""
    guesses: tuple[Guess, ...] = field(default=(), compare=False)

    def settled(self, clock: str, label: str, *guesses: Guess) -> Layout:
        """The layout with the clock of its stamps and the part of the interval that they name."""
        return replace(self, clock=clock, label=label, guesses=(*self.guesses, *guesses))


@dataclass(frozen=True, eq=False)
class Rows:
    """Readings by row of the file, before they are cleaned.

    Attributes
    ----------
    at
        Start of the interval, or the instant of a register's reading, in UTC, (n,).
    values
        By column of the layout, in its own unit, (n, columns).
    step_s
        Usual length of an interval [s]; 0 where rows are days or odd dates.
    cell
        Row of the table each comes from, (n,).
    layout
        With clock and label settled.
    notes, days
        Sentences; civil days of a clock change with the number of rows found on each.
    ends
        Ends of spans in UTC where each row says its own, (n,); None where they follow from the starts.
    """

    at: Dates
    values: Floats
    step_s: int
    cell: Ints
    layout: Layout
    notes: tuple[str, ...] = ()
    days: tuple[tuple[str, int], ...] = ()
    ends: Dates | None = None
