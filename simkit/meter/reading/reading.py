"""A file of readings in; energy and temperatures by interval on UTC, and a report of what was found, out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.errors import DataError, Fault
from simkit.meter.reading.cleaning import USUAL_KWH_PER_M3, VOLUMES, cleaned, in_kwh, with_units
from simkit.meter.reading.guessing import guess_layout
from simkit.meter.reading.intervals import rows_of
from simkit.meter.reading.layout import Guess, Layout, Rows
from simkit.meter.reading.mapping import checked_mapping, mapping_of, read_mapping
from simkit.meter.reading.placing import on_grid, spans
from simkit.meter.reading.report import ImportReport, bill_checks, said_of_columns, wrong_by_bill
from simkit.meter.reading.unfolding import unfolded
from simkit.meter.reading.wide import by_register
from simkit.meter.reading.words import TEMPERATURES
from simkit.readers.table import WIDE_FROM, Table, require_even_rows, table_of
from simkit.readers.text_file import read_text

MOST_UNREAD = 0.3
WHOLE_EXPORT = 100  # own: rows from which a meter below another is a second export, not a swapped counter read by hand


@dataclass(frozen=True, eq=False, repr=False)
class Readings(Answered):
    """Readings of one meter, or of one logger.

    Attributes
    ----------
    frame
        One row for each interval, indexed by its start in UTC: `end` (UTC), any of `import_kwh`, `export_kwh`,
        `heat_pump_kwh`, `heat_kwh`, `fuel_kwh` [kWh in the interval] and `room_c`, `outdoor_c` [°C, mean over it], and
        `estimated`. NaN where nothing was read.
    step_minutes
        Length of an interval [min]; 0 where they differ.
    zone
        The home's zone.
    layout, mapping
        What the columns were taken to mean (None for readings that come from no file), and the same as remembered.
    report
        What was found.
    """

    answered_by = "simkit.answers.meter.readings:readings_answer"

    frame: pd.DataFrame
    step_minutes: float
    zone: str
    layout: Layout | None
    mapping: dict[str, Any]
    report: ImportReport

    @property
    def quantities(self) -> tuple[str, ...]:
        """Names of the columns that hold readings."""
        return tuple(name for name in self.frame.columns if name not in ("end", "estimated"))

    @property
    def questions(self) -> tuple[Guess, ...]:
        """What is less likely right than seven times in ten: to be answered before the readings are used."""
        return tuple(guess for guess in self.layout.guesses if guess.asks) if self.layout else ()

    def daily(self, quantity: str, least: float = 0.98) -> pd.Series:
        """Sums [kWh], or means [°C], of local civil days; NaN where less than `least` of a day was read."""
        local = pd.DatetimeIndex(self.frame.index).tz_convert(self.zone)
        days = local.tz_localize(None).normalize()
        values = self.frame[quantity]
        hours = (self.frame["end"] - self.frame.index) / pd.Timedelta(hours=1)
        covered = hours.where(values.notna(), 0.0).groupby(days).sum()
        starts = pd.DatetimeIndex(covered.index)
        lengths = np.asarray(
            ((starts + pd.Timedelta(days=1)).tz_localize(self.zone) - starts.tz_localize(self.zone))
            / pd.Timedelta(hours=1)
        )
        grouped = values.groupby(days)
        made = grouped.mean() if quantity in TEMPERATURES else grouped.sum(min_count=1)
        return made.where(covered.to_numpy() >= least * lengths)


def read_meter(
    path: Path | str,
    *,
    zone: str,
    mapping: Mapping[str, Any] | Path | str | None = None,
    kwh_per_unit: float | None = None,
    bill_kwh: Mapping[str, float] | None = None,
) -> Readings:
    """Read a file of meter readings, whatever its layout.

    Parameters
    ----------
    path
        The file: half-hours, hours or quarters in rows, a day in each row, dates with numbers; intervals or a running
        total; energy, mean power or gas volume; local, UTC or offset stamps.
    zone
        IANA zone of the home.
    mapping
        What is known of its columns: a saved mapping or its path; None guesses all.
    kwh_per_unit
        Gross energy of a unit of fuel, for gas in m³ or 100 ft³ [kWh/unit].
    bill_kwh
        What was billed by month, ``{"2026-01": 412.0}`` [kWh], to hold the readings against.

    Raises
    ------
    DataError
        Where the file can't be read for what it is: one sentence for each fault; nothing is ever written.
    """
    said = read_mapping(mapping) if isinstance(mapping, Path | str) else dict(mapping or {})
    checked_mapping(said, "mapping")
    text, turned = unfolded(read_text(path))
    table, broken = _even_rows(table_of(text, Path(path).name))
    layout = guess_layout(table, said, zone)
    one = _one_meter(table, layout, said)
    table, layout = (table, layout) if one is table else (one, guess_layout(one, said, zone))
    rows = rows_of(table, layout, zone, said)
    unread = _unread(table, rows)
    if not np.isfinite(rows.values).any():
        raise DataError(
            Fault(
                table.name,
                "the rows",
                "hold no reading that could be understood",
                "Say what its columns mean in a mapping",
            )
        )
    per_unit = kwh_per_unit or said.get("kwh_per_unit")
    rows = with_units(
        by_register(table, rows, said.get("columns") or {}), said.get("unit"), volume=per_unit is not None
    )
    kwh = in_kwh(table, rows, per_unit)
    made = on_grid(table, rows, kwh) if rows.step_s else spans(table, rows, kwh)
    frame, counts = cleaned(table, rows, made)
    notes, odd = said_of_columns(table, rows)
    counts["notes"], counts["suspicious"] = (
        (*counts["notes"], *notes, *([turned] if turned else ()), *_of_volume(rows, per_unit)),
        (*counts["suspicious"], *odd, *broken),
    )
    report = ImportReport(
        table.name, len(table.cells), int(frame.drop(columns=["end", "estimated"]).notna().any(axis=1).sum()),
        frame.index[0], frame["end"].iloc[-1], rows.step_s / 60.0,
        {name: float(frame[name].sum()) for name in frame if name.endswith("_kwh")},
        change_days=rows.days, unread=unread, **counts,
    )  # fmt: skip
    if not report.used:
        given, remedy = f"{report.rows} rows", "Say the unit, or what its columns mean, in a mapping"
        raise DataError(Fault(table.name, given, "hold no reading that a home could have; nothing was kept", remedy))
    report = _against_bill(frame, report, zone, bill_kwh)
    kept = mapping_of(rows.layout, table.head) | ({"kwh_per_unit": per_unit} if per_unit else {})
    return Readings(frame, rows.step_s / 60.0, zone, rows.layout, kept, report)


def _of_volume(rows: Rows, kwh_per_unit: float | None) -> tuple[str, ...]:
    """What a volume of fuel was taken to hold, where nobody said it."""
    volume = any(column.unit in VOLUMES and column.quantity == "fuel_kwh" for column in rows.layout.columns)
    if kwh_per_unit is not None or not volume:
        return ()
    said = f"A m³ of gas is taken to hold {USUAL_KWH_PER_M3:g} kWh gross, as is usual"
    return (f"{said}: give what the gas bill states as kwh_per_unit.",)


def readings_from(frame: pd.DataFrame, *, zone: str, name: str) -> Readings:
    """Readings that are in our names already: a frame by start in UTC with `end` and quantities in kWh or °C."""
    frame = frame if "estimated" in frame else frame.assign(estimated=False)
    lengths = (frame["end"] - frame.index) / pd.Timedelta(minutes=1)
    step = float(lengths.iloc[0]) if lengths.nunique() == 1 else 0.0
    values = frame.drop(columns=["end", "estimated"])
    totals = {column: float(values[column].sum()) for column in values if column.endswith("_kwh")}
    report = ImportReport(
        name, len(frame), int(values.notna().any(axis=1).sum()), frame.index[0], frame["end"].iloc[-1], step, totals
    )
    return Readings(frame, step, zone, None, {}, report)


def _even_rows(table: Table) -> tuple[Table, tuple[str, ...]]:
    """Rows without those that have a field too many, which a decimal comma among commas makes, and what to say of them.

    Raises
    ------
    DataError
        Where most rows have more fields than the head has names.
    """
    width = max((k + 1 for k, head in enumerate(table.head) if head), default=0)
    spare = [k for k in table.cells if k >= width and (width or (table.cells[k] != "").mean() < 0.5)]
    if not spare or len(table.head) >= WIDE_FROM:
        return table, ()
    longer = (table.cells[spare] != "").any(axis=1).to_numpy()
    if longer.mean() > 0.5:
        require_even_rows(table)
    if not longer.any():
        return table, ()
    first = int(table.lines[longer][0])
    said = f"{int(longer.sum())} rows have a field too many (first in line {first}): they are left out."
    kept = replace(table, cells=table.cells[~longer].reset_index(drop=True), lines=table.lines[~longer])
    return kept, (said,)


def _one_meter(table: Table, layout: Layout, said: Mapping[str, Any]) -> Table:
    """Refuse a file of several meters, unless one is chosen."""
    if layout.meter is None:
        return table
    cells = table.cells[layout.meter]
    names = [name for name, _ in Counter(cell for cell in cells if cell).most_common()]
    chosen = said.get("meter")
    if chosen is not None and str(chosen) in names:
        keep = (cells == str(chosen)).to_numpy()
        return replace(table, cells=table.cells[keep].reset_index(drop=True), lines=table.lines[keep])
    dated = Counter(table.cells[layout.stamp]).most_common(1)[0][1]
    filled = cells[
        cells != ""
    ]  # after a swap each meter's rows stand together; side by side they begin again and again
    runs = int((filled != filled.shift()).sum())
    twice = float((table.cells[layout.stamp].value_counts() > 1).mean())  # a swap has one day of both
    swapped = runs == len(names) and bool(filled.value_counts().min() < WHOLE_EXPORT) and twice < MOST_UNREAD
    if len(names) > 1 and (dated > 1 or layout.shape == "wide") and not swapped:
        shown = ", ".join(names[:4]) + (" .." if len(names) > 4 else "")
        remedy = f'Choose one in the mapping: meter = "{names[0]}"'
        raise DataError(
            Fault(
                table.name,
                "the file",
                f"holds {len(names)} meters ({shown}), and their readings would be added up; none was kept",
                remedy,
            )
        )
    return table


def _unread(table: Table, rows: Rows) -> dict[str, int]:
    """Rows that are no reading, told apart by what stands in them; too many of them are a fault."""
    words: Counter[str] = Counter()
    other = ""
    unread = np.setdiff1d(np.arange(len(table.cells)), rows.cell)
    for k in unread.tolist():
        text = " ".join(cell for cell in table.cells.iloc[k].tolist() if cell)
        total = any(word in text.lower() for word in ("total", "sum", "summe"))
        other = other or (f'such as line {table.lines[k]}: "{text[:40]}"' if not total else "")
        words["totals" if total else other] += 1
    if len(unread) > max(MOST_UNREAD * len(table.cells), 3):
        k = int(unread[0])
        given = f"{len(unread)} of {len(table.cells)} rows"
        text = " ".join(table.cells.iloc[k].tolist())[:50]
        allowed = f'are no readings (line {table.lines[k]}: "{text}"); nothing was kept'
        remedy = "Look whether the file is whole, or say what its columns mean in a mapping"
        raise DataError(Fault(table.name, given, allowed, remedy))
    return dict(words)


def _against_bill(
    frame: pd.DataFrame, report: ImportReport, zone: str, billed: Mapping[str, float] | None
) -> ImportReport:
    if not billed:
        return report
    name = next(iter(report.totals_kwh))
    hours = np.asarray((frame["end"] - frame.index) / pd.Timedelta(hours=1))
    checks = bill_checks(frame[name], hours, zone, billed)
    mistaken = wrong_by_bill(checks)
    if mistaken:
        given = f"{name} of {checks[0].month}, {checks[0].read_kwh:,.0f} kWh"
        ratio, billed_kwh = checks[0].read_kwh / checks[0].billed_kwh, checks[0].billed_kwh
        allowed = f"is {ratio:.3g} times the {billed_kwh:,.0f} kWh of the bill: {mistaken}; nothing was kept"
        raise DataError(Fault(report.file, given, allowed, f"Say its unit in the mapping: columns.{name}.unit"))
    return replace(report, against_bill=checks)
