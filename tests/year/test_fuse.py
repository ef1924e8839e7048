"""The main fuse: power, margin, hours over."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.case.home.site import Site
from simkit.clock import TimeAxis
from simkit.notation import Notation
from simkit.year.fuse import fuse_kw, fuse_use

DUBLIN = TimeAxis("Europe/Dublin", 2025, 30)
PLACE = {"zone": "Europe/Dublin", "country": "IE", "latitude_deg": 53.0, "longitude_deg": -6.0, "altitude_m": 10.0,
         "year": 2025, "design_outdoor_c": -2.0}  # fmt: skip


def site(**supply: object) -> Site:
    return Site.model_validate(PLACE | supply)


@pytest.mark.parametrize(("fuse", "phases", "kw"), [(40.0, 1, 9.2), (63.0, 1, 14.49), (25.0, 3, 17.25)])
def test_the_power_of_a_fuse(fuse: float, phases: int, kw: float) -> None:
    # own: amperes × 230 V × phases
    assert fuse_kw(site(fuse_a=fuse, volts=230.0, phases=phases)) == pytest.approx(kw)


def test_without_a_stated_fuse_nothing_is_said() -> None:
    assert fuse_kw(site()) is None
    assert fuse_use(np.ones(DUBLIN.steps), DUBLIN, site()) is None


def test_the_margin_at_the_highest_step() -> None:
    # own: peak 6.9 kW is 30 A at 230 V, 10 A under the fuse of 40 A
    power = np.ones(DUBLIN.steps)
    power[np.flatnonzero((DUBLIN.day == 20) & (DUBLIN.minute_of_day == 1110))[0]] = 6.9
    use = fuse_use(power, DUBLIN, site(fuse_a=40.0, volts=230.0, phases=1))
    assert (use.peak_kw, use.peak_at, use.hours_over) == (6.9, "21 January 18:30", 0.0)
    assert use.margin_a == pytest.approx(10.0)
    assert (
        use.worded() == "The highest import is 6.9 kW (21 January 18:30), which leaves 10.0 A of the main fuse of 40 A."
    )


def test_hours_over_the_fuse() -> None:
    power = np.ones(DUBLIN.steps)
    power[100:103] = 11.5
    use = fuse_use(power, DUBLIN, site(fuse_a=40.0, volts=230.0, phases=1))
    assert use.hours_over == 1.5
    assert use.margin_a == pytest.approx(-10.0)
    assert use.worded().startswith(
        "The import is over the main fuse of 40 A in 1.5 hours a year; at most it is 11.5 kW ("
    )
    assert use.worded(Notation("de_DE", "EUR").number).endswith(" lets 9,2 kW through.")


def test_five_minutes_over_the_fuse_count_as_five_minutes() -> None:
    power, within = np.zeros(DUBLIN.steps), np.zeros(DUBLIN.steps)
    power[10], power[20], within[30] = 9.5, 8.0, 9.4
    within[20] = 1.0
    use = fuse_use(power, DUBLIN, site(fuse_a=40.0, volts=230.0, phases=1), within)
    assert use is not None
    assert use.peak_kw == 9.5
    assert use.hours_over == pytest.approx(DUBLIN.hours + 1.0 / 12.0)  # 9.0 kW is under the 9.2 of the fuse
