"""Why one year costs more than another: shared out by hand on a small case, and adding up to the cent on every pair."""

from __future__ import annotations

import itertools
from math import factorial, prod

import numpy as np
import pytest
from homes import NAMES, changed, sample
from invented_homes import invented_home

from simkit.case.build import vary
from simkit.errors import CaseError
from simkit.finance.difference import CAUSES, Parts, Term, difference, parts_of, shapley
from simkit.year.compare import compare
from simkit.year.simulate import simulate
from simkit.year.year import Year

FLOW = {"controls.design_flow_c": 45.0, "emitters.sized_for_flow_c": 45.0}
PANELS = {"solar.array": [{"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 170.0}], "solar.inverter_kw": 4.0}
BATTERY = {"battery.usable_kwh": 6.0, "battery.charge_kw": 3.0, "battery.discharge_kw": 3.0}


def assert_adds_up(base: Year, other: Year) -> None:
    found = difference(base, other)
    assert parts_of(base).cost == pytest.approx(base.bill.total, abs=1e-6)
    cents = sum(round(100 * amount) for amount in found.amounts.values())
    assert cents == round(100 * other.bill.total) - round(100 * base.bill.total)
    assert set(found.amounts) <= set(CAUSES)
    assert np.isfinite(list(found.amounts.values())).all()


def test_two_factors_by_hand() -> None:
    """Own: 10 units at €2 become 12 at €3, €16 more. Quantity alone first moves 2·2 = 4, last 2·3 = 6: 5 on average;
    price alone first 10·1 = 10, last 12·1 = 12: 11 on average."""
    amount, price = (10.0, 12.0), (2.0, 3.0)
    found = shapley(lambda changed: amount["quantity" in changed] * price["price" in changed], ["quantity", "price"])
    assert found == pytest.approx({"quantity": 5.0, "price": 11.0})


def test_every_order_averaged_gives_the_same() -> None:
    """Own: what is defined as an average over orders, done in every order."""
    values = {"a": (2.0, 5.0), "b": (1.0, 0.5), "c": (3.0, 4.0), "d": (7.0, 7.0)}

    def worth(some: frozenset[str]) -> float:
        return prod(pair[name in some] for name, pair in values.items()) + 10.0 * ("a" in some)

    mean = dict.fromkeys(values, 0.0)
    for order in itertools.permutations(values):
        for place, name in enumerate(order):
            before = frozenset(order[:place])
            mean[name] += (worth(before | {name}) - worth(before)) / factorial(len(values))
    assert shapley(worth, values) == pytest.approx(mean)
    assert shapley(worth, values)["d"] == 0.0


def test_another_price_alone_is_all_price() -> None:
    home = changed("estuary_bungalow")
    dearer = vary(home, {"tariff.band.0.price_per_kwh": 1.1 * home.tariff.band[0].price_per_kwh})
    found = difference(simulate(home), simulate(dearer))
    assert list(found.amounts) == ["price"]


def test_a_standing_charge_alone_is_all_standing_charge() -> None:
    home = changed("estuary_bungalow")
    raised = vary(home, {"tariff.standing_per_day": home.tariff.standing_per_day + 0.10})
    found = difference(simulate(home), simulate(raised))
    assert found.amounts == pytest.approx(
        {"standing charges": 36.5}, abs=0.7
    )  # tax is added to it where it is not in it


def test_a_machine_twice_as_good_is_performance_by_hand() -> None:
    """Own: electricity for rooms and water at one flat price, before and after, is all that changes."""
    home = changed("estuary_bungalow", {"heat_pump.standby_w": 0.0})
    base, better = simulate(home), simulate(vary(home, {"heat_pump.efficiency_scale": 1.2}))
    found = difference(base, better)
    spared = (base.totals["import"] - better.totals["import"]) * base.case.tariff.band[0].price_per_kwh
    assert -found.amounts["performance"] == pytest.approx(spared, rel=0.002)
    assert abs(found.total - found.amounts["performance"]) < 0.01 * spared


def test_panels_and_battery_have_causes_of_their_own() -> None:
    home = changed("estuary_bungalow")
    bare, sunny = simulate(home), simulate(vary(home, PANELS))
    stored = simulate(vary(home, {**PANELS, **BATTERY}))
    assert set(difference(bare, sunny).amounts) <= {"panels", "price", "performance"}
    assert difference(bare, sunny).amounts["panels"] == pytest.approx(sunny.bill.total - bare.bill.total, abs=0.05)
    assert difference(sunny, stored).amounts["storage"] == pytest.approx(stored.bill.total - sunny.bill.total, abs=0.05)
    assert_adds_up(bare, stored)


def test_a_stove_given_up_is_the_stoves_and_not_the_households() -> None:
    stove = {"stove.kind": "stove", "stove.burns": "wood", "stove.amount": 3.0, "stove.unit": "m3",
             "stove.price_per_unit": 95.0, "stove.in_fuel_year": True, "stove.goes_on": True}  # fmt: skip
    lit = vary(changed("estuary_bungalow"), stove)
    base, without = simulate(lit), simulate(vary(lit, {"stove.goes_on": False}))
    found = difference(base, without)
    assert found.amounts["stove and room heater"] == pytest.approx(-3.0 * 95.0, abs=0.01)
    assert "household and car" not in found.amounts
    assert found.amounts["heat wanted"] > 0.0
    assert_adds_up(base, without)


def test_other_weather_is_weather_and_nothing_else() -> None:
    home = changed("canal_terrace")
    colder = vary(home, {"weather.mean_c": [mean - 1.5 for mean in home.weather.mean_c]})
    one, two = simulate(home), simulate(colder)
    found = difference(one, two)
    assert list(found.amounts) == ["weather"]
    assert found.amounts["weather"] > 0
    assert_adds_up(one, two)


@pytest.mark.parametrize("name", NAMES)
def test_the_options_of_a_sample_add_up_to_the_cent(name: str) -> None:
    years = compare(sample(name)).years
    for base, other in itertools.permutations(years, 2):
        assert_adds_up(base, other)


@pytest.mark.parametrize("number", range(8))
def test_random_pairs_add_up_to_the_cent(number: int) -> None:
    home, step = invented_home(number)
    base = simulate(home, step_minutes=step)
    for changes in (FLOW, {**PANELS, "solar.export_limit_kw": 2.0}, {**PANELS, **BATTERY}, {"comfort.setback_c": 17.0}):
        try:
            other = simulate(vary(home, {**changes, "controls.flow": "compensated"}))
        except CaseError:  # a home that can't be changed so
            continue
        assert_adds_up(base, other)


def test_currencies_are_not_mixed() -> None:
    one, two = simulate(changed("estuary_bungalow")), simulate(changed("moor_cottage"))
    assert one.case.currency != two.case.currency
    with pytest.raises(CaseError, match="can't be set against each other"):
        difference(one, two)


def test_what_takes_nothing_has_no_price_of_its_own() -> None:
    nothing, some = Term(0.0, np.nan, np.nan), Term(100.0, 0.5, 0.3)
    assert nothing.cost == 0.0
    assert Parts({"space": some, "water": nothing}, 5.0, 0.0).cost == pytest.approx(20.0)
