"""A series in our names in; values in somebody else's units found by their size, as faults and remarks, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.errors import Fault
from simkit.notation import Localised
from simkit.physics.constants import KELVIN, MJ_PER_KWH
from simkit.solar.sun import clear_sky_w_m2, sun_at

HOTTEST_C, COLDEST_C = 60.0, -70.0
HIGHEST_W_M2 = 1600.0
SKY = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")
CLEAR_DAYS = (0.6, 1.4)  # the clearest days against a cloudless sky; any climate has days near 1

# Factor from a unit to W/m² for hourly values: unit as people write it.
HOURLY_UNITS = (
    (1.0 / 0.36, "J/cm²", "multiply by 2.7778"),
    (1.0 / MJ_PER_KWH, "kJ/m²", "divide by 3.6"),
    (1e3 / MJ_PER_KWH, "MJ/m²", "multiply by 277.78"),
    (1000.0, "kWh/m²", "multiply by 1000"),
)


def wrong_units(file: str, frame: pd.DataFrame, place: tuple[float, float, float] | None) -> list[Fault]:
    """Return faults of values that can't be in our units.

    Parameters
    ----------
    file
        Name for the messages.
    frame
        Complete series, indexed by step starts in UTC.
    place
        Latitude, longitude [deg] and altitude [m], for the sky; None leaves that check out.
    """
    faults = []
    if "outdoor_c" in frame:
        faults += _of_temperature(file, frame["outdoor_c"].to_numpy())
    if "humidity" in frame:
        faults += _of_humidity(file, frame["humidity"].to_numpy())
    for name in SKY:
        if name in frame:
            faults += _of_radiation(file, name, frame[name].to_numpy())
    if not faults and place is not None and "ghi_w_m2" in frame:
        faults += _of_clear_days(file, frame, place)
    return faults


def _of_temperature(file: str, values: np.ndarray) -> list[Fault]:
    low, high, middle = float(values.min()), float(values.max()), float(np.median(values))
    given = f"outdoor_c from {low:.1f} to {high:.1f}"
    if 200.0 < middle < 330.0 and low > 150.0:
        return [Fault(file, given, "is in kelvin, and °C is needed", f"Take {KELVIN:g} from every value")]
    if HOTTEST_C < high < 140.0 and low > -80.0:
        remedy = "If it is in °F, turn it into °C: (°F - 32) / 1.8"
        return [Fault(file, given, f"is above {HOTTEST_C:g} °C, hotter than air gets", remedy)]
    if high >= 140.0 or low < COLDEST_C:
        allowed = f"is outside {COLDEST_C:g} to {HOTTEST_C:g} °C"
        remedy = "If it is in tenths of a degree, divide by 10; take out marks for missing values, such as -999"
        return [Fault(file, given, allowed, remedy)]
    return []


def _of_humidity(file: str, values: np.ndarray) -> list[Fault]:
    low, high = float(values.min()), float(values.max())
    if low < 0.0 or high > 1.15:
        given = f"humidity from {low:.2f} to {high:.2f}"
        return [
            Fault(file, given, "is outside 0 to 1", "Give shares or per cent, and take out marks for missing values")
        ]
    return []


def _of_radiation(file: str, name: str, values: np.ndarray) -> list[Fault]:
    low, high = float(values.min()), float(values.max())
    if low < -20.0:
        remedy = "Take out marks for missing values, such as -999"
        return [Fault(file, f"{name} down to {low:.0f}", "is below 0, and radiation can't be", remedy)]
    if high > HIGHEST_W_M2:
        allowed = f"is above {HIGHEST_W_M2:g} W/m², more than the sun gives"
        remedy = "If it is in kJ/m² for each hour, divide by 3.6"
        return [Fault(file, f"{name} up to {high:.0f}", allowed, remedy)]
    return []


def _of_clear_days(file: str, frame: pd.DataFrame, place: tuple[float, float, float]) -> list[Fault]:
    """Hold the clearest days against a cloudless sky; whole days, so that a wrong clock doesn't matter."""
    index = pd.DatetimeIndex(frame.index)
    day = ((index - index[0]) // pd.Timedelta(days=1)).to_numpy()
    if day[-1] < 60:
        return []
    middle = index + (index[1] - index[0]) / 2
    clear = np.bincount(day, weights=clear_sky_w_m2(sun_at(middle, *place)))
    total = np.bincount(day, weights=frame["ghi_w_m2"].to_numpy())
    bright = clear > 0.3 * clear.max()
    best = float(np.quantile(total[bright] / clear[bright], 0.97))
    if CLEAR_DAYS[0] <= best <= CLEAR_DAYS[1] or best <= 0.0:
        return []
    allowed = f"has clear days with {100 * best:.2g} % of what a cloudless sky brings there, so it is not in W/m²"
    near = min(HOURLY_UNITS, key=lambda unit: abs(np.log(best * unit[0])))
    hint = abs(np.log(best * near[0])) < 0.35
    remedy = f"If it is in {near[1]} for each hour, {near[2]}" if hint else "Turn it into mean W/m² over each step"
    return [Fault(file, "ghi_w_m2", allowed, remedy)]


def odd_magnitudes(file: str, frame: pd.DataFrame) -> tuple[str, ...]:
    """Return sentences on values that are odd but possible."""
    odd: list[str] = []
    if "outdoor_c" in frame:
        values = frame["outdoor_c"].to_numpy()
        if float(values.mean()) > 32.0:
            mean = float(values.mean())
            odd.append(Localised(lambda n: f"The mean temperature in {file} is {n.number(mean, 1)} °C: is it in °F?"))
        if len(values) > 48 and float(values.std()) < 0.5:
            odd.append(f"The temperature in {file} hardly moves.")
    if "humidity" in frame and float(frame["humidity"].max()) < 0.5:
        odd.append(f"Relative humidity in {file} never reaches 0.5.")
    return tuple(odd)
