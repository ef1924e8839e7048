"""Where a home stands and how warm its months are in; cold feed, daily range, humidity, ground and carbon of it out."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.case.shipped import default_table
from simkit.schema.country_codes import country_of_zone
from simkit.schema.overlay import Table

Follower = tuple[tuple[str, str], Any, str]
CLIMATE_FOLLOWERS = (
    ("hot_water", "cold_water_c"), ("hot_water", "cold_water_swing_k"), ("weather", "daily_range_k"),
    ("weather", "humidity"), ("heat_pump", "source_c"), ("carbon", "electricity_g_per_kwh"), ("carbon", "source"),
)  # fmt: skip

# Burch and Christensen 2007, Towards development of an algorithm for mains water temperature: 6 °F over the mean of the
# air, with a share of half its yearly range of 0.4, and 0.01 more for each °F that the mean is over 44 °F.
OVER_AIR_K, SHARE, SHARE_PER_K, SHARE_AT_C = 6.0 / 1.8, 0.4, 0.018, (44.0 - 32.0) / 1.8
BURCH = "Burch and Christensen 2007, from the place's monthly means"
COLDEST_FEED_C, WARMEST_FEED_C = 3.0, 25.0  # own: pipes lie below the frost, and under the bound of the key
# Daily range [K] and humidity [-] of an inland climate, smoothed from the typical year of PVGIS 5.3 at 45° N 8° E,
# whose months range over 18 K. Those of defaults.toml are a mild maritime one: five stations of Met Éireann in 2017
# range over 7 to 9 K, with 3.5 to 9.5 K in a day and a humidity of 0.77 to 0.94.
INLAND_RANGE_K = (7.5, 8.5, 9.5, 9.5, 10.0, 11.0, 11.0, 10.0, 9.5, 8.0, 7.5, 7.5)
INLAND_HUMIDITY = (0.84, 0.81, 0.76, 0.74, 0.72, 0.66, 0.66, 0.70, 0.73, 0.80, 0.82, 0.88)
MARITIME_K, INLAND_K = 12.0, 18.0  # range of the months over which the one climate becomes the other
BETWEEN = "own: {} between a mild maritime climate and an inland one (PVGIS 45° N 8° E), by the range of its months"
GROUND_OVER_AIR_K = 1.0  # common practice: undisturbed ground is a little warmer than the mean of the air
# common practice: brine is cooler than the ground by what it takes from it; groundwater is as warm
BRINE_UNDER_K = {"ground": 7.0, "constant": 0.0}


def climate_followers(said: Table) -> Iterator[Follower]:
    """Yield the defaults that follow from the place and its monthly means.

    Parameters
    ----------
    said
        What the user said.
    """
    yield from _carbon(_of(said, "site"), _of(said, "carbon"))
    means = _means(_of(said, "weather"))
    if means is None:
        return
    mean, span = float(means.mean()), float(np.ptp(means))
    feed = float(np.clip(mean + OVER_AIR_K, COLDEST_FEED_C, WARMEST_FEED_C))
    swing = min(max(SHARE + SHARE_PER_K * (mean - SHARE_AT_C), 0.0) * span / 2.0, feed - 1.0)
    yield ("hot_water", "cold_water_c"), round(feed, 1), BURCH
    if "cold_water_c" not in _of(said, "hot_water"):
        yield ("hot_water", "cold_water_swing_k"), round(min(swing, 15.0), 1), BURCH
    yield from _days(_of(said, "site"), span)
    machine = _of(said, "heat_pump")
    drawn = {"_ground": "ground", "_groundwater": "constant"}
    by_curve = drawn.get(str(machine.get("regression")).removeprefix("staffell2012").removeprefix("ruhnau2019"))
    source = machine.get("source", by_curve)
    if source in BRINE_UNDER_K:
        ground = round(mean + GROUND_OVER_AIR_K - BRINE_UNDER_K[source], 1)
        yield ("heat_pump", "source_c"), ground, "common practice: from the mean of the air of the place"


def _of(said: Table, section: str) -> Table:
    table = said.get(section)
    return table if isinstance(table, Mapping) else {}


def _means(weather: Table) -> Floats | None:
    """Mean outdoor temperature of each month [°C]; None where it isn't stated so, or not right."""
    means = weather.get("mean_c")
    if not isinstance(means, list | tuple) or len(means) != 12:
        return None
    if not all(isinstance(c, int | float) and not isinstance(c, bool) and -50 <= c <= 45 for c in means):
        return None
    return np.array(means, dtype=np.float64)


def _days(site: Table, span_k: float) -> Iterator[Follower]:
    """Daily range and humidity, where the months range over more than those of a mild coast."""
    inland = float(np.clip((span_k - MARITIME_K) / (INLAND_K - MARITIME_K), 0.0, 1.0))
    if inland <= 0.0:
        return
    latitude = site.get("latitude_deg")
    southern = isinstance(latitude, int | float) and latitude < 0
    for key, far, digits in (("daily_range_k", INLAND_RANGE_K, 1), ("humidity", INLAND_HUMIDITY, 2)):
        near = np.array(default_table()["weather"][key], dtype=np.float64)
        made = near + inland * (np.array(far) - near)
        values = np.roll(made, 6) if southern else made
        where = "wholly inland" if inland >= 1.0 else "part of the way"
        yield ("weather", key), [round(float(value), digits) for value in values], BETWEEN.format(where)


def country_of(site: Table) -> str:
    """The country that a site states, or that of its zone; whatever is written there, as text."""
    return str(site.get("country", country_of_zone().get(str(site.get("zone")))))


def _carbon(site: Table, carbon: Table) -> Iterator[Follower]:
    """Carbon of the electricity of the country, and where that is from; of a stated figure, that it was stated."""
    if "electricity_g_per_kwh" in carbon:
        yield ("carbon", "source"), "as stated", "own (silent)"
        return
    country = country_of(site)
    found = carbon_by_country().get(country)
    if found is not None:
        year, grams = found
        source = f"Ember, Yearly Electricity Data: {country} in {year}"
        yield ("carbon", "electricity_g_per_kwh"), grams, source
        yield ("carbon", "source"), source, "own (silent)"


@cache
def carbon_by_country() -> dict[str, tuple[int, float]]:
    """Year and carbon of a kWh of electricity [g], by ISO 3166 code."""
    text = files("simkit.case").joinpath("carbon_by_country.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {row["country"]: (int(row["year"]), float(row["g_per_kwh"])) for row in rows}
