"""What was found in a file of readings, as data: counts of what was left out, and months held against bills."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.meter.reading.columns import unparted
from simkit.meter.reading.layout import Rows
from simkit.readers.found import Gap
from simkit.readers.table import MISSING, Table, numbers_of

NEAR = 0.02


@dataclass(frozen=True)
class BillCheck:
    """A month held against a bill: what was read and billed [kWh], and the share of the month with readings."""

    month: str
    read_kwh: float
    billed_kwh: float
    covered: float


@dataclass(frozen=True)
class ImportReport:
    """What was found.

    Attributes
    ----------
    file
        Name of the file.
    rows, used
        Rows of data in it, and readings taken from them.
    first, last
        Start of the first and end of the last interval, UTC.
    step_minutes
        Length of an interval [min]; 0 for spans of odd length.
    totals_kwh
        Sum of each quantity over all its readings [kWh].
    gaps
        Runs of intervals without a reading.
    duplicates, contradictions
        Intervals that come twice with the same value (one is kept), and with different values (none is kept).
    spikes, negatives
        Values above what a home's connection can carry, and values below zero: both left out.
    estimated
        Intervals that the file itself marks as estimated; they are kept and marked.
    rolled, swapped
        Spans in which a register rolled over (mended), and in which the meter was swapped (a gap).
    change_days
        Days on which the wall clock changes, with the number of rows found.
    unread
        Rows that are no reading, by what stands in them.
    against_bill
        Months held against a bill.
    notes, suspicious
        Sentences on what was done, and on what is odd but possible.
    """

    file: str
    rows: int
    used: int
    first: pd.Timestamp
    last: pd.Timestamp
    step_minutes: float
    totals_kwh: Mapping[str, float]
    gaps: tuple[Gap, ...] = ()
    duplicates: int = 0
    contradictions: int = 0
    spikes: int = 0
    negatives: int = 0
    estimated: int = 0
    rolled: int = 0
    swapped: int = 0
    change_days: tuple[tuple[str, int], ...] = ()
    unread: Mapping[str, int] | None = None
    against_bill: tuple[BillCheck, ...] = ()
    notes: tuple[str, ...] = ()
    suspicious: tuple[str, ...] = ()

    @property
    def days(self) -> float:
        """Length of the span [d]."""
        return float((self.last - self.first) / pd.Timedelta(days=1))

    @property
    def is_good(self) -> bool:
        """Whether nothing had to be left out and nothing looks odd."""
        lost = self.contradictions + self.spikes + self.negatives + self.swapped + sum(h.steps for h in self.gaps)
        lost += sum(count for what, count in (self.unread or {}).items() if what != "totals")
        return not lost and not self.suspicious


def said_of_columns(table: Table, rows: Rows) -> tuple[list[str], list[str]]:
    """What to say of columns added up or left aside; and, as odd, of columns and cells that nothing explains."""
    layout, notes, odd = rows.layout, list[str](), list[str]()
    notes += [
        f"{len(heads)} columns are added up as {name} ({', '.join(heads)}): where they are two homes, or one "
        "holds the other, name the right one in a mapping."
        for name, heads in unparted(layout.columns).items()
    ]
    if aside := [f'"{head}" ({why})' for head, why in layout.left if why]:
        notes.append(f"Columns that are not read: {'; '.join(aside)}.")
    odd += [
        f'column "{head}" holds numbers, and nothing says of what: it is not read; name it in a mapping if it counts.'
        for head, why in layout.left
        if not why
    ]
    unknown = [] if np.isfinite(rows.values).all() else dict.fromkeys(column.position for column in layout.columns)
    for position in unknown:
        cells = table.cells[position].iloc[np.unique(rows.cell)]
        filled = cells[~cells.str.strip().str.lower().isin(MISSING)]
        bad = filled[np.isnan(numbers_of(filled.tolist(), layout.decimal))]
        if len(bad):
            first = f'line {table.lines[bad.index[0]]}: "{bad.iloc[0][:20]}"'
            odd.append(
                f"{len(bad)} cells of {table.head[position] or 'the values'} are no numbers ({first}): they are gaps."
            )
    return notes, odd


def bill_checks(kwh: pd.Series, lengths_h: np.ndarray, zone: str, billed: Mapping[str, float]) -> tuple[BillCheck, ...]:
    """Hold months against bills.

    Parameters
    ----------
    kwh
        By start of the interval in UTC [kWh].
    lengths_h
        Lengths of the intervals [h], (n,).
    zone
        Zone whose months are billed.
    billed
        Month ("2026-01") and what was billed [kWh].
    """
    local = pd.DatetimeIndex(kwh.index).tz_convert(zone).tz_localize(None)
    months = local.strftime("%Y-%m")
    checks = []
    for month, amount in billed.items():
        inside = np.asarray(months == month)
        begin = pd.Timestamp(f"{month}-01").tz_localize(zone)
        hours = (begin + pd.DateOffset(months=1) - begin) / pd.Timedelta(hours=1)
        known = inside & kwh.notna().to_numpy()
        checks.append(BillCheck(month, float(kwh[known].sum()), float(amount), float(lengths_h[known].sum() / hours)))
    return tuple(checks)


RATIOS = (
    (1 / 11.2, "it is in m³ and was read as kWh"), (1000.0, "it is in Wh and was read as kWh"),
    (2.0, "mean power in kW over half-hours was read as kWh"), (0.5, "kWh a half-hour were read as kW"),
    (1 / 1000.0, "it is in MWh and was read as kWh"),
)  # fmt: skip


def wrong_by_bill(checks: tuple[BillCheck, ...]) -> str | None:
    """What unit was mistaken, where wgap months are off the bill by the same telling factor."""
    ratios = [c.read_kwh / c.billed_kwh for c in checks if c.covered > 0.95 and c.billed_kwh > 0]
    if not ratios:
        return None
    for factor, words in RATIOS:
        wide = 0.12 if factor == RATIOS[0][0] else NEAR
        if all(abs(ratio / factor - 1) < wide for ratio in ratios):
            return words
    return None
