"""The store against days by hand: round trip, threshold, switches, and never two ways in one step."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simkit.assemble.electricity import battery_constants, battery_series
from simkit.case.battery import Battery
from simkit.physics.battery import charge_kw, discharge_kw, export_and_curtailed_kw, stored_after_kwh
from simkit.prices import PriceSignal

NEW = {
    "usable_kwh": 10.0, "charge_kw": 4.0, "discharge_kw": 4.0, "charge_efficiency": 0.9, "discharge_efficiency": 0.8,
    "idle_w": 0.0, "floor": 0.0, "wear_per_kwh": 0.02, "store_surplus": True, "fill_to": 1.0, "fill_by": "share",
    "fade_per_year": 0.0, "fade_per_cycle": 0.0, "age_years": 0.0, "cycles_done": 0.0,
}  # fmt: skip


def day(prices: np.ndarray, load_kw: float, *, stored: float = 0.0, **keys: object) -> list[tuple[float, float, float]]:
    """Run hours through the store; charge, discharge and content of each."""
    battery = Battery.model_validate({**NEW, **keys})
    home = battery_constants(battery)
    now = battery_series(battery, PriceSignal(prices, np.full(len(prices), 0.05)))
    rows = []
    for k in range(len(prices)):
        into = charge_kw(
            load_kw, stored, home["usable_kwh"], home["charge_kw"], home["per_charge_efficiency"],
            home["store_surplus"], now["fill_to"][k], 1.0,
        )  # fmt: skip
        out = discharge_kw(
            load_kw, stored, home["floor_kwh"], home["discharge_kw"], home["discharge_efficiency"], now["release"][k],
            now["sell"][k], 5.0, 1.0,
        )  # fmt: skip
        out = 0.0 if into > 1e-9 else out
        stored = stored_after_kwh(
            stored, into, out, home["charge_efficiency"], home["per_discharge_efficiency"], home["usable_kwh"], 1.0
        )
        rows.append((into, out, stored))
    return rows


NIGHT_AND_DAY = np.where(np.arange(24) < 4, 0.10, 0.40)


def test_a_day_by_hand() -> None:
    """Four hours at 4 kW could put 14.4 kWh in; it holds 10, so that 11.1 are bought and 8 come back, 1 kW at a time."""
    rows = day(NIGHT_AND_DAY, 1.0, fill_below_price=0.2)
    assert sum(row[0] for row in rows) == pytest.approx(10.0 / 0.9)
    assert sum(row[1] for row in rows) == pytest.approx(8.0)
    assert [row[1] for row in rows[4:12]] == pytest.approx([1.0] * 8)
    assert rows[-1][2] == pytest.approx(0.0, abs=1e-9)


def test_round_trip_gives_back_the_product_of_both_efficiencies() -> None:
    rows = day(NIGHT_AND_DAY, 4.0, fill_below_price=0.2)
    assert sum(row[1] for row in rows) / sum(row[0] for row in rows) == pytest.approx(0.9 * 0.8)


@pytest.mark.parametrize(("dear", "given_back"), [(0.15, False), (0.17, True)])
def test_a_spread_below_losses_and_wear_is_skipped(dear: float, given_back: bool) -> None:
    """Own arithmetic: 0.10 bought is worth giving back above 0.10/(0.9·0.8) + 0.02 = 0.1589."""
    rows = day(np.where(np.arange(24) < 4, 0.10, dear), 1.0, fill_below_price=0.12)
    assert bool(sum(row[1] for row in rows) > 0.0) is given_back


def test_no_spread_and_no_panels_no_cycle() -> None:
    rows = day(np.full(24, 0.30), 1.0, fill_below_price=0.30)
    assert sum(row[0] + row[1] for row in rows) == 0.0


def test_negative_prices_fill_and_are_never_given_back_at_once() -> None:
    rows = day(np.where(np.arange(24) < 4, -0.05, 0.30), 1.0, fill_below_price=0.0)
    assert all(row[0] > 0.0 and row[1] == 0.0 for row in rows[:3])
    assert sum(row[1] for row in rows) == pytest.approx(8.0)


kw = st.floats(0.0, 12.0)
share = st.floats(0.0, 1.0)


@given(net=st.floats(-12.0, 12.0), stored=share, charge=kw, discharge=kw, fill=share, release=st.sampled_from([0.0, 1.0]),
       sell=st.sampled_from([0.0, 1.0]), limit=kw, surplus=st.sampled_from([0.0, 1.0]))  # fmt: skip
def test_never_two_ways_in_one_step(
    net: float, stored: float, charge: float, discharge: float, fill: float, release: float, sell: float, limit: float,
    surplus: float,
) -> None:  # fmt: skip
    """As `step` settles it: charge first, discharge only where nothing was charged; then one sign of the balance."""
    usable = 8.0
    into = charge_kw(net, stored * usable, usable, charge, 1.0 / 0.95, surplus, fill, 1.0)
    out = discharge_kw(net, stored * usable, 0.8, discharge, 0.95, release, sell, limit, 1.0)
    out = 0.0 if into > 1e-9 else out
    assert 0.0 <= into <= charge
    assert 0.0 <= out <= discharge
    assert into == 0.0 or out == 0.0 or into <= 1e-9
    balance = net + into - out
    bought = max(0.0, balance)
    sold, curtailed = export_and_curtailed_kw(-balance, limit)
    assert bought == 0.0 or sold + curtailed == 0.0
    after = stored_after_kwh(stored * usable, into, out, 0.95, 1.0 / 0.95, usable, 1.0)
    assert 0.0 <= after <= usable
    assert sold <= limit
