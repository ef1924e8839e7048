"""A file of prices and what a tariff says of it in; the price of a kWh in each step of the time axis out.

Nothing is filled silently: every interval of the axis's year must stand in the file once, or one sentence says where it
doesn't. A gap is closed by holding the price before it (at the beginning, the one after it) only where that was asked
for. Rows outside the year are left aside.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault, nearest, raise_all
from simkit.readers.price_stamps import in_order, utc_of
from simkit.readers.text_file import read_text
from simkit.tariff.prices import DEAREST_PER_KWH
from simkit.tariff.tariff import PriceSeries

USUAL_DEAREST = 2.0  # own: for a currency without a bound of its own
LEAST_MWH = 0.5  # own: prices that all stay under half of the dearest kWh are none for a MWh
CODE = re.compile(r"(?<![A-Za-z])([A-Z]{3})(?![A-Za-z])")


@dataclass(frozen=True, eq=False)
class PricesRead:
    """Prices on a time axis.

    Attributes
    ----------
    per_kwh
        Price of a kWh in each step by the series' own rule, before tax that the tariff adds, (steps,) [currency/kWh].
    notes
        What was found and assumed.
    """

    per_kwh: Floats
    notes: tuple[str, ...]


def prices_on(axis: TimeAxis, series: PriceSeries, *, currency: str) -> PricesRead:
    """Read a file of prices and lay it on the time axis (memoised until the file changes).

    Parameters
    ----------
    axis
        The time axis; its whole year must be in the file. Longer intervals are held, shorter ones averaged over a step.
    series
        What the tariff says of the file.
    currency
        ISO 4217 code of the tariff.

    Returns
    -------
    PricesRead
        Market price × factor + adder between floor and cap, with the series' own tax.

    Raises
    ------
    DataError
        With one plain sentence for each thing that is wrong.
    """
    return _laid(axis, series, currency, stamp_of(series.file))


def stamp_of(file: str) -> tuple[int, int]:
    """What tells whether a file has changed: its size and time; zeros where it is not there."""
    try:
        found = Path(file).stat()
    except OSError:
        return (0, 0)
    return (found.st_size, found.st_mtime_ns)


@lru_cache(maxsize=32)
def _laid(axis: TimeAxis, series: PriceSeries, currency: str, _stamp: tuple[int, int]) -> PricesRead:
    starts, market, notes = _market(axis, series, currency)
    price = market * (1.0 if series.factor is None else series.factor) + (series.adder_per_kwh or 0.0)
    if series.floor_per_kwh is not None or series.cap_per_kwh is not None:
        price = np.clip(price, series.floor_per_kwh, series.cap_per_kwh)
    price = price * (1.0 + (series.tax or 0.0))
    made = _on_steps(starts, price, series.interval_minutes, axis)
    made.flags.writeable = False
    return PricesRead(made, notes)


def _on_steps(starts: Ints, price: Floats, interval: int, axis: TimeAxis) -> Floats:
    """Price of each step: held where its interval holds the whole step, else the mean by time."""
    begins = axis.utc.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
    inside = (begins - starts[0]) % interval
    place = (begins - starts[0]) // interval
    if (inside + axis.step_minutes <= interval).all():
        return np.ascontiguousarray(price[place])
    if not inside.any() and axis.step_minutes % interval == 0:
        whole = price[place[0] : place[0] + axis.steps * (axis.step_minutes // interval)]
        return np.asarray(whole.reshape(axis.steps, -1).mean(axis=1))
    edges = np.append(starts, starts[-1] + interval)
    total = np.concatenate([[0.0], np.cumsum(price * interval)])
    ends = np.interp(begins + axis.step_minutes, edges, total)
    return np.asarray((ends - np.interp(begins, edges, total)) / axis.step_minutes)


def _market(axis: TimeAxis, series: PriceSeries, currency: str) -> tuple[Ints, Floats, tuple[str, ...]]:
    """Start and price of a kWh for each interval that the year touches, and what was found."""
    name = Path(series.file).name
    stamps, texts, heading, comma = _columns(series, name)
    factor_note = _same_currency(heading, series, currency, name)
    numbers = _numbers(texts, comma, name)
    utc = utc_of(stamps, series, axis, name)
    utc, numbers, told = in_order(utc, numbers, series, axis, name)
    raise_all(_wrong_unit(numbers, series, currency, name), DataError)
    return utc, numbers / (1000.0 if series.per == "MWh" else 1.0), (*factor_note, *told)


def _columns(series: PriceSeries, name: str) -> tuple[pd.Series, pd.Series, str, bool]:
    """Stamps and prices as text or numbers, the heading of the prices, and whether commas may be decimal."""
    text = read_text(series.file)
    first = text.split("\n", 1)[0]
    separator = max((";", "\t", ","), key=lambda mark: (first.count(mark), mark != ","))
    names = [part.strip().strip('"') for part in first.split(separator)]
    time, column = series.time_column or names[0], series.column
    if column is None:
        others = [part for part in names if part != time]
        if len(others) != 1:
            shown = ", ".join(f'"{other}"' for other in others) or "none"
            why = f"has {len(others)} columns beside the stamps ({shown}), and one is needed"
            raise DataError(Fault(name, "the file", why, "Name one under [series] as column"))
        column = others[0]
    raise_all([_lacking(name, wanted, names) for wanted in (time, column) if wanted not in names], DataError)
    _require_even_rows(text, separator, len(names), name)
    wanted = [names.index(time), names.index(column)]
    frame = pd.read_csv(io.StringIO(text), sep=separator, usecols=wanted, skipinitialspace=True, low_memory=False)
    if len(frame) < 2:
        raise DataError(Fault(name, "the file", "has a head and no rows", "Fetch or export it again"))
    parts = frame if wanted[0] < wanted[1] else frame.iloc[:, ::-1]
    return parts.iloc[:, 0], parts.iloc[:, 1], column, separator != ","


def _require_even_rows(text: str, separator: str, fields: int, name: str) -> None:
    """Refuse rows with more fields than the head: a decimal comma between commas would else be read as two numbers."""
    if '"' in text or text.count(separator) == (fields - 1) * len(text.strip().split("\n")):
        return
    for number, line in enumerate(text.strip().split("\n"), start=1):
        if line.count(separator) >= fields:
            why = f'has more fields than its head, which is split at "{separator}"'
            remedy = "Mend the line; decimal commas need semicolons between the fields"
            raise DataError(Fault(f"{name} line {number}", "", why, remedy))


def _lacking(name: str, column: str, names: Sequence[str]) -> Fault:
    near = nearest(column, names)
    shown = ", ".join(f'"{each}"' for each in names[:8]) + (" .." if len(names) > 8 else "")
    remedy = f'Perhaps "{near}" is meant' if near else "Name one of these under [series]"
    return Fault(name, f'column "{column}"', f"is not among the columns of its head: {shown}", remedy)


def _same_currency(heading: str, series: PriceSeries, currency: str, name: str) -> tuple[str, ...]:
    """Refuse prices in another currency, which their heading names, unless a factor turns them into ours."""
    other = next((code for code in CODE.findall(heading.replace("_", " ")) if code in DEAREST_PER_KWH), currency)
    if other == currency:
        return ()
    if series.factor is None:
        why = f"names {other}, and the tariff is in {currency}: prices are never converted by themselves"
        remedy = f"Take a file in {currency}, or write the exchange rate as factor"
        raise DataError(Fault(name, f'column "{heading}"', why, remedy))
    return (f"{name} is in {other}; its factor of {series.factor:g} is taken to turn it into {currency}.",)


def _numbers(texts: pd.Series, comma: bool, name: str) -> Floats:
    if texts.dtype.kind in "fi":
        numbers = texts.to_numpy(dtype=np.float64)
    else:
        plain = texts.astype(str).str.strip()
        numbers = pd.to_numeric(plain.str.replace(",", ".") if comma else plain, errors="coerce").to_numpy(np.float64)
    bad = np.flatnonzero(~np.isfinite(numbers))
    if len(bad):
        value = texts.iloc[bad[0]]
        given = "an empty field" if pd.isna(value) or not str(value).strip() else f'"{value}"'
        why = f"is not a price ({len(bad)} of {len(numbers):,} rows)"
        remedy = "Write a number in every row; a gap is not a zero"
        raise DataError(Fault(f"{name} line {bad[0] + 2}", given, why, remedy))
    return numbers


def _wrong_unit(numbers: Floats, series: PriceSeries, currency: str, name: str) -> list[Fault]:
    """Prices for a MWh said to be for a kWh, and the other way round, by their size."""
    dearest = DEAREST_PER_KWH.get(currency, USUAL_DEAREST)
    rate = 1.0 if series.factor is None else max(series.factor, 1e-9)
    middle, most = float(np.median(np.abs(numbers))) * min(rate, 1.0), float(np.abs(numbers).max()) * rate
    given = f"a middle price of {np.median(np.abs(numbers)):.4g} {currency}"
    if series.per == "kWh" and middle > dearest:
        why = f"is more than a kWh costs anywhere ({dearest:g} {currency}), so that the prices are for a MWh"
        return [Fault(name, given, why, 'Write per = "MWh" under [series]; for hundredths (cents), factor = 0.01')]
    if series.per == "MWh" and 0 < most < dearest * LEAST_MWH:
        given = f"a highest price of {np.abs(numbers).max():.4g} {currency}"
        why = "is next to nothing for a MWh, so that the prices are for a kWh"
        return [Fault(name, given, why, 'Write per = "kWh" under [series]')]
    return []
