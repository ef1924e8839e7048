"""What is said of a car, and the sentence for what can't be."""

from __future__ import annotations

from typing import Any

import pytest

from simkit.case.power.car import Car
from simkit.schema.messages import checked

RIGHT: dict[str, Any] = {
    "km_per_week": 220.0, "kwh_per_100_km": 21.0, "charger_kw": 7.4, "from": "23:00", "to": "07:00", "days": "all",
    "charging": "at_once",
}  # fmt: skip


def test_a_week_and_a_window() -> None:
    car, faults = checked(Car, RIGHT, "car")
    assert faults == []
    assert (car.kwh_per_week, car.window_hours) == (pytest.approx(46.2), 8.0)


SLIPS = [
    (
        {"km_per_week": 2000.0, "charger_kw": 2.3, "days": "weekend"},
        "[car] km_per_week = 2000 takes 420 kWh, and its window lets 37 kWh through in a week. "
        "Widen from and to, write the charger's power, or only what is charged at home.",
    ),
    (
        {"to": "23:00"},
        "[car] 23:00 to 23:00 is a window without length. Write 00:00 to 24:00 for the whole day, or leave the window out.",
    ),
    (
        {"charger_kw": 7400.0},
        "[car] charger_kw = 7400 is outside 0.5 to 43 kW (power at which it charges). It is in kW, not W: write 7.4.",
    ),
    (
        {"charging": "clever"},
        '[car] charging = "clever" is none of "at_once", "by_price" (whether it charges as soon as it may, or in the cheapest '
        'part of the window). Write for example charging = "at_once".',
    ),
]


@pytest.mark.parametrize(("changes", "sentence"), SLIPS)
def test_every_slip_has_its_sentence(changes: dict[str, Any], sentence: str) -> None:
    _, faults = checked(Car, RIGHT | changes, "car")
    assert [str(fault) for fault in faults] == [sentence]
