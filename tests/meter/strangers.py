"""A number in; the readings of an invented home that obeys another model than the kit's, and its weather, out.

Two kinds, neither of which knows of `simkit.physics`: a degree-day home, whose days are a line on the day's temperature
with random people, and a building of five nodes, integrated by scipy. What their owners would say of them is the
flagship's case: loss, household and water lie about it as homes do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.signal import cont2discrete

from meter.homes import flagship
from meter.invented import INVENTED_YEARS, _years
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.reading.reading import Readings, readings_from

START, DAYS, LEAD_DAYS = "2025-01-16", 70, 14  # ends before the clocks change
AWAY_SHARE = 0.3  # of the homes: three to seven days with nobody in
SUN_SHARE = 0.5  # of what falls on a square metre of window, kept out by frame, glass and curtain


@dataclass(frozen=True, eq=False)
class Stranger:
    """A home of another model: its heat loss [W/K], days [kWh] of electricity and the weather it had."""

    loss_w_per_k: float
    readings: Readings
    weather: WeatherThen

    def part(self, first: int, last: int) -> Readings:
        """Some of its days."""
        return readings_from(self.readings.frame.iloc[first:last], zone=self.readings.zone, name="part")


def _weather(number: int) -> tuple[WeatherThen, pd.DataFrame]:
    year = _years(flagship(), 60, 2025, 91)[number % INVENTED_YEARS]
    return WeatherThen({2025: year}, year.axis.utc[0], ()), year.frame


def _slow(rng: np.random.Generator, likeness: float, days: int = DAYS) -> np.ndarray:
    """Days alike by `likeness`, of variance one, (days,)."""
    z = rng.normal(size=days)
    for k in range(1, days):
        z[k] = likeness * z[k - 1] + (1.0 - likeness**2) ** 0.5 * z[k]
    return z


def _people(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Household electricity and hot water of days [kWh], and whether anybody is in, (days,) each."""
    case = flagship()
    weekend = np.arange(DAYS) % 7 >= 5
    lively = np.exp(0.12 * _slow(rng, rng.uniform(0.5, 0.9)) + 0.15 * rng.normal(size=DAYS) - 0.018)
    household = case.household.annual_kwh / 365.0 * 1.1 * np.exp(0.2 * rng.normal()) * lively * (1.0 + 0.12 * weekend)
    water = 5.8 * np.exp(0.25 * rng.normal()) * np.exp(0.3 * rng.normal(size=DAYS) - 0.045)
    there = np.ones(DAYS, dtype=bool)
    if rng.random() < AWAY_SHARE:
        first = int(rng.integers(3, DAYS - 12))
        there[first : first + int(rng.integers(3, 8))] = False
    return np.where(there, household, 0.3 * household), np.where(there, water, 0.0), there


def _readings(daily: np.ndarray) -> Readings:
    starts = pd.date_range(START, periods=DAYS + 1, freq="1D", tz=flagship().site.zone).tz_convert("UTC")
    frame = pd.DataFrame({"end": starts[1:], "import_kwh": np.round(daily, 2)}, index=starts[:-1])
    return readings_from(frame, zone=flagship().site.zone, name="invented by another model")


def _hours(frame: pd.DataFrame, *names: str) -> list[np.ndarray]:
    """Columns of the weather from the days before the home's first to its last, hourly."""
    first = frame.index.get_loc(pd.Timestamp(START, tz=flagship().site.zone).tz_convert("UTC"))
    assert isinstance(first, int)
    return [frame[name].to_numpy()[first - 24 * LEAD_DAYS : first + 24 * DAYS] for name in names]


def _cop(outdoor_c: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """A share of Carnot between the air, 8 K of exchangers apart, and water on a straight curve: 55 °C at -2, 28 at 16."""
    water = 55.0 - 1.5 * (outdoor_c + 2.0)
    return 0.42 * float(np.exp(0.1 * rng.normal())) * (water + 273.15) / (water - outdoor_c + 8.0)


def degree_day_home(number: int) -> Stranger:
    """Heat of a day = loss × (base − mean of this day and the last), with a base that people move; a COP by the day.

    The base is what the owners hold, 20.7 °C over the day, less 2.3 K of people and appliances and 1 K of winter's sun.
    """
    rng = np.random.default_rng([number, 41])
    weather, frame = _weather(number)
    means = _hours(frame, "outdoor_c")[0].reshape(-1, 24).mean(axis=1)
    outdoor = means[LEAD_DAYS:]
    felt = 0.65 * outdoor + 0.35 * means[LEAD_DAYS - 1 : -1]
    household, water, there = _people(rng)
    loss = loss_w_per_k(flagship()) * float(np.exp(0.15 * rng.normal()))
    base = 17.4 + 0.8 * rng.normal() + 0.4 * _slow(rng, rng.uniform(0.4, 0.95)) + 0.3 * rng.normal(size=DAYS)
    heat = loss * 24.0 / 1000.0 * np.maximum(base - felt - np.where(there, 0.0, 3.0), 0.0)
    cop = _cop(outdoor, rng)
    used = household + heat / cop + (water + 1.5) / (0.85 * cop) + 0.5
    return Stranger(loss, _readings(used), weather)


def five_node_home(number: int, step_hours: float = 1.0) -> Stranger:
    """Air, furniture, inner and outer walls and ground floor [°C]: conductances and capacities, heated to a set-point.

    Own: shares and capacities of a medium bungalow. The steps are exact for inputs that are constant in them
    (scipy.signal.cont2discrete); the heat of a step is what brings the air to its set-point, as far as there is power.
    """
    rng = np.random.default_rng([number, 43])
    weather, frame = _weather(number)
    outdoor, sun = _hours(frame, "outdoor_c", "ghi_w_m2")
    lead = 24 * LEAD_DAYS
    household, water, there = _people(rng)
    loss = loss_w_per_k(flagship()) * float(np.exp(0.15 * rng.normal()))
    fresh, ground, walls = 0.35 * loss, 0.15 * loss, 0.5 * loss
    links = np.zeros((5, 6))  # W/K to other nodes; the last column is outdoors
    for i, j, g in ((0, 1, 900.0), (0, 2, 1500.0), (2, 3, 2.0 * walls), (0, 4, 2.0 * ground)):
        links[i, j] = links[j, i] = g
    links[0, 5], links[3, 5], links[4, 5] = fresh, 2.0 * walls, 2.0 * ground
    capacity = np.array([0.4, 3.0, 6.0, 9.0, 8.0]) * np.exp(0.3 * rng.normal(size=5))  # kWh/K
    flow = links[:, :5] - np.diag(links.sum(axis=1))
    a = flow / 1000.0 / capacity[:, None]
    # inputs: outdoors [K], heat to the air, heat to the furniture [kW]
    b = np.column_stack([links[:, 5] / 1000.0, np.eye(5)[0], np.eye(5)[1]]) / capacity[:, None]
    step, into, *_ = cont2discrete((a, b, np.eye(5), np.zeros((5, 3))), step_hours)
    day = np.maximum(np.arange(len(outdoor)) // 24 - LEAD_DAYS, 0)
    hour = np.arange(len(outdoor)) % 24
    held = 21.0 + 0.6 * rng.normal() + (0.25 * _slow(rng, 0.8) + 0.2 * rng.normal(size=DAYS))[day]
    wanted = np.where((hour >= 5) & (hour < 23), held, held - 1.0) - np.where(there[day], 0.0, 3.0)
    inside = (household[day] * 0.9 / 24.0 + np.where(there[day], 0.16, 0.0)) * float(np.exp(0.25 * rng.normal()))
    sunny = 16.0 * SUN_SHARE * 0.55 * sun / 1000.0 * float(np.exp(0.35 * rng.normal()))
    node, heat = np.full(5, 18.0), np.zeros(len(outdoor))
    for k in range(len(outdoor)):
        free = step @ node + into @ np.array([outdoor[k], 0.4 * inside[k], 0.6 * inside[k] + sunny[k]])
        heat[k] = np.clip((wanted[k] - free[0]) / into[0, 1], 0.0, 9.0)
        node = free + into[:, 1] * heat[k]
    cop = _cop(outdoor, rng)
    electric = (heat / cop)[lead:].reshape(DAYS, 24).sum(axis=1)
    mean_cop = cop[lead:].reshape(DAYS, 24).mean(axis=1)
    return Stranger(loss, _readings(household + electric + (water + 1.5) / (0.85 * mean_cop) + 0.5), weather)
