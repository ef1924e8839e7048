"""A stove, collectors and a heater in one room: what they give, when, and what becomes of loss, bill and carbon."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from homes import sample
from references import Reference

from simkit.answers.year import year_answer
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import Adjustment, home_inputs
from simkit.assemble.setting import setting_for
from simkit.billing.cost import cost_of
from simkit.case.build import Case, vary
from simkit.errors import CaseError
from simkit.explaining.catalogue import year_figures
from simkit.kernel.run import run_homes
from simkit.profiles.other_heat import OF_THE_DRAW
from simkit.uncertainty.distributions import distributions_of
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.heat_loss import sampled_losses
from simkit.year.simulate import simulate
from simkit.year.year import Year

STOVE = {"kind": "stove", "amount": 2000.0, "unit": "kg", "price_per_unit": 0.2}
HEATER = {"kwh": 500.0, "from": "18:00", "to": "21:00", "months": [12, 1]}
COLLECTORS = {"heat_kwh": 900.0}
OWN = "own: by hand from what the case states"


@cache
def home(**more: Any) -> Case:
    """The estuary home, its loss stated, with heat beside the heating."""
    parts = {"stove": STOVE, "room_heater": HEATER, "solar_thermal": COLLECTORS}
    stated = {name: {**parts[name], **dict(over)} for name, over in more.items()}
    return vary(sample("estuary_bungalow"), {**stated, "option": None, "baseline": None})


@cache
def year(**more: Any) -> Year:
    return simulate(home(**more))


@cache
def burnt(stove: tuple[tuple[str, Any], ...] | None = None) -> Case:
    """The same home, its loss found from a year of oil."""
    with_stove = {} if stove is None else {"stove": {**STOVE, **dict(stove)}}
    loss = {"home.loss": {"fuel_amount": 1700.0, "fuel_unit": "litre"}}
    return vary(sample("estuary_bungalow"), {**loss, **with_stove, "option": None, "baseline": None})


def test_a_stove_gives_what_is_stated_in_its_hours_the_more_the_colder_the_day() -> None:
    case = home(stove=())
    around = setting_for(case, 60, priced=False)
    with_it = home_inputs(case, around, 200.0).series["internal_gain_kw"]
    given = with_it - home_inputs(home(), around, 200.0).series["internal_gain_kw"]
    assert case.stove is not None
    heat = 2000.0 * 4.5 * 0.6 * 0.85
    Reference(heat, OWN, 1e-6, "2 t at 4.5 kWh/kg, SAP 10.2 Table 4a 60 %").check(
        float(given.sum()) * around.axis.hours
    )
    hour, month = around.axis.minute_of_day // 60, around.axis.month
    assert not given[(hour < 17) | (hour >= 22)].any()
    assert not given[np.isin(month, (5, 6, 7, 8, 9))].any()
    evening = np.bincount(around.axis.day, weights=given)
    cold = np.bincount(around.axis.day, weights=around.weather.frame["outdoor_c"]) / np.bincount(around.axis.day)
    lit = evening > 0.0
    assert np.corrcoef(evening[lit], cold[lit])[0, 1] < -0.999


def test_collectors_give_what_their_meter_says_and_no_day_more_than_it_draws() -> None:
    made, plain = year(solar_thermal=()), year()
    Reference(900.0, OWN, 1e-6, "as metered").check(made.beside_kwh["collectors"])
    axis, drawn = made.axis, plain.inputs.series["draw_kw"]
    left = np.bincount(axis.day, weights=made.inputs.series["draw_kw"])
    whole = np.bincount(axis.day, weights=drawn)
    assert (left >= (1.0 - OF_THE_DRAW) * whole - 1e-9).all()
    summer = np.isin(axis.month, (6, 7))
    winter = np.isin(axis.month, (12, 1))
    kept = made.inputs.series["draw_kw"] / np.where(drawn > 0.0, drawn, 1.0)
    assert kept[summer & (drawn > 0)].mean() < kept[winter & (drawn > 0)].mean()


def test_what_collectors_are_said_to_give_is_what_one_home_draws_less() -> None:
    case = vary(
        home(solar_thermal=(("heat_kwh", None), ("area_m2", 6.0))),
        {"household.profile": "one_home", "hot_water.draws_vary": True},
    )
    made, plain = simulate(case), simulate(vary(case, {"solar_thermal": None}))
    spared = (plain.inputs.series["draw_kw"] - made.inputs.series["draw_kw"]).sum() * made.axis.hours
    Reference(spared, OWN, 1e-6, "both from the same draws").check(made.beside_kwh["collectors"])


def test_collectors_that_were_never_metered_give_a_share_of_their_sun() -> None:
    found = year(solar_thermal=(("heat_kwh", None), ("area_m2", 2.0))).beside_kwh["collectors"]
    assert 400.0 < found < 900.0  # common practice: 300 to 450 kWh a year from a square metre


def test_a_stove_stands_on_the_bill_once_and_in_cost_carbon_and_lanes_alike() -> None:
    made, plain = year(stove=()), year()
    lines = [line for line in made.bill.lines if line.kind == "stove"]
    assert [line.label for line in lines] == ["Wood for the stove"]
    Reference(2000.0 * 0.2, OWN, 0.05, "months rounded to the cent").check(lines[0].amount)
    assert made.costs.by_use["other_heat_cost"] == pytest.approx(lines[0].amount, abs=0.011)
    saved = plain.totals["import"] - made.totals["import"]
    assert saved > 500.0
    grams = made.case.carbon.electricity_g_per_kwh
    wood_kg = 2000.0 * 4.5 * 28.0 / 1000.0
    Reference(plain.carbon_kg - saved * grams / 1000.0 + wood_kg, OWN, 1e-6, "28 g/kWh").check(made.carbon_kg)
    lane = cost_of(made.case, made.axis, run_homes([made.inputs], made.axis.steps, made.axis.hours))
    assert float(lane.total[0]) == pytest.approx(made.bill.total, abs=0.2)


def test_a_room_heater_is_paid_by_its_electricity_and_warms_the_rooms() -> None:
    made, plain = year(room_heater=()), year()
    assert made.totals["household"] - plain.totals["household"] == pytest.approx(500.0)
    gain = made.inputs.series["internal_gain_kw"] - plain.inputs.series["internal_gain_kw"]
    assert float(gain.sum()) * made.axis.hours == pytest.approx(500.0)
    price = made.bill.mean_price_per_kwh
    assert made.costs.by_use["other_heat_cost"] == pytest.approx(500.0 * price, rel=0.02)
    assert sum(made.costs.by_use.values()) == pytest.approx(made.bill.total)


def test_the_heat_of_a_stove_is_taken_off_before_the_loss_is_found() -> None:
    alone, beside = loss_w_per_k(burnt()), loss_w_per_k(burnt(()))
    assert beside > 1.1 * alone
    # whoever burns the fuel with that loss and that stove burns what is stated: the loss closes its own circle
    case = burnt(())
    as_lived = vary(case, {"heat_source": "boiler", "as_operated": True, "home.loss": {"w_per_k": beside}})
    assert simulate(as_lived).fuel_kwh["oil"] == pytest.approx(1700.0 * case.fuel.kwh_per_unit, rel=1e-4)  # type: ignore[union-attr]


def test_the_loss_knows_of_the_stove_whatever_comes_after() -> None:
    goes = burnt((("goes_on", False),))
    assert loss_w_per_k(goes) == loss_w_per_k(burnt(()))
    assert goes.lit is None
    new = burnt((("in_fuel_year", False),))
    assert loss_w_per_k(new) == loss_w_per_k(burnt())
    option = vary(burnt(()), {"option": [{"name": "no stove any more", "without": ["stove"]}]}).options()[0][2]
    assert option.stove is None
    assert loss_w_per_k(option) == loss_w_per_k(burnt(()))
    assert any("from now on the heating makes it" in note for note in option.notes)


def test_an_unknown_stove_makes_the_loss_as_unknown_and_the_fuel_stays_known() -> None:
    case = burnt(())
    assert "stove" in {one.name for one in distributions_of(case)}
    assert "stove" not in {one.name for one in distributions_of(burnt())}
    draws = draws_of(case, 16)
    still = draws.assign(**{name: draws[name].median() for name in draws.columns if name != "stove"})
    losses, adjustments = sampled_losses(case, still)
    order = np.argsort(still["stove"].to_numpy())
    assert (np.diff(losses[order]) > 0.0).all()
    assert [one.stove for one in adjustments] == still["stove"].tolist()


def test_a_sampled_stove_warms_by_its_own_factor() -> None:
    case = home(stove=())
    around = setting_for(case, 60, priced=False)
    once, twice = (
        home_inputs(case, around, 200.0, Adjustment(stove=factor)).series["internal_gain_kw"].sum()
        for factor in (1.0, 2.0)
    )
    assert twice - once == pytest.approx(2000.0 * 4.5 * 0.6 * 0.85)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"stove": {**STOVE, "kind": "pellet stove", "burns": "coal"}}, 'Write burns = "pellets"'),
        ({"stove": {**STOVE, "unit": "kWh", "kwh_per_unit": 4.0}}, "a kWh holds 1 kWh"),
        ({"stove": {**STOVE, "in_fuel_year": False, "goes_on": False}}, "leaves nothing that gives heat"),
        ({"stove": {**STOVE, "months": [0, 13]}}, "is not a list of months"),
        ({"solar_thermal": {"heat_kwh": 900.0, "area_m2": 4.0}}, "area_m2"),
    ],
)
def test_faults_of_heat_beside_the_heating_are_said(said: dict[str, Any], words: str) -> None:
    with pytest.raises(CaseError) as caught:
        vary(sample("estuary_bungalow"), said)
    assert words in str(caught.value)


def test_every_figure_of_a_stove_can_be_explained_and_its_dangers_are_said() -> None:
    made = year(stove=(), room_heater=(), solar_thermal=())
    figures = {one.key: one for one in year_figures(made)}
    for name, kwh in made.beside_kwh.items():
        chain = figures[f"beside.{name}"].links()
        assert chain[-1].value == pytest.approx(kwh)
    wood = figures["bill.stove.wood_for_the_stove"]
    assert wood.links()[-1].value == pytest.approx(400.0, abs=0.05)
    said = " ".join(year_answer(made, ranged=False).cautions)
    for words in ("carbon monoxide, and soot burns", "hot fluid under pressure", "movable heater starts fires"):
        assert words in said
