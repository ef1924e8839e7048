"""How far a battery is filled by the weather expected, on days that can be done by hand."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.assemble.battery_fill import fill_share
from simkit.case.power.battery import Battery

NEW = {
    "charge_efficiency": 1.0, "discharge_efficiency": 0.8, "idle_w": 0.0, "wear_per_kwh": 0.0, "store_surplus": True,
    "fill_by": "tomorrow", "coupling": "ac", "fade_per_year": 0.0, "fade_per_cycle": 0.0, "age_years": 0.0, "cycles_done": 0.0,
}  # fmt: skip


def battery(**keys: float) -> Battery:
    stated = {"usable_kwh": 10.0, "charge_kw": 4.0, "discharge_kw": 4.0, "reserve_share": 0.1, "charge_to": 0.9}
    return Battery.model_validate({**NEW, **stated, **keys})


CHEAP = np.arange(48) % 24 < 4


@pytest.mark.parametrize(
    ("kw", "share"),
    [
        (0.1, 0.1 + 20 * 0.1 / 0.8 / 10.0),  # twenty dear hours of 0.1 kW at 80 %, over the floor
        (1.0, 0.9),  # more than it holds: charge_to
        (-1.0, 0.1),  # panels spill all day: the floor
    ],
)
def test_even_days(kw: float, share: float) -> None:
    found = fill_share(battery(), CHEAP, np.full(48, kw), 1.0)
    assert found[CHEAP] == pytest.approx(np.full(8, share))
    assert np.all(found[~CHEAP] == 0.0)


def test_what_the_panels_refill_is_not_asked_for_twice() -> None:
    """0.5 kW for five hours, then the sun brings 4 kW for five: the deepest fall is the one before the sun."""
    day = np.zeros(24)
    day[4:9], day[9:14], day[14:] = 0.5, -4.0, 0.5
    found = fill_share(battery(), CHEAP, np.tile(day, 2), 1.0)
    assert found[0] == pytest.approx(0.1 + 2.5 / 0.8 / 10.0)


def test_no_cheap_hour_no_fill() -> None:
    assert not fill_share(battery(), np.zeros(24, dtype=bool), np.ones(24), 1.0).any()
