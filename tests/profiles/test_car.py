"""Charging a car: energy, windows, prices, limits, clock changes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.case.power.car import Car
from simkit.clock import TimeAxis
from simkit.profiles.car import car_kw, car_notes, car_window, unmet_kwh, wanted_kwh

DUBLIN = TimeAxis("Europe/Dublin", 2025, 30)


def car(**terms: object) -> Car:
    plain = {"km_per_week": 200.0, "kwh_per_100_km": 21.0, "charger_kw": 7.0, "from": "22:00", "to": "07:00",
             "days": "all", "charging": "at_once"}  # fmt: skip
    return Car.model_validate(plain | terms)


def flat(axis: TimeAxis) -> np.ndarray:
    return np.full(axis.steps, 0.3)


def test_the_default_consumption_is_the_published_one() -> None:
    import simkit as sk

    source = "Weiss et al. 2024, Sustainability 16, 7529, doi 10.3390/su16177529: real-world 21 ± 4 kWh/100 km"
    from simkit.case.shipped import default_table

    Reference(21.0, source, 0.0, "the value itself").check(default_table()["car"]["kwh_per_100_km"])
    assert sk.types.Case is not None


@pytest.mark.parametrize("charging", ["at_once", "by_price"])
@pytest.mark.parametrize("step", [60, 30, 15])
@pytest.mark.parametrize("days", ["all", "workdays", "weekend"])
def test_the_year_takes_what_is_driven(charging: str, step: int, days: str) -> None:
    # own: 200 km × 21 / 100 = 42 kWh a week, × 365 / 7 = 2190 kWh
    axis = TimeAxis("Europe/Dublin", 2025, step)
    kw = car_kw(axis, car(charging=charging, days=days), flat(axis))
    assert kw.sum() * axis.hours == pytest.approx(2190)
    assert (kw[car_window(axis, car(days=days)) == 0] == 0).all()
    assert kw.max() <= 7.0 + 1e-9


def test_a_plain_car_charges_from_the_beginning_of_its_window() -> None:
    # own: 6 kWh a night at 7 kW: 22:00-22:30 in full (3.5 kWh), 22:30-23:00 with 2.5 kWh, a mean of 5 kW
    kw = car_kw(DUBLIN, car(), flat(DUBLIN))
    night = np.flatnonzero(DUBLIN.day == 100)
    used = {f"{DUBLIN.minute_of_day[k] // 60:02d}:{DUBLIN.minute_of_day[k] % 60:02d}": kw[k] for k in night if kw[k]}
    assert used == pytest.approx({"22:00": 7.0, "22:30": 5.0})


def test_a_smart_car_takes_the_cheapest_steps_of_each_night_and_the_first_of_one_price() -> None:
    cheap = DUBLIN.window("02:00", "05:00")
    kw = car_kw(DUBLIN, car(charging="by_price"), 0.3 - 0.2 * cheap)
    assert (kw[cheap == 0] == 0).all()
    day = np.flatnonzero((DUBLIN.day == 100) & (kw > 0))
    assert list(DUBLIN.minute_of_day[day]) == [120, 150]
    assert np.array_equal(car_kw(DUBLIN, car(charging="by_price"), flat(DUBLIN)), car_kw(DUBLIN, car(), flat(DUBLIN)))


def test_a_smart_car_never_costs_more_than_a_plain_one() -> None:
    price = np.random.default_rng(3).gamma(2.0, 0.1, DUBLIN.steps)
    priced, at_once = (car_kw(DUBLIN, car(charging=way), price) @ price for way in ("by_price", "at_once"))
    assert priced < 0.75 * at_once


def test_the_night_over_the_turn_of_the_year_is_joined_from_both_ends() -> None:
    late = car_kw(DUBLIN, car(km_per_week=1400.0), flat(DUBLIN))  # 42 kWh a night: six hours at 7 kW, until 04:00
    assert (late[:8] == 7.0).all(), "what the last night of the year began goes on on its first morning"
    assert late[8] == pytest.approx(0.0)
    assert (late[-4:] == 7.0).all()


def test_what_a_night_can_t_take_is_left_to_the_next() -> None:
    limit = np.where(DUBLIN.day == 100, 0.0, 7.0)
    kw = car_kw(DUBLIN, car(), flat(DUBLIN), limit_kw=limit)
    assert kw.sum() * DUBLIN.hours == pytest.approx(2190)
    assert kw[DUBLIN.day == 100].sum() == 0


def test_a_limit_is_held_in_every_step_and_what_is_missed_is_said() -> None:
    kw = car_kw(DUBLIN, car(), flat(DUBLIN), limit_kw=np.full(DUBLIN.steps, 0.5))
    assert kw.max() <= 0.5
    # own: 9 h × 0.5 kW = 4.5 kWh a night, 365 nights with one hour less and one more: 1642.5 of 2190 kWh
    assert unmet_kwh(DUBLIN, car(), kw) == pytest.approx(2190 - 1642.5)
    assert car_notes(DUBLIN, car(), kw) == (
        "548 kWh of what the car drove in the year could not be charged in its window.",
    )
    assert car_notes(DUBLIN, car(), car_kw(DUBLIN, car(), flat(DUBLIN))) == ()


def test_granted_half_hours_are_used_before_the_night_that_follows() -> None:
    extra = DUBLIN.window("12:00", "13:00", dates=[np.datetime64("2025-04-10")])
    price = np.where(extra > 0, 0.05, 0.3)
    kw = car_kw(DUBLIN, car(charging="by_price"), price, extra=extra)
    assert (kw[extra > 0] > 0).sum() == 2
    assert kw.sum() * DUBLIN.hours == pytest.approx(2190)
    assert car_kw(DUBLIN, car(charging="by_price"), price)[extra > 0].sum() == 0


def test_a_window_belongs_to_the_day_on_which_it_begins() -> None:
    share = car_window(DUBLIN, car(days="workdays"))
    saturday = (DUBLIN.weekday == 5) & (share > 0)
    assert set(DUBLIN.minute_of_day[saturday] // 60) == set(range(7)), "Friday's night ends on Saturday morning"
    monday = (DUBLIN.weekday == 0) & (share > 0)
    assert set(DUBLIN.minute_of_day[monday] // 60) == {22, 23}


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 47), st.integers(0, 47), st.sampled_from(["all", "workdays", "weekend"]),
    st.sampled_from(["at_once", "by_price"]), st.sampled_from(["Europe/Dublin", "Asia/Kolkata", "Australia/Lord_Howe"]),
)  # fmt: skip
def test_any_window_charges_what_is_driven(start: int, end: int, days: str, charging: str, zone: str) -> None:
    if start == end:
        end = 48
    if start == 0 and end == 0:
        return
    axis = TimeAxis(zone, 2025, 30)
    window = {"from": f"{start // 2:02d}:{start % 2 * 30:02d}", "to": f"{end // 2:02d}:{end % 2 * 30:02d}"}
    one = car(km_per_week=20.0, days=days, charging=charging, **window)
    price = np.random.default_rng(start * 48 + end).random(axis.steps)
    kw = car_kw(axis, one, price)
    assert kw.sum() * axis.hours == pytest.approx(wanted_kwh(axis, one), rel=1e-9)
    assert (kw >= 0).all()
    assert (kw <= 7.0 * car_window(axis, one) + 1e-9).all()
