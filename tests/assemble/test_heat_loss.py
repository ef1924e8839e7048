"""A year of fuel in, a loss out, the same fuel back; one house has one loss, whatever its options say."""

from __future__ import annotations

import numpy as np
import pytest
from homes import NAMES, SAMPLES
from references import Reference

from simkit.assemble import heat_loss
from simkit.assemble.heat_loss import LEAST_W_PER_K, burnt_home, find_losses, fuel_burnt, loss_w_per_k, stated_kwh
from simkit.assemble.setting import step_of
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.year.simulate import simulate


def fuelled(**changes: object) -> Case:
    """The estuary home, whose oil is known, with some values changed."""
    return vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), changes)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"home.loss.fuel_amount": 900.0},
        {"home.loss.fuel_amount": 20_000.0, "home.loss.fuel_unit": "kWh"},
        {"home.loss.fuel_includes_water": False},
        {"boiler.as_operated": None},
        {"home.thermal_mass": "very heavy"},
    ],
    ids=["as it stands", "little oil", "in kWh", "without the water", "lived as needed", "heavy"],
)
def test_fuel_to_loss_to_the_same_fuel(changes: dict[str, object]) -> None:
    case = fuelled(**changes)
    loss = loss_w_per_k(case)
    burnt = float(fuel_burnt(burnt_home(case), np.array([loss]))[0])
    wanted = stated_kwh(case)
    Reference(wanted, "own: the fuel that was stated", 1e-6 * wanted, "two steps along a line").check(burnt)


def test_homes_sought_together_have_the_loss_that_each_has_alone() -> None:
    """To the bit, whoever stands beside, and that of a narrowed bracket to the ninth digit; one that has none stops no other."""
    cases = [fuelled(**{"home.loss.fuel_amount": amount}) for amount in (1000.0, 1500.0, 2200.0, 90.0)]
    heat_loss._known.clear()
    find_losses(cases)
    together = [heat_loss._known.get(burnt_home(case).depends_on) for case in cases]
    heat_loss._known.clear()
    for case, loss in zip(cases[:3], together, strict=False):
        assert loss == loss_w_per_k(case) == pytest.approx(heat_loss._narrowed(burnt_home(case)), rel=1e-8)
    assert together[3] is None
    with pytest.raises(CaseError, match="is outside the"):
        loss_w_per_k(cases[3])
    in_kwh = {"home.loss.fuel_unit": "kWh", "home.loss.fuel_amount": 950.0}
    with pytest.raises(CaseError, match=r"fuel_amount = 950 kWh is outside the"):  # said once where it is in kWh
        loss_w_per_k(fuelled(**in_kwh))


def test_a_fuel_that_does_not_go_along_a_line_is_bracketed(monkeypatch: pytest.MonkeyPatch) -> None:
    straight = loss_w_per_k(fuelled())
    heat_loss._known.clear()
    monkeypatch.setattr(heat_loss, "_along_lines", lambda homes: np.full(len(homes), np.nan))
    assert loss_w_per_k(fuelled()) == pytest.approx(straight, rel=1e-8)
    heat_loss._known.clear()


def test_the_simulated_boiler_year_burns_it() -> None:
    """Seen from outside: the option that goes on as before burns the 1850 litres, on the step all options share."""
    case = fuelled()
    lived = next(option for name, _, option in case.options() if name == "Oil boiler, as lived")
    year = simulate(lived)
    Reference(1850.0 * 10.35, "own: 1850 l of 10.35 kWh", 1e-6 * 1850 * 10.35, "as above").check(year.run.totals.fuel)
    litres = sum(line.quantity for line in year.bill.lines if line.kind == "fuel")
    assert litres == pytest.approx(1850.0, abs=0.05)


def test_every_option_of_a_case_has_the_same_walls() -> None:
    for name in NAMES:
        case = read_case(SAMPLES / name / "case.toml")
        losses = {loss_w_per_k(option) for _, _, option in case.options()}
        assert len(losses) == 1, name


def test_what_an_option_changes_does_not_move_the_walls() -> None:
    """Another cylinder, household, boiler, emitter, set-back or tariff is what would be; the oil was burnt before."""
    options = [
        {"name": "cylinder", "hot_water": {"volume_l": 300.0, "target_c": 60.0}},
        {"name": "thrift", "household": {"annual_kwh": 1000.0}},
        {"name": "new boiler", "heat_source": "boiler", "boiler": {"space_efficiency": 0.95}},
        {"name": "floor", "emitters": {"kind": "underfloor", "sized_for_flow_c": 38.0}},
        {"name": "deep set-back", "controls": {"setback_c": 15.0}},
    ]
    for lived in ({}, {"boiler.as_operated": None}):
        case = vary(fuelled(**lived), {"option": options, "baseline": "thrift"})
        own = loss_w_per_k(case)
        for name, _, option in case.options():
            assert loss_w_per_k(option) == own, name
            slid = vary(option, {"controls.setback_c": 17.0, "hot_water.volume_l": 250.0})
            assert loss_w_per_k(slid) == own, name
    # but another amount of fuel in an option is another house
    dearer = vary(option, {"home.loss.fuel_amount": 2200.0})
    assert loss_w_per_k(dearer) > 1.1 * own


def test_more_fuel_is_more_loss_and_a_better_boiler_too() -> None:
    losses = [loss_w_per_k(fuelled(**{"home.loss.fuel_amount": litres})) for litres in (1000.0, 1500.0, 2000.0)]
    assert np.all(np.diff(losses) > 50.0)
    assert loss_w_per_k(fuelled(**{"boiler.space_efficiency": 0.9})) > 1.08 * loss_w_per_k(fuelled())


def test_stated_losses_are_left_alone() -> None:
    assert loss_w_per_k(fuelled(**{"home.loss.w_per_k": 180.0})) == 180.0
    assert LEAST_W_PER_K == 10.0


def test_the_loss_belongs_to_the_home_whatever_step_its_options_run_on() -> None:
    """A quarter-hour window of the heat pump or of the prices shortens the run, not the search for the loss."""
    case = fuelled()
    quarter = vary(case, {"hot_water.windows": [{"from": "01:15", "to": "05:00"}]})
    assert (step_of(case)[0], step_of(quarter)[0]) == (30, 15)
    assert loss_w_per_k(quarter) == loss_w_per_k(case) == loss_w_per_k(vary(case, {"step_minutes": 60}))
    # only the schedule that the boiler was lived by makes the search finer
    lived = vary(case, {"boiler.as_operated.periods": [{"from": "06:15", "to": "22:00", "c": 20.0}]})
    assert burnt_home(case).setting.axis.step_minutes == 30
    assert burnt_home(lived).setting.axis.step_minutes == 15


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (100.0, "litre", "the hot water alone needs more"),
        (100_000.0, "litre", "Look whether the unit is right and whether the amount is for a whole year"),
    ],
)
def test_fuel_that_no_loss_burns_is_refused(amount: float, unit: str, words: str) -> None:
    case = fuelled(**{"home.loss.fuel_amount": amount, "home.loss.fuel_unit": unit})
    with pytest.raises(CaseError) as refused:
        loss_w_per_k(case)
    text = str(refused.value)
    assert text.startswith("case.toml: [home.loss] fuel_amount = ")
    assert "that this home can burn in a year" in text
    assert words in text


@pytest.mark.parametrize("kwh_m2", [20.0, 120.0, 250.0])
def test_a_certificate_comes_back_from_its_own_year(kwh_m2: float) -> None:
    """The home, as certificates reckon (20 °C all day, 5 W/m² of gains, no water), needs what its certificate says.

    Seen from outside: the same walls stated in W/K, everything else said anew, and the heat of its rooms added up.
    """
    told = {"certificate_kwh_m2": kwh_m2, "certificate_kind": "space heat demand"}
    case = fuelled(**{"home.loss": told})
    held = {"periods": [{"from": "00:00", "to": "24:00", "c": 20.0}], "setback_c": 20.0}
    own = {
        "home.loss": {"w_per_k": loss_w_per_k(case)}, "heat_source": "boiler", "hot_water": {"heated_by": "something else"},
        "comfort": held, "controls": {**held, "heating_limit_c": case.controls.heating_limit_c},
        "household": {"annual_kwh": 5.0 * 8.76 * case.home.floor_area_m2, "heat_share": 1.0, "people": 0.0, "profile": "mean"},
        "boiler": {"capacity_kw": 100.0}, "room": None, "option": None, "baseline": None,
    }  # fmt: skip
    year = simulate(vary(case, own))
    assert year.totals["space_heat"] / case.home.floor_area_m2 == pytest.approx(kwh_m2, rel=0.01, abs=0.5)


def test_who_lives_there_does_not_move_a_certificate() -> None:
    told = {"certificate_kwh_m2": 100.0, "certificate_kind": "space heat demand"}
    case = fuelled(**{"home.loss": told})
    other = vary(case, {"household.people": 6.0, "hot_water.volume_l": 300.0, "comfort.setback_c": 16.0})
    assert loss_w_per_k(other) == loss_w_per_k(case)
    with pytest.raises(CaseError) as caught:
        loss_w_per_k(vary(case, {"home.loss.certificate_kwh_m2": 800.0, "home.floor_area_m2": 2000.0, "room": None}))
    assert "certificate_kwh_m2 = 800 (1,600,000 kWh) is outside the" in str(caught.value)


def test_whichever_home_of_a_street_it_is_its_fuel_says_the_same() -> None:
    numbered = fuelled(**{"household.home_number": 7})
    assert burnt_home(numbered).case.household.home_number is None
    assert loss_w_per_k(numbered) == loss_w_per_k(fuelled())
