"""Options side by side: one axis, one comfort, one set of samples, savings against the named baseline."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from homes import sample

from simkit.answers.comparison import comparison_answer
from simkit.case.build import vary
from simkit.uncertainty.ranges import Range
from simkit.year.compare import Comparison, about_even, compare
from simkit.year.simulate import simulate


@pytest.fixture(scope="module")
def canal() -> Comparison:
    return compare(sample("canal_terrace"))


def test_options_share_axis_weather_and_needed_comfort(canal: Comparison) -> None:
    first = canal.years[0]
    for year in canal.years[1:]:
        assert year.axis is first.axis or year.axis == first.axis
        np.testing.assert_array_equal(year.inputs.series["outdoor_c"], first.inputs.series["outdoor_c"])
        np.testing.assert_array_equal(year.inputs.series["needed_c"], first.inputs.series["needed_c"])
        assert year.loss_w_per_k == first.loss_w_per_k
    assert [year.case.name for year in canal.years] == [name for name, _, _ in sample("canal_terrace").options()]


def test_savings_are_against_the_baseline_and_ranges_on_differences(canal: Comparison) -> None:
    assert canal.base.case.name == "Gas boiler"
    assert canal.saving(canal.base) == 0.0
    assert canal.saving_range(canal.base) == Range(0.0, 0.0, 0.0)
    for year in canal.years[1:]:
        assert canal.saving(year) == pytest.approx(canal.base.bill.total - year.bill.total)
        paired = canal.saving_range(year)
        assert paired == Range.of(canal.base.samples.total - year.samples.total)
        assert paired.low < canal.saving(year) < paired.high
    kept, given_up = canal.years[1], canal.years[2]
    between = Range.of(kept.samples.total - given_up.samples.total)
    alone = kept.range()
    assert between.high - between.low < 0.25 * (alone.high - alone.low)


def test_table_has_a_row_for_each_option_and_says_what_it_costs(canal: Comparison) -> None:
    table = canal.table()
    assert list(table.index) == [year.case.name for year in canal.years]
    for year in canal.years:
        row = table.loc[year.case.name]
        assert row["cost"] == year.bill.total
        assert row["cost_low"] < row["cost"] < row["cost_high"]
        assert row["comfort"] == year.comfort.worded()
        assert row["fuel_kwh"] == sum(year.fuel_kwh.values())
    assert pd.isna(table.loc["Gas boiler", "spf_h4"])
    bare = canal.table(ranges=False)
    assert {"cost", "saving"} <= set(bare.columns)
    assert not {"cost_low", "saving_low"} & set(bare.columns)
    assert "Gas boiler" in repr(canal)
    assert "<table" in canal._repr_html_()


def test_options_with_different_edges_run_on_their_own_steps() -> None:
    """One option asks for quarter-hours: the other costs what it costs alone, and names are told as they begin."""
    case = sample("harbour_flat")
    options = [
        {"name": "half-hourly", "hot_water": {"windows": [{"from": "01:00", "to": "05:00"}]}},
        {"name": "quarter-hourly", "hot_water": {"windows": [{"from": "01:15", "to": "05:15"}]}},
    ]
    base = {"comfort.periods": [{"from": "07:00", "to": "22:00", "c": 20.0}], "controls.periods": [{"from": "05:00", "to": "22:00", "c": 20.5}]}  # fmt: skip
    told: list[str] = []
    made = compare(vary(case, {**base, "option": options, "baseline": "quarter-hourly"}), before_each=told.append)
    assert told == ["half-hourly", "quarter-hourly"]
    assert [year.axis.step_minutes for year in made.years] == [30, 15]
    assert made.base.case.name == "quarter-hourly"
    assert [year.bill.total for year in made.years] == [simulate(year.case).bill.total for year in made.years]
    assert about_even(*made.years)
    assert not about_even(made.base, made.base)
    steps = "one runs on steps of 30 minutes and the other of 15, which alone can move a bill by 0,3\u00a0%"
    assert steps in comparison_answer(made, ranged=False).sentence


def test_a_case_without_options_is_compared_with_itself() -> None:
    made = compare(vary(sample("harbour_flat"), {"option": None, "baseline": None}))
    assert len(made.years) == 1
    assert made.saving(made.years[0]) == 0.0
