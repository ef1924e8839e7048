"""Notices of a drift on a few invented homes of fixed seeds; the hundred stand in tests/bench/meter.py."""

from __future__ import annotations

from meter.drifting import CHANGE, notices
from simkit.meter.account.drift import FALSE_NOTICES, HOMES, NOTICED, RATES


def test_homes_left_alone_raise_no_notice_and_a_change_of_a_third_is_seen() -> None:
    import pandas as pd

    told = [notices(number, (0.0, 0.3), draws=1280) for number in (1, 2, 3)]
    assert [quiet for quiet, _ in told] == [None] * 3  # own: one in a hundred by chance
    for _, drift in told:
        assert drift is not None
        assert drift.kwh_per_day > 0
        assert drift.low < drift.kwh_per_day < drift.high
        assert abs((drift.since - pd.Timestamp(CHANGE)).days) <= 10
        assert "it grows with the heating" in drift.kind


def test_the_rates_that_were_measured_stand_beside_the_notice() -> None:
    assert f"Of {HOMES} invented homes left alone, {FALSE_NOTICES} had such a notice" in RATES
    assert f"was noticed in {NOTICED} within two" in RATES
