"""Loads that follow a window set by a late meter, through a simulated year and its bill."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import simkit as sk
from simkit.assemble.windowed import windowed_loads

COTTAGE = Path(__file__).parents[2] / "sample_data" / "moor_cottage" / "case.toml"
NIGHT = "../tariffs/moor_night_meter.toml"  # 23:30-06:30 UTC, twelve minutes late


def cottage(start: str, end: str) -> sk.types.Case:
    car = {"km_per_week": 300.0, "charger_kw": 3.6, "from": start, "to": end, "charging": "at_once"}
    return sk.vary(sk.read_case(COTTAGE), {"car": car, "tariff": NIGHT, "heat_source": "heat_pump"})


def test_a_car_timed_by_the_late_meter_is_cheaper_than_its_steps_say() -> None:
    """In winter the meter's night is 23:42-06:42 by the wall: a timer at 23:42 pays the night's price from the first minute."""
    year = sk.simulate(cottage("23:42", "06:42"))
    flow = {name: year.flow(name) for name in ("grid_import", "grid_export")}
    from simkit.billing.charge import charge

    even = charge(year.case.tariff, year.axis, flow["grid_import"] * year.axis.hours, country="GB")
    parts = windowed_loads(year.case, year.axis, year.flow)
    assert len(parts) == 1
    winter = np.isin(year.axis.month, (1, 2, 11, 12))
    cut = (parts[0].inside > 0) & (parts[0].inside < 1) & winter
    # own: of the half-hour from 23:30 the window holds 18 minutes, all of them at night: of the car's energy in it 12/30
    # was priced as day when spread evenly. Difference of the two prices 0.2905 - 0.1385, tax 5 %.
    first = cut & (year.axis.minute_of_day == 23 * 60 + 30)
    wrong = parts[0].kwh[first].sum() * 12 / 30 * (0.2905 - 0.1385) * 1.05
    assert wrong > 1.0
    saved = sum(even.months[m] - year.bill.months[m] for m in (0, 1, 10, 11))
    assert saved == pytest.approx(wrong, abs=0.1)


def test_a_window_on_steps_has_nothing_to_split() -> None:
    year = sk.simulate(cottage("23:30", "06:30"))
    assert windowed_loads(year.case, year.axis, year.flow) == ()
    assert year.step_notes[-1] == (
        "00:42, 06:42, 07:42, 23:42 falls inside a 30-minute step: prices there are split by the share of the step, and "
        "the part of hot water and car that runs inside its own window by the window's minutes."
    )
