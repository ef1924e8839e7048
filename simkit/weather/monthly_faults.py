"""Monthly figures in; every contradiction among them, as faults, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from simkit.clock import TimeAxis
from simkit.errors import Fault
from simkit.physics.constants import MJ_PER_KWH
from simkit.times_of_day import MONTHS
from simkit.weather.air import LEAST_K, MOST_K, Fit
from simkit.weather.months import month_days
from simkit.weather.sky import DARKEST, Heaven

WHERE = "[weather]"
HOTTEST_MONTH_C = 42.0  # own: no month of any inhabited place has a higher mean
ROUNDING_KWH_M2 = 0.5  # tables print whole numbers: where the sun hardly rises they say 0, or 1


def monthly_faults(source: Any, axis: TimeAxis, over: Heaven) -> list[Fault]:
    """Return what can't be true of monthly figures that are each within their bounds.

    Parameters
    ----------
    source
        The monthly figures, as in `simkit.weather.monthly.synthesise`.
    axis, over
        Hourly axis and the sun over it.
    """
    missing = [
        Fault(WHERE, key, "is missing, and monthly figures need it", f"Give twelve values: {key} = [..]")
        for key in ("daily_range_k", "humidity")
        if getattr(source, key) is None
    ]
    return missing or [*_of_warmth(source, axis), *_of_sky(source, over)]


def _named(key: str, month: int, value: float) -> str:
    return f"{key} of {MONTHS[month]} = {value:g}"


def _of_warmth(source: Any, axis: TimeAxis) -> Iterator[Fault]:
    if source.mean_c is not None:
        worst = int(np.argmax(source.mean_c))
        mean = float(source.mean_c[worst])
        if mean > HOTTEST_MONTH_C:
            allowed = f"is above {HOTTEST_MONTH_C:g} °C, warmer than any month anywhere"
            remedy = f"If the figures are in °F, write (°F - 32) / 1.8: {(mean - 32.0) / 1.8:.1f}"
            yield Fault(WHERE, _named("mean_c", worst, mean), allowed, remedy)
        return
    base = float(source.degree_day_base_c)
    most = month_days(axis) * (base + 50.0)
    for month, given in enumerate(source.degree_days):
        if given > most[month]:
            allowed = f"would need a mean below -50 °C at the base {base:g} °C"
            remedy = f"If they are in °F, divide by 1.8: {given / 1.8:.0f}"
            yield Fault(WHERE, _named("degree_days", month, given), allowed, remedy)


def _of_sky(source: Any, over: Heaven) -> Iterator[Fault]:
    for month, value in enumerate(source.radiation_kwh_m2 or ()):
        yield from _of_radiation(month, float(value), float(over.month_clear_kwh_m2[month]))
    for month, value in enumerate(source.sunshine_hours or ()):
        most = over.month_daylight_h[month]
        if value > most:
            allowed = f"is more than the {most:.0f} hours of daylight at this latitude"
            remedy = "Give the hours of bright sunshine of the month, or mend latitude_deg"
            yield Fault(WHERE, _named("sunshine_hours", month, float(value)), allowed, remedy)


def _of_radiation(month: int, value: float, most: float) -> Iterator[Fault]:
    named = _named("radiation_kwh_m2", month, value)
    if value > most + ROUNDING_KWH_M2:
        allowed = f"is more than {most:.0f}, which a cloudless month brings at this latitude"
        hint = f"If it is in MJ/m², divide by 3.6: {value / MJ_PER_KWH:.0f}"
        remedy = (
            hint if value / MJ_PER_KWH < most else "Give the month's sum on the level in kWh/m², or mend latitude_deg"
        )
        yield Fault(WHERE, named, allowed, remedy)
    elif value < DARKEST * most - ROUNDING_KWH_M2:
        allowed = f"is less than {DARKEST * most:.1f}, which the darkest sky lets through at this latitude"
        remedy = "Give the month's sum (not the mean of a day) on the level in kWh/m², or mend latitude_deg"
        yield Fault(WHERE, named, allowed, remedy)


def anomaly_faults(site: Any, fit: Fit) -> list[Fault]:
    """Return the fault of a design cold that the months' figures can't reach."""
    given = f"design_outdoor_c = {site.design_outdoor_c:g}"
    coldest = f"a coldest month of {fit.mean_c.min():.1f} °C"
    if fit.anomaly_k > 0.999 * MOST_K:
        allowed = f"is too cold for {coldest}: its days would have to differ more than they do in any climate"
        remedy = "Give the temperature that is undercut in 0.4 % of the hours of a usual year, not a record"
        return [Fault("[site]", given, allowed, remedy)]
    if fit.anomaly_k < 1.001 * LEAST_K:
        allowed = f"is too warm for {coldest}: the daily range alone leads below it"
        remedy = "Give the temperature that is undercut in 0.4 % of the hours, or a smaller daily_range_k"
        return [Fault("[site]", given, allowed, remedy)]
    return []
