"""Every run is checked to balance, and what does not is said: one home, lanes, and whatever a building is asked to lose."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from homes import changed, inputs, piece

from simkit.answers.cautions import cautions_for
from simkit.case.build import vary
from simkit.errors import CaseError
from simkit.kernel import run
from simkit.kernel.balance import balances, constants_of, unclosed
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.say import say_once
from simkit.physics.building import LEAST_REST, fabric_to_outside_kw_per_k
from simkit.physics.records import Flows
from simkit.year.simulate import simulate

STEPS = 240


@pytest.fixture(scope="module")
def home() -> HomeInputs:
    return piece(inputs(changed("canal_terrace")), 240, STEPS)


def leaking(home: HomeInputs) -> HomeInputs:
    """A home whose fabric holds more than its step response was made with."""
    return replace(home, home=home.home._replace(fabric_kwh_per_k=2.0 * home.home.fabric_kwh_per_k))


@pytest.mark.short
def test_one_home_and_lanes_are_checked_alike(home: HomeInputs) -> None:
    alone = run.run_home(home, STEPS, 1.0, run_in=False)
    beside = run.run_homes([home, leaking(home)], STEPS, 1.0, run_in=False)
    both = constants_of([home.home, leaking(home).home])
    for what, left in balances(home.home, alone.totals, alone.before, alone.after).items():
        assert balances(both, beside.totals, beside.before, beside.after)[what][0] == pytest.approx(left, abs=1e-9)
        assert abs(left) < 1e-6
    assert unclosed(home.home, alone.totals, alone.before, alone.after) == {}
    assert list(unclosed(both, beside.totals, beside.before, beside.after)) == ["building"]


@pytest.mark.short
@pytest.mark.parametrize("field", ["vented", "tap_water", "battery_lost", "grid_import"])
@pytest.mark.parametrize("by", [2e-6, np.nan])
def test_what_leaks_is_named(home: HomeInputs, field: str, by: float) -> None:
    made = run.run_home(home, STEPS, 1.0, run_in=False)
    totals: Flows = made.totals._replace(**{field: getattr(made.totals, field) + by})
    named = {"vented": "building", "tap_water": "cylinder", "battery_lost": "battery", "grid_import": "electricity"}
    assert named[field] in unclosed(home.home, totals, made.before, made.after)


@pytest.mark.short
@pytest.mark.parametrize("many", [False, True])
def test_a_run_that_does_not_balance_says_so_once(
    home: HomeInputs, many: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    say_once.cache_clear()
    for _ in range(2):
        if many:
            run.run_homes([home, leaking(home)], STEPS, 1.0, run_in=False)
        else:
            run.run_home(leaking(home), STEPS, 1.0, run_in=False)
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert said.startswith("The energy balance of a year does not close: ")


def test_an_answer_says_what_does_not_balance() -> None:
    year = simulate(changed("canal_terrace"))
    assert not any("does not close" in one for one in cautions_for([year]))
    leaks = replace(year, run=replace(year.run, totals=year.run.totals._replace(grid_import=0.0)))
    assert "kWh of the electricity are left over" in cautions_for([leaks])[0]


@pytest.mark.short
@pytest.mark.parametrize("loss", [0.5, 2.0, 2.6, 2.7, 50.0])
def test_no_wall_passes_on_more_than_its_surface_takes(loss: float) -> None:
    found = fabric_to_outside_kw_per_k(loss, 0.35 * loss, 1.0, 0.3)
    assert 0.0 < found <= 0.65 * loss / LEAST_REST


def test_a_loss_that_no_building_has_is_refused() -> None:
    case = changed("canal_terrace")
    area = case.home.floor_area_m2
    with pytest.raises(CaseError) as caught:
        simulate(vary(case, {"home.loss": {"w_per_k": 16.5 * area}}))
    said = str(caught.value.faults[0])
    assert "is 16.5 W/K for each square metre, more than the 16.0" in said
    assert said.endswith(f"perhaps {1.65 * area:,.0f} W/K is meant.")
    held = simulate(vary(case, {"home.loss": {"w_per_k": 15.5 * area}}))
    assert max(map(abs, held.balance().values())) < 1e-6


def test_a_battery_behind_an_inverter_takes_its_loss_from_the_grid_beside_its_charge_power() -> None:
    """Its own power stays what it is; outside the inverter the grid gives that inverter's loss as well."""
    case = changed("canal_terrace")
    prices = simulate(case).setting.signal.import_per_kwh
    battery = {
        "usable_kwh": 8.0, "charge_kw": 2.0, "discharge_kw": 2.0, "charge_to": 1.0,
        "fill_below_price": float(prices.min() + prices.max()) / 2.0,
    }  # fmt: skip
    solar = {"array": [{"kwp": 1.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}], "inverter_kw": 5.0}
    for coupling, over in (("dc", True), ("ac", False)):
        year = simulate(vary(case, {"battery": battery | {"coupling": coupling}, "solar": solar}))
        most = year.flow("battery_charge").max()
        assert most <= 2.0 / year.inputs.home.inverter_efficiency + 1e-9
        assert (most > 2.0 + 1e-9) == over
