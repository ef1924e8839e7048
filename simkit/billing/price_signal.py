"""A tariff and a time axis in; out come the price that control sees, and the times of day at which it can change.

What control sees and what is charged are two things. Both stand on the same laid tariff, so that they agree for a
tariff without tiers, demand charge and netting; with those, the signal is an approximation, and its notes say so.
"""

from __future__ import annotations

from weakref import WeakKeyDictionary

import numpy as np

from simkit.billing.charges.on_axis import Charged, laid
from simkit.billing.signal import PriceSignal
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.notation import PLAIN, Localised
from simkit.tariff.tariff import NETTING_MINUTES, Tariff
from simkit.times_of_day import DAY_MINUTES, minute_of, shortest_step, time_of


def price_signal(tariff: Tariff, axis: TimeAxis, *, country: str | None = None, granted: bool = False) -> PriceSignal:
    """Price per kWh in each step of the year, as a controller sees it.

    A step inside which the price changes carries the mean of its prices weighted by time, and a note says so. Tiers
    stand in it with the price of the last one, and a charge on the peak not at all: with those it is an approximation.

    Parameters
    ----------
    tariff
        The tariff.
    axis
        The time axis of the run.
    country
        Country of the home (ISO 3166, "IE", or with its part, "GB-SCT"), asked of tariffs that price public holidays.
    granted
        Whether the cheap half-hours that the supplier may choose are counted, as a scenario.

    Returns
    -------
    PriceSignal
        Read-only arrays, tax included, the same object for the same arguments.
    """
    terms = laid(tariff, axis, country, granted=granted)
    if terms not in _SIGNALS:
        export = tariff.versions[-1].export
        _SIGNALS[terms] = PriceSignal(
            terms.import_per_kwh,
            terms.export_per_kwh,
            signal_notes(tariff, axis, terms),
            bool(export and export.sell_grid_energy),
        )
    return _SIGNALS[terms]


_SIGNALS: WeakKeyDictionary[Charged, PriceSignal] = WeakKeyDictionary()


@memo
def price_edges(tariff: Tariff, axis: TimeAxis) -> tuple[str, ...]:
    """Times of day "HH:MM" in local wall time at which the price can change; `shortest_step` takes them.

    A UTC clock has its edges at two wall times where the zone changes its clock. A price file, a netting period or a
    charge on the peak of less than an hour adds an edge that makes the steps as short as its interval.
    """
    edges = {minute_of(edge) for edge in tariff.edges}
    ahead = np.unique((axis.minute_of_day - axis.utc_minute_of_day) % DAY_MINUTES)
    if tariff.clock == "utc":
        edges = {(edge + int(shift)) % DAY_MINUTES for edge in edges for shift in ahead}
    for terms in tariff.versions:
        series = [s for s in (terms.series, terms.export.series if terms.export else None) if s]
        for one in series:
            edges.add(one.interval_minutes % 60)
            edges |= {int(shift) % 60 for shift in ahead if one.clock != "local" and int(shift) % one.interval_minutes}
        if terms.demand is not None:
            edges.add(terms.demand.interval_minutes % 60)
    if tariff.netting in NETTING_MINUTES:
        edges.add(NETTING_MINUTES[tariff.netting] % 60)
    if not tariff.band:
        edges.add(0)
    return tuple(time_of(edge) for edge in sorted(edges))


def signal_notes(tariff: Tariff, axis: TimeAxis, terms: Charged) -> tuple[str, ...]:
    """What was assumed when a tariff was laid on a time axis, one sentence each."""
    notes = list(terms.notes)
    if terms.split:
        step, left = shortest_step(price_edges(tariff, axis))
        cure = f"; steps of {step} minutes would end it" if step < axis.step_minutes and not left else ""
        notes.append(
            Localised(
                lambda n: (
                    f'Tariff "{tariff.name}": the price changes inside {n.number(terms.split)} of '
                    f"{n.number(axis.steps)} steps, which carry the mean weighted by time{cure}."
                )
            )
        )
    if axis.dates[0] < np.datetime64(tariff.valid_from):
        since = PLAIN.date(tariff.valid_from)
        notes.append(f'Tariff "{tariff.name}" is valid from {since} and is applied to all of {axis.year}.')
    if terms.approximate:
        phrases = ", and ".join(terms.approximate)
        notes.append(f'Tariff "{tariff.name}": the price that control sees is an approximation of the bill: {phrases}.')
    for peak in terms.peaks:
        if peak.rolling > 1:
            notes.append(
                f'Tariff "{tariff.name}": peaks of the months before {axis.year} are taken from its own end, as if the '
                "years were alike."
            )
    return tuple(dict.fromkeys(notes))
