"""Schedules of a controller: what is typed in gives the very set-points that were searched."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decide.invented import terrace
from simkit.assemble.schedule import temperature_c
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.decide.schedule.rule import Rule, Window, changes_of, cheapest, day_pattern, day_set_points, year_set_points

SETTING = setting_for(terrace(), 60)
PATTERN = day_pattern(terrace(), SETTING)


def test_the_needed_day_is_read_off_the_case() -> None:
    assert PATTERN.needed_c[0].tolist() == [18.0] * 6 + [20.0] * 16 + [18.0] * 2
    assert PATTERN.inside.sum() == 32


def test_the_cheapest_stretch_is_the_night_and_of_equal_prices_the_mildest() -> None:
    assert cheapest(PATTERN, 4.0) == Window(60, 240)
    assert cheapest(PATTERN, 3.0).start in (60, 120)
    flat = vary(terrace(), {"tariff.band": [{"name": "x", "price_per_kwh": 0.3, "from": "00:00", "to": "24:00",
                                            "days": "all"}]})  # fmt: skip
    mild = cheapest(day_pattern(flat, setting_for(flat, 60)), 3.0)
    assert 11 * 60 <= mild.start <= 15 * 60


@pytest.mark.parametrize(("at", "starts"), [("start", 22), ("end", 3)])
def test_a_stretch_lies_at_either_end_of_the_cheap_hours(at: str, starts: int) -> None:
    """Eight cheap hours from 22:00 over midnight: three of them begin at 22:00 or end at 06:00."""
    bands = [{"name": "night", "price_per_kwh": 0.1, "from": "22:00", "to": "06:00", "days": "all"},
             {"name": "day", "price_per_kwh": 0.4, "from": "06:00", "to": "22:00", "days": "all"}]  # fmt: skip
    night = vary(terrace(), {"tariff.band": bands})
    pattern = day_pattern(night, setting_for(night, 60))
    assert cheapest(pattern, 3.0, at=at) == Window(starts * 60, 180)
    assert cheapest(pattern, 8.0, at=at) == Window(22 * 60, 480)
    set_points = day_set_points(Rule(lift_k=2.0, lift_h=3.0, lift_at=at), pattern)[0]
    assert np.flatnonzero(set_points == 22.0).tolist() == sorted((starts + hour) % 24 for hour in range(3))
    assert cheapest(pattern, 2.0, part=(600, 1080)).start in range(600, 961)


def test_a_set_back_by_hand() -> None:
    day = day_set_points(Rule(over_k=0.5, lead_h=2.0, set_back_k=1.0), PATTERN)
    assert day[0].tolist() == [19.5] * 4 + [20.5] * 18 + [19.5] * 2
    deep = day_set_points(Rule(over_k=0.5, lead_h=1.0, set_back_k=9.0), PATTERN)
    assert deep.min() == 18.0  # never below what is needed there


def test_a_weekend_has_numbers_of_its_own() -> None:
    apart = Rule(over_k=0.5, lead_h=2.0, set_back_k=1.0)
    apart = apart.with_days(apart.workdays, apart.workdays._replace(set_back_k=0.0, over_k=0.0))
    day = day_set_points(apart, PATTERN)
    assert day[0].tolist() == [19.5] * 4 + [20.5] * 18 + [19.5] * 2
    assert set(day[1].tolist()) == {20.0}  # no set-back at the needed warmth
    assert apart.with_days(apart.workdays, apart.workdays).weekend is None


def test_pre_heat_lifts_the_cheapest_stretch() -> None:
    day = day_set_points(Rule(set_back_k=2.0, lift_k=1.0, lift_h=4.0), PATTERN)
    assert day[0, 1:5].tolist() == [21.0] * 4
    assert day[1].max() == 21.0


@settings(max_examples=25, deadline=None)
@given(
    over=st.sampled_from([0.0, 0.25, 0.5]), lead=st.sampled_from([0.0, 1.0, 3.0]), back=st.sampled_from([0.0, 1.5, 3.0]),
    lift=st.sampled_from([0.0, 1.0]), hours=st.sampled_from([2.0, 5.0]), weekend=st.sampled_from([None, 0.5, 2.0]),
)  # fmt: skip
def test_what_is_typed_in_is_what_was_searched(
    over: float, lead: float, back: float, lift: float, hours: float, weekend: float | None
) -> None:
    rule = Rule(over, lead, back, lift, hours)
    if weekend is not None:
        rule = rule.with_days(rule.workdays, rule.workdays._replace(set_back_k=weekend, lead_h=2.0))
    typed = vary(terrace(), changes_of(rule, PATTERN, terrace())).controls
    found = temperature_c(typed.periods, typed.setback_c, SETTING.axis)
    assert np.allclose(found, year_set_points(day_set_points(rule, PATTERN), SETTING.axis))


@pytest.mark.parametrize(
    ("window", "words"),
    [(Window(60, 240), "01:00–05:00"), (Window(1380, 120), "23:00–01:00"), (Window(0, 1440), "at any time")],
)
def test_words_of_a_window(window: Window, words: str) -> None:
    assert window.words == words
