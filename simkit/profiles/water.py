"""Hot-water habits in; heat drawn at the taps and cold-feed temperature per step of the time axis out.

Draws are heat above the cold feed, as wanted at the tap: what the cylinder can't give is counted elsewhere. They follow
local wall time, and every civil day holds its whole draw, the days of 23 and 25 hours included: what would fall into
an hour that the clock skips is shared by the rest of that day, an hour that comes twice shares its part.
"""

from __future__ import annotations

import csv
from importlib.resources import files
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.times_of_day import DAY_MINUTES, minute_of

USE_C = 40.0  # the temperature that "litres at 40 °C" names

# Own shape of a day, per cent of its draw in each hour from midnight. Its highest pairs of hours are 06–08 and 17–19,
# where DESNZ 2024 (Domestic hot water use in the UK, 115,000 homes) found the daily peaks; it is the same on all days,
# although the same survey finds more on Sundays.
# fmt: off
HOURLY_SHAPE = (
    0.5, 0.3, 0.2, 0.2, 0.4, 2.4, 9.0, 10.0, 7.0, 5.5, 4.5, 4.0,
    4.0, 3.5, 3.0, 3.5, 5.0, 8.0, 8.5, 7.0, 5.5, 4.0, 2.5, 1.5,
)
# fmt: on

# Coldest feed on 19 February, the 50th day (common practice: late winter). Burch and Christensen 2007, Towards
# development of an algorithm for mains water temperature, put it 35 − (T − 44 °F) days behind the coldest air, T the
# year's mean: 35 days at 6.7 °C and 29 at 10 °C, so 13 to 19 February where the air is coldest in mid-January.
COLDEST_DAY = 50


def draw_kwh(axis: TimeAxis, hot_water: Any, *, southern: bool = False) -> Floats:
    """Return the heat wanted at the taps above the cold feed in each step, shape (steps,) [kWh].

    Parameters
    ----------
    axis
        The time axis.
    hot_water
        Has either `tapping`, the name of a published load profile, or `litres_per_day_at_40` [l/day], and with the
        latter `cold_water_c` [°C] and `cold_water_swing_k` [K].
    southern
        Whether the home is south of the equator (for the season of the cold feed).

    Notes
    -----
    A load profile states energy, so it is the same on every day of the year; litres cost the more heat the colder the
    feed: kWh = l × 1.163e-3 × (40 − feed). A draw counts whole in the step in which it begins; the longest, a bath of
    6.24 kWh at 16 l/min, runs for eleven minutes.
    """
    per_step = axis.step_minutes
    slots = DAY_MINUTES // per_step
    profile = getattr(hot_water, "tapping", None)
    if profile is not None:
        draws = tapping_draws(profile)
        minutes, kwh = zip(*draws, strict=True)
        by_slot = np.bincount(np.array(minutes) // per_step, weights=kwh, minlength=slots)
        daily = np.full(axis.steps, sum(kwh))
    else:
        by_slot = np.repeat(HOURLY_SHAPE, slots // len(HOURLY_SHAPE))
        litres = float(hot_water.litres_per_day_at_40)
        daily = litres * KWH_PER_LITRE_K * (USE_C - cold_water_c(axis, hot_water, southern=southern))
    weight = by_slot[axis.minute_of_day // per_step]
    return weight * (daily / np.bincount(axis.day, weights=weight)[axis.day])


def cold_water_c(axis: TimeAxis, hot_water: Any, *, southern: bool = False) -> Floats:
    """Return the temperature of the cold water that enters the home, shape (steps,) [°C].

    A cosine over the year: mean − swing × cos(2π (day − 50) / days of the year), coldest on 19 February (or half a year
    later in the south), the same all day.

    Parameters
    ----------
    axis
        The time axis.
    hot_water
        Has `cold_water_c`, the year's mean [°C], and `cold_water_swing_k`, how far the feed goes to either side [K].
    southern
        Whether the home is south of the equator.
    """
    days = len(axis.dates)
    coldest = COLDEST_DAY + (days / 2 if southern else 0)
    angle = 2 * np.pi * (np.arange(1, days + 1) - coldest) / days
    by_day = float(hot_water.cold_water_c) - float(hot_water.cold_water_swing_k) * np.cos(angle)
    return by_day[axis.day]


@memo
def tapping_draws(profile: str) -> tuple[tuple[int, float], ...]:
    """Return the draws of a published load profile in the order of the day: minute of the day and heat [kWh].

    Source: Commission Delegated Regulation (EU) No 811/2013, Annex VII, Table 15.
    """
    text = files("simkit.profiles").joinpath("tapping_profiles.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return tuple((minute_of(row["time"]), float(row["draw_kwh"])) for row in rows if row["profile"] == profile)
