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
from simkit.weather.sky import DARKEST, Heaven, clear_kwh_m2, daylight_hours

WHERE = "[weather]"
HOTTEST_MONTH_C = 42.0  # own: no month of any inhabited place has a higher mean
WIDEST_RANGE_K = 30.0  # own
ROUNDING_KWH_M2 = 0.5  # tables print whole numbers: where the sun hardly rises they say 0, or 1


def monthly_faults(site: Any, source: Any, axis: TimeAxis, over: Heaven) -> list[Fault]:
    """Return what can't be true of monthly figures, in the order in which they are written.

    Parameters
    ----------
    site
        With design_outdoor_c, latitude_deg.
    source
        The monthly figures, as in `simkit.weather.monthly.synthesise`.
    axis, over
        Hourly axis and the sun over it.
    """
    faults = list(_missing(source))
    if faults:
        return faults
    faults += _of_temperature(site, source, axis)
    faults += _of_degree_days(source, axis)
    faults += _of_range_and_humidity(source)
    return faults + list(_of_sky(source, axis, over))


def _named(key: str, month: int, value: float) -> str:
    return f"{key} of {MONTHS[month]} = {value:g}"


def _missing(source: Any) -> Iterator[Fault]:
    if source.mean_c is None and (source.degree_days is None or source.degree_day_base_c is None):
        allowed = "are both missing, and nothing else says how cold the months are"
        yield Fault(WHERE, "mean_c and degree_days", allowed, "Give the twelve mean temperatures of a usual year")
    for key in ("daily_range_k", "humidity"):
        if getattr(source, key) is None:
            yield Fault(WHERE, key, "is missing, and monthly figures need it", f"Give twelve values: {key} = [..]")
    for key in ("mean_c", "degree_days", "daily_range_k", "humidity", "radiation_kwh_m2", "sunshine_hours"):
        values = getattr(source, key)
        if values is not None and len(values) != 12:
            yield Fault(WHERE, f"{key} has {len(values)} values", "and not one for each month", "Give twelve values")


def _of_temperature(site: Any, source: Any, axis: TimeAxis) -> Iterator[Fault]:
    if source.mean_c is None:
        return
    means = np.asarray(source.mean_c, dtype=np.float64)
    worst = int(np.argmax(means))
    if means[worst] > HOTTEST_MONTH_C:
        allowed = f"is above {HOTTEST_MONTH_C:g} °C, warmer than any month anywhere"
        celsius = (means[worst] - 32.0) / 1.8
        remedy = f"If the figures are in °F, write (°F - 32) / 1.8: {celsius:.1f}"
        yield Fault(WHERE, _named("mean_c", worst, means[worst]), allowed, remedy)
    coldest = int(np.argmin(means))
    if site.design_outdoor_c >= means[coldest]:
        named = f"{means[coldest]:.1f} °C, the mean of {MONTHS[coldest]}"
        allowed = f"is not below {named}, yet 99.6 % of the hours should be warmer"
        remedy = "Give the temperature that is undercut in 0.4 % of the hours, usually 5 to 15 K below that mean"
        yield Fault("[site]", f"design_outdoor_c = {site.design_outdoor_c:g}", allowed, remedy)


def _of_degree_days(source: Any, axis: TimeAxis) -> Iterator[Fault]:
    if source.degree_days is None or source.degree_day_base_c is None:
        return
    base = float(source.degree_day_base_c)
    days = month_days(axis)
    given = np.asarray(source.degree_days, dtype=np.float64)
    if not 5.0 <= base <= 25.0:
        remedy = f"If it is in °F, write {(base - 32) / 1.8:.1f}" if base > 25.0 else "Write the base of the table"
        yield Fault(WHERE, f"degree_day_base_c = {base:g}", "is outside 5 to 25 °C, where bases lie", remedy)
        return
    for month in range(12):
        named = _named("degree_days", month, given[month])
        most = days[month] * (base + 50.0)
        if given[month] < 0.0:
            yield Fault(
                WHERE, named, "is negative, and a sum of shortfalls can't be", "Write 0 for a month without any"
            )
        elif given[month] > most:
            remedy = f"If they are in °F, divide by 1.8: {given[month] / 1.8:.0f}"
            yield Fault(WHERE, named, f"would need a mean below -50 °C at the base {base:g} °C", remedy)
        elif source.mean_c is not None:
            mean = float(source.mean_c[month])
            least = days[month] * max(base - mean, 0.0)
            if given[month] < least - 0.05 * days[month]:  # means are printed to a tenth of a kelvin
                allowed = (
                    f"is less than {least:.0f}, which a mean of {mean:g} °C needs at the base {base:g} °C "
                    f"({days[month]:.0f} days times base less mean)"
                )
                remedy = "Leave out the one of the two that is not from this place, or mend the base"
                yield Fault(WHERE, named, allowed, remedy)


def _of_range_and_humidity(source: Any) -> Iterator[Fault]:
    for month in range(12):
        width, damp = float(source.daily_range_k[month]), float(source.humidity[month])
        if width < 0.0:
            remedy = f"Give the warmest less the coldest hour of a usual day: {abs(width):g}"
            named = _named("daily_range_k", month, width)
            yield Fault(WHERE, named, "is negative, and highest less lowest can't be", remedy)
        elif width > WIDEST_RANGE_K:
            allowed = f"is above {WIDEST_RANGE_K:g} K, wider than days swing anywhere"
            remedy = f"If it is in °F, divide by 1.8: {width / 1.8:.1f}"
            yield Fault(WHERE, _named("daily_range_k", month, width), allowed, remedy)
        if not 0.0 < damp <= 1.0:
            remedy = (
                f"It is a share, not per cent: write {damp / 100:g}" if 1.0 < damp <= 100.0 else "Write 0.8 for 80 %"
            )
            yield Fault(WHERE, _named("humidity", month, damp), "is outside 0 to 1", remedy)


def _of_sky(source: Any, axis: TimeAxis, over: Heaven) -> Iterator[Fault]:
    if source.radiation_kwh_m2 is not None:
        most = clear_kwh_m2(axis, over)
        for month, value in enumerate(source.radiation_kwh_m2):
            yield from _of_radiation(month, float(value), float(most[month]))
    if source.sunshine_hours is not None:
        daylight = daylight_hours(axis, over)
        for month, value in enumerate(source.sunshine_hours):
            named = _named("sunshine_hours", month, float(value))
            if value < 0.0:
                yield Fault(WHERE, named, "is negative", "Write 0 for a month without sunshine")
            elif value > daylight[month]:
                allowed = f"is more than the {daylight[month]:.0f} hours of daylight at this latitude"
                yield Fault(
                    WHERE, named, allowed, "Give the hours of bright sunshine of the month, or mend latitude_deg"
                )


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
