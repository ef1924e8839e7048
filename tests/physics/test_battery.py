"""The store against days by hand: round trip, threshold, switches, and never two ways in one step."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simkit.assemble.electricity import battery_constants, battery_series
from simkit.billing.signal import PriceSignal
from simkit.case.power.battery import Battery
from simkit.physics.battery import charge_kw, discharge_kw, export_and_curtailed_kw, stored_after_kwh
from simkit.physics.step import settle

NEW = {
    "usable_kwh": 10.0, "charge_kw": 4.0, "discharge_kw": 4.0, "charge_efficiency": 0.9, "discharge_efficiency": 0.8,
    "idle_w": 0.0, "reserve_share": 0.0, "wear_per_kwh": 0.02, "store_surplus": True, "charge_to": 1.0, "fill_by": "share",
    "coupling": "ac", "fade_per_year": 0.0, "fade_per_cycle": 0.0, "age_years": 0.0, "cycles_done": 0.0,
}  # fmt: skip


def day(prices: np.ndarray, load_kw: float, *, stored: float = 0.0, **keys: object) -> list[tuple[float, float, float]]:
    """Run hours through the store; charge, discharge and content of each."""
    battery = Battery.model_validate({**NEW, **keys})
    home = battery_constants(battery)
    now = battery_series(battery, PriceSignal(prices, np.full(len(prices), 0.05)))
    rows = []
    for k in range(len(prices)):
        into = sum(charge_kw(
            max(0.0, -load_kw), stored, home["usable_kwh"], home["charge_kw"], home["per_charge_efficiency"],
            home["store_surplus"], now["charge_to"][k], home["shared_inverter_kw"], 1.0,
        ))  # fmt: skip
        out = discharge_kw(
            load_kw, stored, home["reserve_kwh"], home["discharge_kw"], home["discharge_efficiency"], now["release"][k],
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
    sun, grid = charge_kw(max(0.0, -net), stored * usable, usable, charge, 1.0 / 0.95, surplus, fill, 1e6, 1.0)
    into = sun + grid
    assert grid == 0.0 or sun <= max(0.0, -net)
    out = discharge_kw(net, stored * usable, 0.8, discharge, 0.95, release, sell, limit, 1.0)
    out = 0.0 if into > 1e-9 else out
    assert 0.0 <= into <= charge * (1.0 + 1e-12)
    assert 0.0 <= out <= discharge
    assert into == 0.0 or out == 0.0 or into <= 1e-9
    balance = net + into - out
    bought = max(0.0, balance)
    sold, curtailed = export_and_curtailed_kw(-balance, limit)
    assert bought == 0.0 or sold + curtailed == 0.0
    after = stored_after_kwh(stored * usable, into, out, 0.95, 1.0 / 0.95, usable, 1.0)
    assert 0.0 <= after <= usable
    assert sold <= limit


def behind(
    net_kw: float, solar_kw: float, clipped_kw: float, *, stored: float = 0.0, coupling: str = "dc", **now: float
) -> Any:
    """An hour of a battery behind an inverter of 2 kW, 10 kWh, 4 kW in and 3 kW out at its terminals."""
    battery = Battery.model_validate({**NEW, "coupling": coupling, "discharge_kw": 3.0})
    home = SimpleNamespace(**battery_constants(battery, SimpleNamespace(inverter_kw=2.0)), export_limit_kw=5.0)  # type: ignore[arg-type]
    said = {"charge_to": 0.0, "release": 1.0, "sell": 0.0, **now}
    return settle(home, SimpleNamespace(solar_kw=solar_kw, clipped_kw=clipped_kw, **said), stored, net_kw, 1.0)  # type: ignore[arg-type]


def test_behind_the_inverter_by_hand() -> None:
    """5 kW of direct current: 4 are stored, the fifth becomes 0.96 kW, of which the home takes 0.5 and sells 0.46.

    The inverter alone would have given 2 kW and cut 5 x 0.96 - 2 = 2.8 kW away.
    """
    noon = behind(0.5 - 2.0, 2.0, 5.0 * 0.96 - 2.0)
    assert noon.into == pytest.approx(4.0)
    assert noon.sold == pytest.approx(0.46)
    assert noon.stored_kwh == pytest.approx(4.0 * 0.9)
    assert noon.lost == pytest.approx(0.4)
    # what the panels gave is now 4 at the battery and 0.96 at the home, not 2
    assert 2.0 + noon.spared == pytest.approx(4.96)
    # in the evening 3 kW are wanted, and the inverter passes 2
    evening = behind(3.0, 0.0, 0.0, stored=9.0)
    assert (evening.out, evening.bought) == pytest.approx((2.0, 1.0))
    assert evening.stored_kwh == pytest.approx(9.0 - 2.0 / (0.8 * 0.96))
    # beside 1.5 kW of sun there is room for half a kilowatt
    assert behind(3.0 - 1.5, 1.5, 0.0, stored=9.0).out == pytest.approx(0.5)
    # a night's fill passes the inverter backwards: 2 kW at the meter are 1.92 at the battery
    night = behind(0.2, 0.0, 0.0, charge_to=1.0)
    assert (night.into, night.bought) == pytest.approx((2.0, 2.2))
    assert night.stored_kwh == pytest.approx(2.0 * 0.96 * 0.9)


def test_one_day_of_both_couplings_by_hand() -> None:
    """Four hours of 5 kW of direct current and 0.5 kW used, then six hours of 1 kW in the dark; 10 kWh, 4 kW, 2 kW AC.

    Behind the inverter 3.6 kWh are stored in each of two hours, then 10 - 7.2 = 2.8 of 2.8/0.9 = 28/9 kW, whose rest
    5 - 28/9 becomes 1.8133 kW: 1.3133 are sold; the fourth hour sells 1.5 and loses 2.8. Six hours take 6/(0.8·0.96).
    On the grid side the inverter gives 2 kW: 1.35 kWh are stored an hour, 5.4 in all, which give 4.32: 1.68 are bought.
    """
    stored, sold, lost_to_limit = 0.0, [], []
    for _ in range(4):
        sunny = behind(0.5 - 2.0, 2.0, 2.8, stored=stored)
        stored, sold = sunny.stored_kwh, [*sold, sunny.sold]
        lost_to_limit.append(2.8 - min(2.8, sunny.into * 0.96))
    assert sold == pytest.approx([0.46, 0.46, (5 - 28 / 9) * 0.96 - 0.5, 1.5])
    assert lost_to_limit == pytest.approx([0.0, 0.0, 0.0, 2.8])
    bought = 0.0
    for _ in range(6):
        dark = behind(1.0, 0.0, 0.0, stored=stored)
        stored, bought = dark.stored_kwh, bought + dark.bought
    assert (stored, bought) == pytest.approx((10.0 - 6.0 / (0.8 * 0.96), 0.0))

    content, missing = 0.0, 0.0
    for net in [-1.5] * 4 + [1.0] * 6:
        hour = behind(net, 2.0 if net < 0 else 0.0, 0.0, stored=content, coupling="ac")
        content, missing = hour.stored_kwh, missing + hour.bought
        assert hour.into == pytest.approx(max(-net, 0.0))
    assert (content, missing) == pytest.approx((0.0, 1.68), abs=1e-9)


@given(net=st.floats(-12.0, 12.0), solar=st.floats(0.0, 2.0), cut=st.floats(0.0, 6.0), stored=st.floats(0.0, 1.0),
       fill=st.floats(0.0, 1.0), sell=st.sampled_from([0.0, 1.0]))  # fmt: skip
def test_behind_the_inverter_nothing_is_made_of_nothing(
    net: float, solar: float, cut: float, stored: float, fill: float, sell: float
) -> None:
    net = max(net, -solar)
    done = behind(net, solar, cut if solar > 1.99 else 0.0, stored=10.0 * stored, charge_to=fill, sell=sell)
    used = net + solar
    given_, taken = done.bought + solar + done.spared + done.out, used + done.into + done.sold + done.curtailed
    assert given_ == pytest.approx(taken, abs=1e-9)
    assert done.into - done.out - done.lost == pytest.approx(done.stored_kwh - 10.0 * stored, abs=1e-9)
    assert done.lost >= -1e-12
    assert done.spared >= -1e-12
    assert done.out + solar <= max(2.0, solar) + 1e-12
    assert done.into == 0.0 or done.out == 0.0 or done.into <= 1e-9


def test_in_half_an_hour_twice_the_power_fits_and_is_held() -> None:
    """own: 0.5 kWh of room at 0.9 is 0.5556 kWh, in half an hour 1.1111 kW; 0.5 kWh held at 0.8 give 0.8 kW."""
    near = {"stored_kwh": 9.5, "usable_kwh": 10.0, "most_kw": 4.0, "per_efficiency": 1.0 / 0.9, "shared_kw": 9.0}
    sun, grid = charge_kw(surplus_kw=5.0, store_surplus=1.0, charge_to=0.0, per_hour=2.0, **near)
    assert (sun, grid) == (pytest.approx(1.0 / 0.9), 0.0)
    sun, grid = charge_kw(surplus_kw=0.0, store_surplus=0.0, charge_to=1.0, per_hour=2.0, **near)
    assert (sun, grid) == (0.0, pytest.approx(1.0 / 0.9))
    out = discharge_kw(4.0, 0.5, 0.0, 4.0, 0.8, 1.0, 0.0, 5.0, 2.0)
    assert out == pytest.approx(0.8)


def test_what_is_sold_is_what_the_connection_takes_beside_the_panels() -> None:
    """By hand: panels spill 5.5 of the 6 kW that the connection takes, so that half a kilowatt is left; of 5 nothing."""
    for limit, sold in ((6.0, 0.5), (5.0, 0.0)):
        assert discharge_kw(-5.5, 10.0, 0.0, 5.0, 1.0, 0.0, 1.0, limit, 1.0) == sold
