"""A battery's size on an invented home."""

from __future__ import annotations

import numpy as np
import pytest

from decide.invented import ROOF, stored, tariff, terrace
from simkit.case.build import vary
from simkit.decide.battery.size import SizeCurve, saving_by_size, without_panels
from simkit.errors import CaseError
from simkit.notation import PLAIN
from simkit.year.simulate import simulate


def test_saving_by_size_is_the_difference_of_two_bills_and_concave() -> None:
    curve = saving_by_size(stored(), (2.0, 4.0, 8.0, 16.0))
    step = simulate(terrace()).axis.step_minutes
    apart = simulate(terrace(), step_minutes=step).bill.total - simulate(stored(), step_minutes=step).bill.total
    assert curve.saving[2] == pytest.approx(apart, abs=0.005)
    assert np.all(np.diff(curve.next_kwh[1:]) < 0.01)  # the first kWh also pays for the idle draw
    assert curve.wear == pytest.approx(curve.cycles * curve.usable_kwh * 0.01)
    table = curve.table()
    assert table["after_wear"].to_numpy() == pytest.approx(curve.saving - curve.cycles * curve.usable_kwh * 0.01)


def test_sizes_that_its_power_can_not_fill_are_left_out() -> None:
    """0.5 kW for a day at 95 % are 11.4 kWh: 12 and more are no sizes of this battery."""
    curve = saving_by_size(stored(charge_kw=0.5, usable_kwh=4.0))
    assert curve.usable_kwh[-1] == 10.0


def test_without_spread_and_panels_it_never_cycles() -> None:
    flat = vary(stored(idle_w=0.0), {"tariff": tariff(0.3, 0.3)})
    curve = saving_by_size(vary(flat, {"battery.fill_below_price": 0.3}), (5.0,))
    assert curve.cycles[0] == 0.0
    assert curve.saving[0] == 0.0


def test_naive_capacity_times_spread_says_far_too_much() -> None:
    """365 × usable × spread takes no loss, no idle draw, no full day: the simulated saving stays well under it."""
    curve = saving_by_size(stored(), (8.0,))
    assert 0.3 < curve.saving[0] / (365 * 8.0 * 0.9 * (0.36 - 0.12)) < 0.92


def test_knee_by_hand() -> None:
    sizes = np.array([1.0, 2.0, 3.0, 4.0])
    curve = SizeCurve(sizes, np.array([100.0, 190.0, 235.0, 240.0]), sizes * 0, sizes * 0, PLAIN)
    assert curve.next_kwh.tolist() == [100.0, 90.0, 45.0, 5.0]
    assert curve.knee_kwh == 2.0
    assert SizeCurve(sizes, -sizes, sizes * 0, sizes * 0, PLAIN).knee_kwh == 0.0


def test_behind_an_inverter_without_sun_is_a_battery_with_that_inverter_of_its_own() -> None:
    """Panels in the shade all year leave the shared inverter to the battery: the same bill as with one of its own."""
    shaded = {**ROOF, "inverter_kw": 10.0, "shade_by_month": [1.0] * 12}
    behind = vary(stored(), {"solar": shaded, "battery.coupling": "dc"})
    apart = without_panels(behind)
    assert apart.battery is not None
    assert (apart.solar, apart.battery.coupling) == (None, "ac")
    one, other = simulate(behind), simulate(apart)
    assert one.totals["solar"] == 0.0
    assert one.totals["battery_discharge"] > 1000.0
    assert one.totals["battery_discharge"] == pytest.approx(other.totals["battery_discharge"])
    assert one.bill.total == pytest.approx(other.bill.total, abs=0.005)
    kept = without_panels(vary(stored(), {"solar": shaded}))
    assert kept.battery == stored().battery


def test_flows_of_a_home_with_both_never_run_both_ways() -> None:
    case = vary(
        stored(sell_above_price=0.3), {"solar": {**ROOF, "export_limit_kw": 2.0}, "tariff": tariff(export=0.35)}
    )
    frame = simulate(case).hourly
    assert (frame["import_kw"] * frame["export_kw"]).max() < 1e-9
    assert (frame["battery_charge_kw"] * frame["battery_discharge_kw"]).max() < 1e-9
    assert frame["export_kw"].max() <= 2.0 + 1e-9
    assert frame["curtailed_kw"].sum() > 0.0


@pytest.mark.parametrize("fill_by", ["share", "tomorrow", "yesterday"])
def test_the_battery_balances_however_it_is_filled(fill_by: str) -> None:
    year = simulate(vary(stored(fill_by=fill_by), {"solar": ROOF}))
    assert max(abs(left) for left in year.balance().values()) < 1e-6
    assert year.totals["battery_discharge"] > 100.0


def test_what_is_missing_is_said() -> None:
    with pytest.raises(CaseError) as caught:
        saving_by_size(terrace())
    assert str(caught.value) == (
        "case.toml: [battery] is missing, and there is nothing to size or to judge. Add usable_kwh, charge_kw and "
        'discharge_kw, or give `vary` a table for "battery".'
    )
    with pytest.raises(CaseError) as caught:
        saving_by_size(stored(), (0.0, 5.0))
    assert str(caught.value) == (
        "case.toml: sizes_kwh = [0.0, 5.0] are not all sizes above 0. Give sizes above 0, such as 2, 5 and 10."
    )
