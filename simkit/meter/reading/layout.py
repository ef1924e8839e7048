"""The forms of what is known of a file of readings: guesses, columns, the layout, and the readings by row."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from simkit.arrays import Dates, Floats, Ints


@dataclass(frozen=True)
class Guess:
    """One thing that was guessed: what, the answer, how sure (0 to 1) and why."""

    what: str
    answer: str
    confidence: float
    why: str


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
