"""Weights, lines and labels; and a load that follows a control window through a step that a late meter cuts."""

from __future__ import annotations

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charge import charge
from simkit.billing.charges.energy_lines import Following, Rows, _overlap
from simkit.clock import TimeAxis

LONDON = TimeAxis("Europe/London", 2025, 15)
# A cheap night on a UTC clock whose meter is twelve minutes late: really 00:42 to 07:42.
LATE = tariff(
    band("Night", 0.10, "00:30", "07:30"), band("Day", 0.30, "07:30", "00:30"), clock="utc", meter_offset_minutes=12
)


def kwh_by_band(**terms: object) -> dict[str, float]:
    return {line.label: line.quantity for line in charge(LATE, LONDON, **terms).lines}


def test_a_load_timed_by_the_late_meter_is_all_at_night() -> None:
    # own. 4 kW inside 00:42-07:42 UTC, on 365 nights of 7 h: 10,220 kWh. The load's steps are cut: 20 % of that from
    # 00:30, 80 % of that from 07:30. Spread evenly, a share of each cut step would be priced as day:
    # per night 4 kW × (0.05 h × 0.8 + 0.2 h × 0.2) = 0.32 kWh, 116.8 kWh a year.
    inside = LONDON.window("00:42", "07:42", clock="utc")
    load = 4.0 * inside * LONDON.hours
    even = kwh_by_band(import_kwh=load)
    assert even == pytest.approx({"Night": 10220 - 116.8, "Day": 116.8})
    following = kwh_by_band(import_kwh=load, following=[Following(load, inside)])
    assert following == pytest.approx({"Night": 10220, "Day": 0}, abs=1e-9)


def test_a_load_timed_by_the_wall_clock_pays_the_minutes_that_the_meter_is_late() -> None:
    # own. The window 00:30-07:30 UTC falls on steps: its first 12 minutes are at the day's price, all else at night:
    # 365 × 4 kW × 0.2 h = 292 kWh.
    inside = LONDON.window("00:30", "07:30", clock="utc")
    load = 4.0 * inside * LONDON.hours
    for following in ([], [Following(load, inside)]):
        assert kwh_by_band(import_kwh=load, following=following) == pytest.approx({"Night": 9928, "Day": 292})


def test_what_does_not_follow_is_spread_evenly_and_no_energy_is_lost() -> None:
    inside = LONDON.window("00:42", "07:42", clock="utc")
    load, rest = 4.0 * inside * LONDON.hours, np.full(LONDON.steps, 0.1)
    together = kwh_by_band(import_kwh=load + rest, following=[Following(load, inside)])
    apart = kwh_by_band(import_kwh=rest)
    assert together == pytest.approx({"Night": apart["Night"] + 10220, "Day": apart["Day"]})
    assert sum(together.values()) == pytest.approx((load + rest).sum())


def test_a_window_at_the_other_end_of_the_step_meets_only_what_overlaps() -> None:
    # own. Window 07:36-08:06 UTC, night until 07:42. In the step from 07:30 the window holds 9 min, from minute 6
    # on; the night 12 min, to minute 12: 6 min lie in both by the clock. The rule by ends gives 9 + 12 - 15 = 6 min.
    inside = LONDON.window("07:36", "08:06", clock="utc")
    load = 6.0 * inside * LONDON.hours
    found = kwh_by_band(import_kwh=load, following=[Following(load, inside)])
    assert found == pytest.approx({"Night": 365 * 6.0 * 6 / 60, "Day": 365 * 6.0 * 24 / 60})


def test_lines_of_one_name_are_told_apart_by_price_and_then_by_tax() -> None:
    axis = TimeAxis("UTC", 2025, 60)
    rows, ones = Rows(axis), np.ones(axis.steps)
    for name, price, tax in (("A", 0.1, 0.0), ("B", 0.2, 0.0), ("B", 0.3, 0.0), ("C", 0.4, 0.05), ("C", 0.4, 0.1)):
        rows.add(name, "energy", ones, price=price, tax=tax)
    rows.add("A", "energy", ones, price=0.1, tax=0.0)
    made = rows.made()
    assert [line.label for line in made.lines] == [
        "A", "B at 0.2", "B at 0.3", "C at 0.4, taxed at 5 %", "C at 0.4, taxed at 10 %",
    ]  # fmt: skip
    assert made.weights[0, 0] == 2.0
    assert made.month_sums(ones)[0] == pytest.approx(
        2 * np.array([744, 672, 744, 720, 744, 720, 744, 744, 720, 744, 720, 744])
    )


def test_which_end_of_a_step_a_window_fills_is_told_by_the_step_next_to_it() -> None:
    """Both bands hold half of the third step; the window and the first band come from the left, the second goes on."""
    shares = np.array([[0.0, 1.0, 0.5, 0.0], [1.0, 0.0, 0.5, 1.0]])
    window = np.array([0.0, 1.0, 0.5, 0.0])
    assert _overlap(shares, window, np.array([2]))[:, 0].tolist() == [0.5, 0.0]
