"""A tariff and a time axis in; out come the price that control sees, and the rows by which a bill is added up.

What control sees and what is charged are two things. Both stand on the same shares of each step in each band, so that
for a tariff without tiers they agree; the rows are memoised, since a slider and a search charge one tariff many times.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from simkit.case.tariff import Band, Tariff
from simkit.clock import DAY_MINUTES, Floats, TimeAxis, minute_of, shortest_step, time_of
from simkit.errors import CaseError, Fault

SUNDAY = 6
KEPT = 256  # tariffs whose rows are kept; some 0.2 MB each at hourly steps


@dataclass(frozen=True, eq=False)
class PriceSignal:
    """What a kilowatt-hour costs and earns in each step, tax included.

    Parameters
    ----------
    import_per_kwh
        Price of an imported kWh, (steps,) [currency/kWh].
    export_per_kwh
        What an exported kWh earns, (steps,) [currency/kWh].
    notes
        What was assumed.
    """

    import_per_kwh: Floats
    export_per_kwh: Floats
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Rows:
    """Bands of one direction as rows of a sparse matrix.

    Parameters
    ----------
    labels
        What the bill calls each band, (bands,).
    prices
        Stated price of each band, (bands,) [currency/kWh].
    matrix
        Share of each step in each band and month, (bands × 12, steps), row = band × 12 + month - 1.
    """

    labels: tuple[str, ...]
    prices: Floats
    matrix: Any

    def month_kwh(self, kwh: Floats) -> Floats:
        """Add up energy by band and month: (steps,) to (bands, 12), (steps, lanes) to (bands, 12, lanes) [kWh]."""
        sums = self.matrix @ kwh
        return sums.reshape(len(self.labels), 12, *kwh.shape[1:])


@dataclass(frozen=True, eq=False)
class Charged:
    """One tariff laid on one time axis: everything of a bill that doesn't depend on the load."""

    signal: PriceSignal
    bought: Rows
    sold: Rows | None
    days: Floats  # civil days of each month, (12,)
    notes: tuple[str, ...]


def price_signal(tariff: Tariff, axis: TimeAxis, *, country: str | None = None) -> PriceSignal:
    """Price per kWh in each step of the year, as a controller sees it.

    A step inside which the price changes carries the mean of its prices weighted by time, and a note says so.

    Parameters
    ----------
    tariff
        The tariff.
    axis
        The time axis of the run.
    country
        Country of the home (ISO 3166, "IE", or with its part, "GB-SCT"), asked of tariffs that price public holidays.

    Returns
    -------
    PriceSignal
        Read-only arrays, tax included, the same object for the same arguments.
    """
    return laid(tariff, axis, country if tariff.holidays_as else None).signal


def price_edges(tariff: Tariff, axis: TimeAxis) -> tuple[str, ...]:
    """Times of day "HH:MM" in local wall time at which the price can change; `shortest_step` takes them.

    A UTC clock has its edges at two wall times where the zone changes its clock.
    """
    if tariff.clock == "local":
        return tariff.edges
    ahead = np.unique((axis.minute_of_day - axis.utc_minute_of_day) % DAY_MINUTES)
    return tuple(
        time_of(edge)
        for edge in sorted({(minute_of(edge) + int(shift)) % DAY_MINUTES for edge in tariff.edges for shift in ahead})
    )


@lru_cache(maxsize=KEPT)
def laid(tariff: Tariff, axis: TimeAxis, country: str | None) -> Charged:
    """Lay a tariff on a time axis (memoised); `country` is None for tariffs without a rule for holidays."""
    first, free = _days(tariff, axis, country)
    shares = [_share(tariff, band, axis, first, free) for band in tariff.band]
    covered = np.sum(shares, axis=0)
    _require_one_price(tariff, axis, covered)
    bought = _rows(tariff.band, shares, axis)
    price = np.sum([share * band.price_per_kwh for share, band in zip(shares, tariff.band, strict=True)], axis=0)
    notes = _notes(tariff, axis, int(_changes(tariff, shares).sum()))
    paid = tariff.export.price_per_kwh if tariff.export else 0.0
    signal = PriceSignal(_closed(price * tariff.tax_factor), np.broadcast_to(np.float64(paid), axis.steps), notes)
    sold = None
    if tariff.export:
        sold = _matrix(("Exported energy",), np.array([paid]), [np.ones(axis.steps)], axis)
    days = np.bincount(axis.dates.astype("datetime64[M]").astype(np.int64) % 12, minlength=12).astype(np.float64)
    return Charged(signal, bought, sold, days, notes)


def _closed(values: Floats) -> Floats:
    values.flags.writeable = False
    return values


def _days(tariff: Tariff, axis: TimeAxis, country: str | None) -> tuple[np.datetime64, NDArray[np.int64]]:
    """First day that any clock of the year can show, and the weekday by which each day from there on is priced."""
    first = axis.dates[0] - 2
    days = np.arange(first, axis.dates[-1] + 3)
    weekday = (days.astype(np.int64) + 3) % 7
    if tariff.holidays_as:
        weekday[np.isin(days, holiday_dates(axis.year, country, tariff=tariff.name))] = SUNDAY
    return first, weekday


def holiday_dates(year: int, country: str | None, *, tariff: str) -> NDArray[np.datetime64]:
    """Public holidays of a country in a year and at the turns of it, by the package `holidays`, (n,)."""
    where = f'tariff "{tariff}"'
    remedy = 'Give the country of the home by its ISO 3166 code, for example "IE" or "GB-SCT"'
    if not country:
        why = "needs the country of the home, to know its public holidays"
        raise CaseError(Fault(where, 'holidays_as = "weekend"', why, remedy))
    import holidays

    code, _, part = country.partition("-")
    try:
        found = holidays.country_holidays(code, subdiv=part or None, years=[year - 1, year, year + 1])
    except NotImplementedError:
        why = "is not a country or part of one whose public holidays are known"
        raise CaseError(Fault(where, f'country = "{country}"', why, remedy)) from None
    return np.array(sorted(found), dtype="datetime64[D]")


def _share(tariff: Tariff, band: Band, axis: TimeAxis, first: np.datetime64, weekday: NDArray[np.int64]) -> Floats:
    days = first + np.arange(len(weekday))
    holds = np.isin(weekday, list(band.weekdays))
    if band.months is not None:
        holds &= np.isin(days.astype("datetime64[M]").astype(np.int64) % 12 + 1, band.months)
    if band.first_date is not None:
        holds &= days >= np.datetime64(band.first_date)
    if band.last_date is not None:
        holds &= days <= np.datetime64(band.last_date)
    late = tariff.meter_offset_minutes or 0
    dates = None if holds.all() else days[holds]
    return axis.window(band.start, band.end, dates=dates, clock=tariff.clock, meter_offset_minutes=late)


def _require_one_price(tariff: Tariff, axis: TimeAxis, covered: Floats) -> None:
    wrong = np.abs(covered - 1.0) > 1e-9
    if not wrong.any():
        return
    bad = axis.dates[np.unique(axis.day[wrong])]
    breaks = np.flatnonzero(np.diff(bad) > np.timedelta64(1, "D"))
    firsts, lasts = bad[np.r_[0, breaks + 1]], bad[np.r_[breaks, len(bad) - 1]]
    spans = [f"{a}" if a == b else f"{a} to {b}" for a, b in zip(firsts, lasts, strict=True)]
    shown = ", ".join(spans[:3]) + (f" and {len(spans) - 3} more stretches" if len(spans) > 3 else "")
    why = "has no price, or more than one, at some time of these days"
    remedy = "Stretch first_date and last_date of its bands, or simulate another year"
    raise CaseError(Fault(f'tariff "{tariff.name}"', shown, why, remedy))


def _changes(tariff: Tariff, shares: Sequence[Floats]) -> NDArray[np.bool_]:
    """Steps in which more than one price holds (two bands of one price are none)."""
    prices = np.array([band.price_per_kwh for band in tariff.band])[:, None]
    present = np.asarray(shares) > 0
    highest = np.max(np.where(present, prices, -np.inf), axis=0)
    return np.asarray(highest > np.min(np.where(present, prices, np.inf), axis=0))


def _rows(bands: Sequence[Band], shares: Sequence[Floats], axis: TimeAxis) -> Rows:
    """Join bands of one name and one price into one line of the bill."""
    joined: dict[tuple[str, float], Floats] = {}
    for band, share in zip(bands, shares, strict=True):
        key = (band.name, band.price_per_kwh)
        joined[key] = joined[key] + share if key in joined else share
    names = [name for name, _ in joined]
    labels = tuple(name if names.count(name) == 1 else f"{name} at {price:g}" for name, price in joined)
    return _matrix(labels, np.array([price for _, price in joined]), list(joined.values()), axis)


def _matrix(labels: tuple[str, ...], prices: Floats, shares: Sequence[Floats], axis: TimeAxis) -> Rows:
    from scipy.sparse import csr_array

    month = axis.month - 1
    steps = [np.flatnonzero(share) for share in shares]
    rows = np.concatenate([band * 12 + month[step] for band, step in enumerate(steps)])
    values = np.concatenate([share[step] for share, step in zip(shares, steps, strict=True)])
    where = (rows, np.concatenate(steps))
    return Rows(labels, prices, csr_array((values, where), shape=(12 * len(shares), axis.steps)))


def _notes(tariff: Tariff, axis: TimeAxis, split: int) -> tuple[str, ...]:
    notes = []
    if split:
        step, left = shortest_step(price_edges(tariff, axis))
        cure = f"; steps of {step} minutes would end it" if step < axis.step_minutes and not left else ""
        notes.append(
            f'Tariff "{tariff.name}": the price changes inside {split:,} of {axis.steps:,} steps, which carry the mean '
            f"weighted by time{cure}."
        )
    if axis.dates[0] < np.datetime64(tariff.valid_from):
        notes.append(f'Tariff "{tariff.name}" is valid from {tariff.valid_from} and is applied to all of {axis.year}.')
    return tuple(notes)
