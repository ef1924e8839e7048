"""Is it big enough: the coldest week found, shortness and cycling counted, the verdict in words."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from homes import changed
from references import Reference

from simkit.figures.selecting import coldest_week
from simkit.year.comfort import YearComfort
from simkit.year.simulate import simulate
from simkit.year.sizing import sizing

WARM, COLD = YearComfort(19.0, 10.0, 0.0, 0.0), YearComfort(16.0, 900.0, 50.0, 0.0, 700.0, 9.0, 3.0, 50.0)


def frame(days: int = 28, **columns: object) -> pd.DataFrame:
    """Four invented winter weeks in local time; the third is the coldest."""
    index = pd.date_range("2025-01-01", periods=24 * days, freq="h", tz="Europe/Brussels")
    outdoor = 5.0 - 8.0 * np.exp(-(((np.arange(24 * days) / 24.0 - 17.5) / 3.0) ** 2))
    table = pd.DataFrame(
        {"outdoor_c": outdoor, "air_c": 20.0, "space_heat_kw": 4.0, "capacity_kw": 6.0, "least_output_kw": 1.8, "short_kw": 0.0, "below_k": 0.0,
         "load_ratio": 0.6, "backup_heater_kw": 0.0, "boiler_heat_kw": 0.0}, index=index,
    )  # fmt: skip
    return table.assign(**columns)


def judge(table: pd.DataFrame, comfort: YearComfort = WARM, load: float = 5.0, capacity: float = 6.0):
    return sizing(table, 1.0, comfort, load, capacity)


def test_the_coldest_week_begins_at_midnight_and_is_the_coldest() -> None:
    table = frame()
    week = coldest_week(table)
    assert len(week) == 168
    assert week.index[0].hour == 0
    means = [table["outdoor_c"].iloc[24 * d : 24 * d + 168].mean() for d in range(22)]
    assert week.index[0] == table.index[24 * int(np.argmin(means))]
    found = judge(table)
    assert found.coldest_week_start == week.index[0]
    Reference(min(means), "own: means of seven days by hand", 1e-12, "arithmetic").check(found.coldest_week_c)


def test_hours_short_and_heat_below_the_least_output_are_counted() -> None:
    short = np.zeros(24 * 28)
    short[100:110] = 1.5
    low = np.where(np.arange(24 * 28) < 168, 0.2, 0.6)
    found = judge(frame(short_kw=short, below_k=short / 3.0, load_ratio=low))
    assert found.hours_short == 10.0
    Reference(0.25, "own: one week of four", 1e-12, "arithmetic").check(found.share_below_minimum)
    # what a hybrid's boiler gives does not cycle the machine
    by_boiler = np.where(np.arange(24 * 28) < 84, 4.0, 0.0)
    mixed = judge(frame(load_ratio=low, boiler_heat_kw=by_boiler))
    Reference(84 / (672 - 84), "own: half a week of what is left", 1e-12, "arithmetic").check(mixed.share_below_minimum)


@pytest.mark.parametrize(
    ("capacity", "comfort", "words"),
    [
        (6.0, WARM, "On the design day the machine makes 6.0 kW, enough for the 5.0 kW needed; rooms fall to 20.0 °C in the "
                    "coldest week, and all year they are as warm as needed."),
        (4.0, COLD, "On the design day the machine makes 4.0 kW of the 5.0 kW needed; comfort: too cold: 50 h under 18 °C, "
                    "up to 3.0 K below, 20.0 °C in the coldest week."),
        (9.0, WARM, "The machine is 1.8 times what the design day needs (5.0 kW): it cycles in mild weather; rooms fall to "
                    "20.0 °C in the coldest week, and all year they are as warm as needed."),
    ],
)  # fmt: skip
def test_words(capacity: float, comfort: YearComfort, words: str) -> None:
    assert judge(frame(), comfort, capacity=capacity).worded() == words


def test_of_a_year() -> None:
    """Design load is loss × span; a machine of half the size is short and leaves the room cool."""
    year = simulate(changed("estuary_bungalow"), step_minutes=60)
    found = year.sizing
    assert found is not None
    load = 0.25 * (year.case.comfort.warmest_c + 2.0)
    Reference(load, "own: 250 W/K from the warmest needed room to −2 °C", 1e-9, "by hand").check(found.design_load_kw)
    assert found.week_heat_kw < found.week_capacity_kw
    assert found.hours_short < 100.0
    weak = [point | {"capacity_kw": 0.3 * point["capacity_kw"]} for point in _points(changed("estuary_bungalow"))]
    small = simulate(
        changed("estuary_bungalow", {"heat_pump.point": weak, "heat_pump.backup_kw": 0.0}), step_minutes=60
    ).sizing
    assert small is not None
    assert small.hours_short > 1000.0
    assert f"of the {load:.1f} kW needed" in small.worded()
    assert simulate(changed("estuary_bungalow", {"heat_source": "boiler"})).sizing is None


def _points(case) -> list[dict[str, float]]:
    return [point.model_dump(exclude_none=True) for point in case.heat_pump.point]


def test_hours_in_which_the_cold_stops_the_machine_are_counted_and_said() -> None:
    table = frame()
    cold = table["outdoor_c"] < 0.0
    found = judge(table.assign(capacity_kw=np.where(cold, 0.0, 6.0)))
    assert found.hours_stopped == cold.sum() > 24
    assert f"for {cold.sum()} hours of the year the cold stops it" in found.worded()
    assert judge(table).hours_stopped == 0.0
    assert "stops" not in judge(table).worded()
