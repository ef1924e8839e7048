"""What is said of measures: what is free isn't bought, a budget that buys nothing worth it says what it would buy."""

from __future__ import annotations

from functools import lru_cache

import pytest
from decide.measures.test_ladder import LOFT, measure, other_tariff
from decide.measures.test_ladder import home as cold_home

from simkit.answers.answer import Answer
from simkit.answers.money.measures import measures_answer
from simkit.case.build import Case, vary
from simkit.decide.measures.ladder import Ladder, rank_measures

CURVE = measure("curve", "controls.design_flow_c = 49.0")
WARMER = measure(
    "warmer", "controls.design_flow_c = 56.0", "controls.recovery_lift_k = 8.0", "controls.heating_limit_c = 18.0",
    cost=300.0,
)  # fmt: skip
SOLAR = measure("solar", "solar.array = [{ kwp = 3.0, tilt_deg = 35.0, azimuth_deg = 180.0 }]", "solar.inverter_kw = 3.0",
                cost=900.0)  # fmt: skip


@lru_cache(maxsize=1)
def home() -> Case:
    """The cold home of the ladder's tests, made warm."""
    changes = {"controls.design_flow_c": 56.0, "controls.recovery_lift_k": 8.0, "controls.heating_limit_c": 18.0}
    return vary(cold_home(), changes)


@lru_cache(maxsize=1)
def ladder() -> Ladder:
    return rank_measures(home(), (CURVE, LOFT))


@lru_cache(maxsize=1)
def cold_ladder() -> Ladder:
    return rank_measures(cold_home(), (CURVE, WARMER, SOLAR))


def answered(found: Ladder, *budgets: float) -> Answer:
    return measures_answer(found, **({"budgets": budgets} if budgets else {}), ranged=False)


def test_a_budget_buys_only_what_costs_money() -> None:
    found, notation = ladder(), home().notation
    answer = answered(found, LOFT.cost)
    more = found.best(LOFT.cost).saved - found.best(0.0).saved
    assert "loft" in found.best(LOFT.cost).names
    price = notation.money(LOFT.cost)
    curve = more - found.alone("loft")
    assert (
        f"{price} buys “loft” for {price}: {notation.money(more)} less a year, {notation.money(curve)} of it by “curve”, "
        "which is free and is advised only with it." in answer.sentences
    )
    budgets = answer.tables[1].frame
    assert (budgets["buys_words"].tolist(), budgets["free_words"].tolist()) == (["loft"], ["curve"])


def test_what_is_free_is_told_as_the_gain_of_the_first_step_that_makes_it_possible() -> None:
    found, money = ladder(), home().notation.money
    loft, curve = found.rungs
    first = answered(found).sentences[0]
    assert first == (
        f"Begin with “loft” for {money(LOFT.cost)}: it saves {money(loft.adds)} a year; with it you can have “curve”, "
        f"which is free and saves {money(curve.adds)} a year on top."
    )


def test_a_budget_that_buys_nothing_worth_it_says_what_it_buys() -> None:
    found = rank_measures(home(), [measure("dear loft", cost=9000.0, loss_saved_w_per_k=5.0, life_years=10.0)])
    little, much = (answered(found, budget).sentences[1] for budget in (500.0, 9000.0))
    money = home().notation.money
    assert little == f"{money(500)} is too little: the cheapest, “dear loft”, costs {money(9000)}."
    assert much == (
        f"{money(9000)} buys at best “dear loft” for {money(9000)}, which saves {money(found.alone('dear loft'))} a year "
        "and doesn't earn its price in its 10 years: keep the money."
    )


def test_500_2000_and_8000_where_no_budget_is_named() -> None:
    assert [row["budget"] for row in answered(ladder()).data["budgets"]] == [500.0, 2000.0, 8000.0]
    assert [row["budget"] for row in answered(ladder(), 900.0, 100.0).data["budgets"]] == [100.0, 900.0]


def test_where_nothing_costs_money_that_is_said() -> None:
    dry = measure("dry", 'hot_water.windows = [{ from = "03:00", to = "03:30", days = "all" }]')
    said = answered(rank_measures(home(), [dry])).sentences
    assert said[0] == "Nothing that was asked about saves its price without costing comfort."
    assert said[1].startswith("Nothing that costs money is listed")
    assert said[2].startswith("“dry” is not advised by itself: the home would be ")
    assert "hot water runs short by " in said[2]


def test_a_measure_that_saves_nothing_says_so() -> None:
    said = answered(rank_measures(home(), [measure("nothing", "controls.ceiling_c = 89.0")])).sentences
    assert "“nothing” would save nothing." in said


def test_a_change_of_tariff_is_told_apart() -> None:
    found = rank_measures(home(), (CURVE, LOFT), tariffs=[other_tariff()])
    money = home().notation.money(found.switch[1])
    assert f"Changing to “Half price” alone saves {money} a year." in answered(found).sentences


def test_the_rungs_hold_the_figures() -> None:
    found = ladder()
    frame = answered(found).tables[0].frame
    assert frame["adds_amount"].tolist() == [rung.adds for rung in found.rungs]
    assert frame["saved_so_far_amount"].iloc[-1] == pytest.approx(found.rungs[-1].saved_so_far)
    assert frame["adds_low_amount"].isna().all()


def test_in_a_cold_home_what_makes_it_warm_is_said_first_with_its_price() -> None:
    found, money = cold_ladder(), cold_home().notation.money
    assert not found.advisable[found.combined.row(["curve"])]
    first, *then = answered(found, 100.0, 400.0, 8000.0).sentences
    runs = money(-found.rungs[0].adds)
    assert first.startswith("The home is too cold: ")
    assert first.endswith(
        f" What mends that comes before any saving: “warmer”, for {money(300)}; a year then costs {runs}\u00a0more to run "
        "than today."
    )
    assert f"{money(100)} doesn't give the needed comfort, which takes {money(300)}." in then
    held = "rooms are then warm enough and hot water comes, and a year then costs"
    assert any(said.startswith(f"{money(400)} buys “warmer” for {money(300)}: {held}") for said in then)
    assert any(said.startswith(f"{money(8000)} buys “warmer”, “solar” for {money(1200)}: {held}") for said in then)


def test_no_row_of_a_cold_home_praises_what_leaves_it_cold() -> None:
    rungs, budgets, _ = answered(cold_ladder(), 100.0, 400.0).tables
    assert {table.shown()[0].name for table in (rungs, budgets)} == {"comfort"}
    assert rungs.frame.index[0] == "warmer"
    assert set(rungs.frame["comfort"]) == {"warm enough"}
    assert rungs.frame.loc["warmer", "payback_words"] == "for comfort, saves nothing"
    assert budgets.frame["comfort"].iloc[0].startswith("too cold: ")
    assert budgets.frame[["saved_amount", "buys_words"]].iloc[0].tolist() == [0.0, "nothing"]
    assert budgets.frame["comfort"].iloc[1] == "warm enough"


def test_where_nothing_that_is_listed_makes_a_home_warm_that_is_said_and_what_would() -> None:
    first, *then = answered(rank_measures(cold_home(), [CURVE, SOLAR])).sentences
    assert "Nothing that was asked about gives it the needed comfort, which comes before any saving." in first
    assert "What would help: " in first
    assert any(
        said.startswith("The home stays without the needed comfort; no worse than today, “solar”") for said in then
    )
    assert not any("“curve” (free)" in said for said in then)
