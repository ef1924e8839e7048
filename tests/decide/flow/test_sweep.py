"""Many flows and sets at once against one year each, and what must fall or hold with the flow."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.sweep import sweep_flow
from simkit.errors import CaseError
from simkit.year.rooms import rooms_of
from simkit.year.simulate import simulate

SAMPLE = Path(__file__).parents[3] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home() -> Case:
    return vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})


@cache
def sets() -> tuple[Case, ...]:
    return home(), vary(home(), {"name": "bigger study", "room.study.rated_kw": 1.4})


@cache
def sweep() -> pd.DataFrame:
    return sweep_flow(home(), np.arange(38.0, 61.0, 2.0), sets=sets()).table


@pytest.mark.parametrize(("number", "flow"), [(0, 38.0), (0, 54.0), (1, 46.0)])
def test_every_row_is_the_year_that_would_be_simulated_alone(number: int, flow: float) -> None:
    case = vary(sets()[number], {"controls.design_flow_c": flow})
    row = sweep().query("emitters == @case.name and design_flow_c == @flow").iloc[0]
    year = simulate(case)
    # the bill is rounded month by month and line by line, the sweep is not: under 1 a year
    assert row["year_cost"] == pytest.approx(year.bill.total, abs=0.5)
    assert row["spf_h4"] == pytest.approx(year.spf.h4, rel=1e-9)
    assert row["below_kh"] == pytest.approx(year.comfort.degree_hours_below, rel=1e-9, abs=1e-9)
    assert row["design_room_c"] == pytest.approx(rooms_of(year).coldest_room_c)


def test_a_lower_flow_never_lowers_the_performance_of_space_heating() -> None:
    for _, rows in sweep().groupby("emitters"):
        assert (rows["space_h4"].diff().dropna() <= 1e-9).all()
        assert (rows["design_short_k"].diff().dropna() <= 1e-9).all()


def test_bigger_emitters_never_leave_a_room_colder() -> None:
    small, big = (sweep().query("emitters == @c.name")["design_short_k"].to_numpy() for c in sets())
    assert (big <= small + 1e-9).all()


def test_a_house_without_rooms_has_no_column_of_rooms() -> None:
    plain = vary(home(), {"room": None})
    assert "design_room_c" not in sweep_flow(plain, [45.0, 50.0]).table.columns


@pytest.mark.parametrize(
    ("changes", "flows", "words"),
    [
        ({}, [40.0, 70.0], "flow temperatures: 70 °C is above what can be sent, 62 °C. Stay at 62 or below."),
        ({}, [21.0, 50.0], "flow temperatures: 21 °C is not above the warmest room, 21 °C. Stay above 21."),
        ({"controls.flow": "least"}, [45.0], 'flow = "least" follows the load, whatever the design flow'),
        ({"heat_source": "boiler"}, [45.0], 'heat_source = "boiler" has no curve of a heat pump alone'),
    ],
)
def test_flows_that_cannot_be(changes: dict[str, object], flows: list[float], words: str) -> None:
    with pytest.raises(CaseError) as caught:
        sweep_flow(vary(home(), changes), flows)
    assert words in str(caught.value)
