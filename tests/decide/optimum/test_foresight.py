"""One rule that knows the clock, yesterday or the day: what each sees, and that knowing more never costs more."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from decide.invented import CAR, ROOF, SAMPLES, few_candidates, stored
from simkit.case.build import vary
from simkit.decide.optimum.bound import Plan
from simkit.decide.optimum.day_by_day import FORECAST, PERFECT, YESTERDAYS, DayByDay, Knowledge, PeaksSoFar
from simkit.decide.optimum.foresight import BY_CLOCK, BY_DAY, BY_FORECAST, BY_YESTERDAY, Controls
from simkit.decide.optimum.least_prices import PeakTerm
from simkit.decide.optimum.optimum import Optimum
from simkit.decide.optimum.plan_in_kernel import Followed
from simkit.decide.schedule.search import BestSchedule, best_schedule
from simkit.kernel.inputs import HomeInputs


@lru_cache(maxsize=1)
def hourly() -> BestSchedule:
    """A home on prices by the hour, with panels, a battery and a car."""
    case = vary(stored(), {"tariff": str(SAMPLES / "tariffs" / "estuary_day_ahead.toml"), "solar": ROOF, "car": CAR})
    with few_candidates():
        return best_schedule(case)


def controller(knows: Knowledge) -> DayByDay:
    found = hourly()
    made = DayByDay(
        found.today, HomeInputs(found.best.inputs.home, found.today.inputs.start, found.best.inputs.series), knows
    )
    made.settings = {name: made.begin.series[name] for name in ("set_point_c", "curve_shape", "water_target_c")}
    return made


def test_what_each_control_sees() -> None:
    """Three days each: as they come, half of what changes, or yesterday three times; nothing of the day leaks."""
    perfect, forecast, yesterdays = (controller(knows) for knows in (PERFECT, FORECAST, YESTERDAYS))
    n, first = perfect.slots, 40 * perfect.slots
    outdoor, price = perfect.begin.series["outdoor_c"], perfect.prices["import"]
    day, before = slice(first, first + 3 * n), slice(first - n, first)
    seen = [each._seen(first) for each in (perfect, forecast, yesterdays)]
    assert np.array_equal(seen[0]["outdoor_c"], outdoor[day])
    assert np.array_equal(seen[2]["outdoor_c"], np.tile(outdoor[before], 3))
    assert np.allclose(seen[1]["outdoor_c"], 0.5 * (seen[0]["outdoor_c"] + seen[2]["outdoor_c"]))
    assert np.array_equal(seen[1]["import"][:n], price[first : first + n])
    assert np.array_equal(seen[1]["import"][n:], np.tile(price[before], 2))
    assert np.array_equal(seen[2]["import"], np.tile(price[before], 3))


def test_a_forecast_errs_like_forecasts_do() -> None:
    """Its mean temperature of the coming day misses by 0.5 to 2 K in the root mean square, as is common practice."""
    made = controller(FORECAST)
    days = range(made.slots, made.steps - 3 * made.slots, made.slots)
    outdoor = made.begin.series["outdoor_c"]
    off = [(made._seen(k)["outdoor_c"] - outdoor[k : k + 3 * made.slots])[: made.slots].mean() for k in days]
    assert 0.5 < np.sqrt(np.mean(np.square(off))) < 2.0


def test_knowing_more_costs_less_on_prices_by_the_hour() -> None:
    """Fixed hours, yesterday's, a forecast: each a simulated bill; settling each day is really cheaper here."""
    best = hourly().best
    grid = np.column_stack([best.flow("grid_import"), best.flow("grid_export")])
    followed = Followed(best.bill.total, grid, best.inputs)
    costs = Optimum(0.5 * best.bill.total, Plan({}, 0.0), followed, hourly()).control.costs
    assert list(costs) == [BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY]
    assert best.bill.total == costs[BY_CLOCK] >= costs[BY_YESTERDAY] >= costs[BY_FORECAST] >= costs[BY_DAY]
    assert costs[BY_CLOCK] - costs[BY_FORECAST] > 2.0


def test_a_charge_on_peaks_counts_what_a_month_has_not_had_yet() -> None:
    """By hand: 10 a kW in each month; 3 kW so far, a course with 5 adds 20, one with 2 nothing."""
    month = np.repeat(np.arange(12), 10)
    made = PeaksSoFar(PeakTerm(np.arange(120), np.ones(120), month, np.full(120, 1.0), 2.0))
    at = np.arange(10)
    made.lived(at, np.full((10, 1), 3.0))
    courses = np.full((10, 2), 2.0)
    courses[4, 0] = 5.0
    assert made.cost(at, courses).tolist() == [20.0, 0.0]
    assert made.cost(at + 10, courses).tolist() == [30.0, 0.0]


def test_a_table_by_hand() -> None:
    found = Controls({BY_CLOCK: 1200.0, BY_YESTERDAY: 1150.0, BY_FORECAST: 1120.0, BY_DAY: 1100.0}, 1000.0, "EUR")
    table = found.table()
    assert table.index.tolist() == [BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY, "bound"]
    assert table["above_bound"].tolist() == pytest.approx([0.2, 0.15, 0.12, 0.1, 0.0])
