"""One rule that knows the clock, yesterday or the day: what each sees, and that knowing more never costs more."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from decide.invented import CAR, ROOF, SAMPLES, stored, tariff
from decide.schedule import test_search as test_schedules
from simkit.case.build import vary
from simkit.decide.optimum.foresight import BY_CLOCK, BY_DAY, BY_YESTERDAY, Controls, control_costs, seen_by
from simkit.decide.schedule.search import BestSchedule, best_schedule


@lru_cache(maxsize=1)
def hourly() -> BestSchedule:
    """A home on prices by the hour, with panels, a battery and a car."""
    case = vary(stored(), {"tariff": str(SAMPLES / "tariffs" / "estuary_day_ahead.toml"), "solar": ROOF, "car": CAR})
    return best_schedule(case)


def test_what_each_control_sees() -> None:
    found = hourly()
    axis, signal = found.today.axis, found.best.setting.signal.import_per_kwh
    before, day = (seen_by(found, name) for name in (BY_YESTERDAY, BY_DAY))
    dark = found.best.inputs.series["solar_kw"] <= found.best.inputs.series["household_kw"]
    assert np.array_equal(day.price[dark], signal[dark])
    noon = np.flatnonzero(axis.minute_of_day == 12 * 60)
    assert np.array_equal(before.rooms[noon[1:]], day.rooms[noon[:-1]])
    cold = found.best.inputs.series["outdoor_c"] < 0
    warm = found.best.inputs.series["outdoor_c"] > 12
    per_price = [day.water[some].sum() / day.price[some].sum() for some in (cold, warm)]
    assert per_price[0] > 1.2 * per_price[1]


def test_yesterday_is_today_where_prices_go_by_the_clock() -> None:
    """Bands by the clock and no panels: yesterday's prices are the day's own."""
    found = test_schedules.found()
    assert np.allclose(seen_by(found, BY_YESTERDAY).price, seen_by(found, BY_DAY).price)


def test_knowing_more_costs_less_on_prices_by_the_hour() -> None:
    """Fixed hours, yesterday's, the day's own: each a simulated bill; knowing the day is really cheaper here.

    By the clock nothing is cheaper than the schedule that is called the best.
    """
    costs = control_costs(hourly())
    assert list(costs) == [BY_CLOCK, BY_YESTERDAY, BY_DAY]
    assert hourly().best.bill.total == costs[BY_CLOCK] >= costs[BY_YESTERDAY] >= costs[BY_DAY]
    assert costs[BY_CLOCK] - costs[BY_DAY] > 2.0


def test_a_table_by_hand() -> None:
    found = Controls({BY_CLOCK: 1200.0, BY_YESTERDAY: 1150.0, BY_DAY: 1100.0}, 1000.0, "EUR")
    table = found.table()
    assert table.index.tolist() == [BY_CLOCK, BY_YESTERDAY, BY_DAY, "bound"]
    assert table["above_bound"].tolist() == pytest.approx([0.2, 0.15, 0.1, 0.0])


def test_no_charge_on_a_flat_price_is_moved() -> None:
    """Without a spread there is nothing to know: each control costs the same but for the weather's efficiency."""
    found = best_schedule(vary(stored(fill_below_price=None), {"tariff": tariff(0.3, 0.3)}))
    costs = control_costs(found)
    assert found.best.bill.total - costs[BY_DAY] < 0.02 * found.best.bill.total
    assert found.best.totals["battery_discharge"] == 0.0
