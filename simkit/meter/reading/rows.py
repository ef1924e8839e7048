"""The form of readings by row of their file, before they are cleaned."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from simkit.arrays import Dates, Floats, Ints
from simkit.meter.reading.layout import Layout


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
    unread
        Rows of the table that are no reading.
    """

    at: Dates
    values: Floats
    step_s: int
    cell: Ints
    layout: Layout
    notes: tuple[str, ...] = ()
    days: tuple[tuple[str, int], ...] = ()
    unread: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    ends: Dates | None = None
