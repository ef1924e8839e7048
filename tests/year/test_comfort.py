"""Comfort in words and figures."""

from __future__ import annotations

import pytest
from references import Reference

from simkit.physics.records import Flows, State
from simkit.year.comfort import COLD_DEGREE_HOURS, SAFE_ROOM_C, YearComfort, year_comfort

pytestmark = pytest.mark.short


def test_what_is_read_off_a_year() -> None:
    totals = Flows(*range(len(Flows._fields)))._replace(below_k=12.0, below_18=3.0, over_k=4.0)
    after = State(*[0.0] * len(State._fields))._replace(coldest_room_c=17.2)
    assert year_comfort(totals, after) == YearComfort(17.2, 12.0, 3.0, 4.0)


@pytest.mark.parametrize(
    ("comfort", "words", "held"),
    [
        (YearComfort(19.5, 20.0, 0.0, 0.0), "warm enough", True),
        (YearComfort(18.1, 1234.4, 0.5, 0.0), "too cool: 1,234 K·h short", False),
        (YearComfort(16.0, 2000.0, 1250.4, 0.0), "1,250 h under 18 °C", False),
        (YearComfort(17.9, COLD_DEGREE_HOURS, 2.0, 0.0), "2 h under 18 °C", True),
    ],
)
def test_words(comfort: YearComfort, words: str, held: bool) -> None:
    assert comfort.words == words
    assert comfort.held is held


def test_the_safe_minimum_is_the_published_one() -> None:
    Reference(18.0, "WHO Housing and Health Guidelines 2018", 0.0, "a published minimum").check(SAFE_ROOM_C)


def test_a_shortfall_counts_as_felt_above_a_hundred_degree_hours() -> None:
    """own: half a kelvin for a week of evenings is some 100 K·h."""
    assert YearComfort(19.0, 100.0, 0.0, 0.0).held
    assert not YearComfort(19.0, 100.5, 0.0, 0.0).held
