"""What made the difference adds up to the watt-hour and the cent, by hand, at random and in a drawn-up account."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.homes import twin
from simkit.case.sample_homes import sample_file
from simkit.meter.account.account import Account
from simkit.meter.account.causes import (
    BY_HEAT,
    BY_PUMP,
    BY_WHOLE,
    CAUSES,
    AtPrices,
    Priced,
    adding_up,
    by_heat_meter,
    causes_of,
    months_of,
)
from simkit.meter.account.dated_prices import set_prices
from simkit.meter.account.kept import stream_of
from simkit.meter.account.statement import Statement, statement


def _floats(*values: float) -> np.ndarray:
    return np.array(values, dtype=np.float64)


def test_two_days_by_hand() -> None:
    """Own, on paper: each cause's effect, averaged over all orders.

    Day 1, flat, 0.30 a kWh and 0.80 a day, 0.36 since: usual 25 kWh are 25 × 0.30 + 0.80 = 8.30. Weather 3 kWh,
    efficiency 1.6 kWh and use 0.4 kWh come before the price as often as after it, so at 0.33: 0.99, 0.528, 0.132. The
    price meets the usual and half of what was moved: 27.5 × 0.06 = 1.65. 11.60 was paid.
    Day 2, by the hour, nothing new in the prices: usual 23 kWh at 0.24 on average and 0.80 are 6.32. Weather −1 kWh and
    hours at 0.25; efficiency −0.5 and use −1.5 kWh, each as often at 0.24 as at 0.25: −0.1225 and −0.3675. 20 kWh at
    0.22 were paid where the fitted home takes 0.25: −0.60 more of use. The rest of 20 × 0.25 − 23 × 0.24 = −0.52 is the
    weather's, −0.03: 5.20 was paid.
    """
    none = _floats(0, 0)
    first = AtPrices(_floats(9.80, 5.20), _floats(0.80, 0.80), _floats(0.30, 0.24), _floats(0.30, 0.25), none, none)
    now = AtPrices(_floats(11.60, 5.20), _floats(0.80, 0.80), _floats(0.36, 0.24), _floats(0.36, 0.25), none, none)
    priced = Priced(_floats(30, 20), _floats(28, 22), _floats(25, 23), first, now)
    days = causes_of(priced, _floats(1.6, -0.5), pd.date_range("2025-03-01", periods=2))
    energy = days[["metered_kwh", "usual_kwh", "weather_kwh", "use_kwh", "efficiency_kwh", "price_kwh"]]
    assert energy.to_numpy().tolist() == [[30, 25, 3, 0.4, 1.6, 0], [20, 23, -1, -1.5, -0.5, 0]]
    money = days[["cost", "usual_cost", "weather_cost", "use_cost", "efficiency_cost", "price_cost"]]
    assert money.iloc[0].tolist() == [11.60, 8.30, 0.99, 0.13, 0.53, 1.65]
    assert money.iloc[1].tolist() == [5.20, 6.32, -0.03, -0.97, -0.12, 0.0]
    months = months_of(days)
    assert months.loc["2025-03", ["cost", "usual_cost", "weather_cost", "use_cost", "efficiency_cost"]].tolist() == [
        16.80, 14.62, 0.96, -0.84, 0.41,
    ]  # fmt: skip


def test_what_panels_sell_on_days_without_buying_is_the_weathers() -> None:
    """Own: nothing is bought, 10 kWh more than usual are sold at 0.08; energy that is not bought has no price."""
    at = AtPrices(_floats(-0.50), _floats(0.30), _floats(0.40), _floats(0.40), _floats(0.0), _floats(0.80))
    days = causes_of(
        Priced(_floats(0), _floats(0), _floats(0), at, at), _floats(0), pd.date_range("2025-06-01", periods=1)
    )
    assert days[["cost", "usual_cost", "weather_cost", "use_cost"]].iloc[0].tolist() == [-0.50, 0.30, -0.80, 0.0]


def _adds(frame: pd.DataFrame) -> None:
    """In whole units, exactly."""
    for total, base, unit, ending in (("metered_kwh", "usual_kwh", 1000, "kwh"), ("cost", "usual_cost", 100, "cost")):
        parts = frame[[f"{cause}_{ending}" for cause in CAUSES]]
        whole = np.rint(unit * frame[[total, base]].join(parts)).astype(int)
        np.testing.assert_allclose(unit * frame[whole.columns], whole, atol=1e-6)  # nothing beyond the last unit
        assert (whole[total] == whole[base] + whole[parts.columns].sum(axis=1)).all()


@pytest.mark.parametrize("digits", [0, 2, 3])
def test_rounding_never_leaves_a_rest(digits: int) -> None:
    rng = np.random.default_rng(4)
    parts = rng.normal(scale=3.0, size=(500, 4))
    base = rng.uniform(0, 40, 500)
    made = np.rint(adding_up(base + parts.sum(axis=1), base, parts, digits) * 10**digits).astype(int)
    assert (made[:, 0] == made[:, 1:].sum(axis=1)).all()
    assert np.abs(made[:, 2:] - parts * 10**digits).max() < 3.5  # own: four halves, and its own


def test_an_account_adds_up_by_day_and_by_month(drawn: Statement) -> None:
    _adds(drawn.causes)
    _adds(drawn.cause_months)
    assert drawn.causes["metered_kwh"].to_numpy() == pytest.approx(drawn.days["metered_kwh"].to_numpy(), abs=6e-4)
    assert drawn.causes["cost"].to_numpy() == pytest.approx(drawn.days["cost"].to_numpy(), abs=6e-3)
    left = (drawn.causes["use_kwh"] + drawn.causes["efficiency_kwh"]).to_numpy()
    expected = (drawn.days["metered_kwh"] - drawn.days["expected_kwh"]).to_numpy()
    assert left == pytest.approx(expected, abs=2e-3)
    assert (drawn.causes["price_cost"] == 0.0).all()
    assert drawn.efficiency.told_by == BY_WHOLE
    assert 5.0 < drawn.efficiency.error_kwh < 100.0


def test_prices_that_change_on_a_date_are_the_price_and_nothing_else(
    account: Account, drawn: Statement, tmp_path: Path
) -> None:
    """Own: at a flat 0.06 more a kWh from 10 March on, every day costs its metered energy times 0.06 more.

    What was moved meets the new price in half of all orders: the price's own is 0.06 on the mean of usual and metered.
    """
    text = sample_file("estuary_bungalow").parent.joinpath("../tariffs/estuary_flat.toml").read_text()
    flat = account.case.tariff.band[0].price_per_kwh
    dearer = tmp_path / "dearer.toml"
    dearer.write_text(text.replace(f"{flat}", f"{flat + 0.06:.4f}", 1))
    moved = replace(account, folder=tmp_path)
    for name in ("account.toml", "readings.csv"):
        (tmp_path / name).write_bytes((account.folder / name).read_bytes())
    moved = set_prices(moved, dt.date(2025, 3, 10), tariff=dearer)
    moved = set_prices(moved, dt.date(2025, 2, 1), fuel_price=2.16)
    made = statement(moved, weather=twin().weather)
    _adds(made.causes)
    late = made.days.index >= pd.Timestamp("2025-03-10")
    rise = 0.06 * moved.case.tariff.tax_factor
    more, halfway = rise * made.days["metered_kwh"], (made.causes["metered_kwh"] + made.causes["usual_kwh"]) / 2.0
    assert made.causes["price_cost"][late].to_numpy() == pytest.approx(rise * halfway[late].to_numpy(), abs=0.016)
    weather = drawn.causes["weather_cost"] + rise / 2.0 * drawn.causes["weather_kwh"]
    assert made.causes["weather_cost"][late].to_numpy() == pytest.approx(
        weather[late].to_numpy(), abs=0.025
    )  # two rows rounded
    assert (made.causes["price_cost"][~late] == 0.0).all()
    same = ["usual_cost", "weather_kwh", "use_kwh", "efficiency_kwh"]
    pd.testing.assert_frame_equal(made.causes[same], drawn.causes[same], rtol=0, atol=0.011)  # a last cent
    assert (made.days["cost"] - drawn.days["cost"])[late].sum() == pytest.approx(more[late].sum())
    dear_oil = made.days.index >= pd.Timestamp("2025-02-01")
    assert made.days["old_cost"][~dear_oil].mean() == pytest.approx(drawn.days["old_cost"][~dear_oil].mean(), rel=0.1)
    assert (
        1.2 < made.days["old_cost"][dear_oil].sum() / drawn.days["old_cost"][dear_oil].sum() < 2.0
    )  # oil twice as dear


def test_a_heat_meter_tells_efficiency_from_use() -> None:
    """Own: a tenth more heat at the same ratio is use; the same heat for a tenth more electricity is efficiency."""
    pump, heat = np.full(30, 10.0), np.full(30, 30.0)
    fitted_days = np.arange(30) < 20
    late = np.where(fitted_days, 1.0, 1.1)
    assert by_heat_meter(pump * late, heat * late, pump, heat, fitted_days) == pytest.approx(np.zeros(30), abs=1e-9)
    by_fault = by_heat_meter(pump * late, heat, pump, heat, fitted_days)
    assert by_fault == pytest.approx(np.where(fitted_days, 0.0, 1.0))
    # meters that disagree with the fit from the first day on have not changed
    assert by_heat_meter(pump * 1.05 * late, heat, pump, heat, fitted_days)[:20] == pytest.approx(
        np.zeros(20), abs=1e-9
    )


def test_loggers_are_joined_by_day_and_what_lies_apart_is_said(account: Account, drawn: Statement) -> None:
    days = drawn.days
    ends = (days.index + pd.Timedelta(days=1)).tz_localize("Europe/Dublin").tz_convert("UTC")
    pump = pd.DataFrame(
        {"end": ends, "value": days["heat_kwh"].to_numpy()},
        index=days.index.tz_localize("Europe/Dublin").tz_convert("UTC"),
    )
    heat = pump.assign(value=3.0 * pump["value"])
    late = np.where(days.index >= pd.Timestamp("2025-03-10"), 1.2, 1.0)
    home = account.streams["import_kwh"]
    streams = {"import_kwh": home, "heat_pump_kwh": pump.assign(value=pump["value"] * late), "heat_kwh": heat}
    told = statement(replace(account, streams=streams), weather=twin().weather)
    assert told.efficiency.told_by == BY_HEAT
    assert told.loggers == ()
    _adds(told.causes)
    more = 0.2 * days["heat_kwh"][late > 1.0].sum()
    assert told.causes["efficiency_kwh"][late > 1.0].sum() == pytest.approx(more, rel=0.35)
    shorter = {"import_kwh": home[home.index >= pump.index[5]], "heat_pump_kwh": pump[:60]}
    told = statement(replace(account, streams=shorter), weather=twin().weather)
    assert told.loggers == (
        "heat_pump_kwh was read whole on 55 of the 95 days (2025-01-15 to 2025-03-10); 5 of its own days lie beside them "
        "and are not used.",
    )
    assert told.efficiency.told_by == BY_WHOLE
    partly = {**streams, "heat_kwh": heat[:50]}
    told = statement(replace(account, streams=partly), weather=twin().weather)
    assert told.efficiency.told_by == f"{BY_HEAT}, on the days that it was read"
    # the heat pump's own days stray less than the whole home's, and so does what is parted by them
    assert 0.0 < told.efficiency.error_kwh < 0.6 * drawn.efficiency.error_kwh
    full = statement(replace(account, streams={"import_kwh": home, "heat_pump_kwh": pump}), weather=twin().weather)
    assert full.efficiency.told_by == BY_PUMP
    assert 0.0 < full.efficiency.error_kwh < 0.6 * drawn.efficiency.error_kwh


def test_the_frames_of_an_account_hold_kwh_of_their_streams(account: Account) -> None:
    held = stream_of(twin().readings.frame, "import_kwh")
    assert account.streams["import_kwh"]["value"].sum() == pytest.approx(held["value"].sum())
