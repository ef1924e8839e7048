"""One home in; the same yearly cost to the cent out, whichever question is asked of it."""

from __future__ import annotations

import pytest
from homes import NAMES, SAMPLES

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.case.money.money import Measure
from simkit.decide.flow.sweep import sweep_flow
from simkit.decide.measures.combinations import combined
from simkit.decide.schedule.search import best_schedule
from simkit.decide.tariff.ranking import rank_tariffs
from simkit.decide.tariff.shifting import NOT_AT_ALL
from simkit.year.compare import compare
from simkit.year.simulate import simulate

CENT = 0.005
QUARTER = {"name": "quarter-hours", "hot_water": {"windows": [{"from": "01:15", "to": "05:15"}]}}


def alone(case: Case) -> Case:
    return vary(case, {"option": None, "baseline": None})


@pytest.mark.parametrize("name", NAMES)
def test_run_compare_and_tariffs_say_one_number(name: str) -> None:
    case = read_case(SAMPLES / name / "case.toml")
    for year in compare(case).years:
        assert year.bill.total == pytest.approx(simulate(year.case).bill.total, abs=CENT)
    ranking = rank_tariffs(case, shifting=NOT_AT_ALL)
    assert ranking.own.as_is.cost == pytest.approx(simulate(case).bill.total, abs=CENT)


def test_an_option_with_finer_edges_moves_no_other() -> None:
    case = alone(read_case(SAMPLES / "estuary_bungalow" / "case.toml"))
    beside = compare(vary(case, {"option": [{"name": "as it is"}, QUARTER], "baseline": "as it is"}))
    assert [year.axis.step_minutes for year in beside.years] == [30, 15]
    assert beside.base.bill.total == pytest.approx(simulate(case).bill.total, abs=CENT)
    assert len({year.loss_w_per_k for year in beside.years}) == 1


def test_sweep_schedules_and_measures_start_from_the_same_number() -> None:
    case = alone(read_case(SAMPLES / "estuary_bungalow" / "case.toml"))
    wanted = simulate(case).bill.total
    measure = Measure.model_validate(
        {"name": "cooler", "changes": ("controls.setback_c = 17.0",), "cost": 0.0, "life_years": 10.0,
         "bother": "none", "who": "you"}
    )  # fmt: skip
    assert combined(case, [measure]).costs[0, 0] == pytest.approx(wanted, abs=CENT)
    assert best_schedule(case).today.bill.total == pytest.approx(wanted, abs=CENT)
    flow = float(case.controls.design_flow_c or 0.0)
    assert sweep_flow(case, [flow]).table["year_cost"].iloc[0] == pytest.approx(wanted, abs=CENT)
