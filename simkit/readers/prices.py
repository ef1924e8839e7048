"""A file of prices and what a tariff says of it in; the price of a kWh in each step of the time axis out.

Nothing is filled silently: every interval of the axis's year must stand in the file once, or one sentence says where it
doesn't. A gap is closed by holding the price before it (at the beginning, the one after it) only where that was asked
for. Rows outside the year are left aside.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from simkit.arrays import Floats, Ints, read_only
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault, raise_all
from simkit.kept.memory import memo
from simkit.notation import Localised
from simkit.readers.price_grid import in_order, require_even
from simkit.readers.stamps import utc_of
from simkit.readers.table import Table, column_at, decimal_of, numbers_at, read_table, require_even_rows, with_times
from simkit.tariff.prices import DEAREST_PER_KWH
from simkit.tariff.terms import PriceSeries

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


@memo
def _laid(axis: TimeAxis, series: PriceSeries, currency: str, _stamp: tuple[int, int]) -> PricesRead:
    starts, market, notes = _market(axis, series, currency)
    price = market * (1.0 if series.factor is None else series.factor) + (series.adder_per_kwh or 0.0)
    if series.floor_per_kwh is not None or series.cap_per_kwh is not None:
        price = np.clip(price, series.floor_per_kwh, series.cap_per_kwh)
    price = price * (1.0 + (series.tax or 0.0))
    return PricesRead(read_only(_on_steps(starts, price, series.interval_minutes, axis)), notes)


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
    table = read_table(series.file)
    name = table.name
    time = column_at(table, series.time_column, "[series]") if series.time_column else 0
    table = with_times(table, time)
    place = _price_column(table, series, time)
    require_even_rows(table)
    factor_note = _same_currency(table.head[place], series, currency, name)
    numbers = numbers_at(table, place, decimal_of(table, [place])[0], gaps=False)
    cells = table.cells[time].tolist()
    stamps = utc_of(name, table.lines, cells, clock=series.clock, zone=axis.zone, section="[series]")
    utc = stamps.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
    utc = utc - (series.interval_minutes if series.label == "end" else 0)
    require_even(utc, table.lines, series, name)
    utc, numbers, told = in_order(utc, numbers, series, axis, name)
    raise_all(_wrong_unit(numbers, series, currency, name), DataError)
    return utc, numbers / (1000.0 if series.per == "MWh" else 1.0), (*factor_note, *told)


def _price_column(table: Table, series: PriceSeries, time: int) -> int:
    """Position of the prices: as named, or the only column beside the stamps."""
    if series.column is not None:
        return column_at(table, series.column, "[series]")
    others = [k for k in range(len(table.head)) if k != time and (table.head[k] or not any(table.head))]
    if len(others) != 1:
        shown = ", ".join(f'"{table.head[k]}"' for k in others) or "none"
        why = f"has {len(others)} columns beside the stamps ({shown}), and one is needed"
        raise DataError(Fault(table.name, "the file", why, "Name one under [series] as column"))
    return others[0]


def _same_currency(heading: str, series: PriceSeries, currency: str, name: str) -> tuple[str, ...]:
    """Refuse prices in another currency, which their heading names, unless a factor turns them into ours."""
    other = next((code for code in CODE.findall(heading.replace("_", " ")) if code in DEAREST_PER_KWH), currency)
    if other == currency:
        return ()
    if series.factor is None:
        why = f"names {other}, and the tariff is in {currency}: prices are never converted by themselves"
        remedy = f"Take a file in {currency}, or write the exchange rate as factor"
        raise DataError(Fault(name, f'column "{heading}"', why, remedy))
    factor = series.factor
    return (
        Localised(
            lambda n: f"{name} is in {other}; its factor of {n.brief(factor, 6)} is taken to turn it into {currency}."
        ),
    )


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
