"""Right answers are taken and usual slips are not, for fifty pupils; each finds in the year what the trade says."""

from __future__ import annotations

import pytest

from simkit.errors import CaseError
from simkit.lesson import figures
from simkit.lesson.errors import PLANTED, calculation, found, lines_in, marks, wrong_lines
from simkit.lesson.exercise import Exercise
from simkit.lesson.exercises import exercises, of_level
from simkit.lesson.pupil import LOWER_K, pupil
from simkit.physics.constants import SAFE_ROOM_C

PUPILS = range(1, 51)
KEYS = [f"{part}{level}" for part in "ABCD" for level in (1, 2, 3)]


@pytest.fixture(scope="module")
def lesson() -> dict[int, dict[str, Exercise]]:
    """The exercises of fifty pupils."""
    return {number: {one.key: one for one in exercises(number)} for number in PUPILS}


@pytest.mark.parametrize("key", KEYS)
def test_right_answers_are_taken_and_wrong_ones_are_not(lesson: dict[int, dict[str, Exercise]], key: str) -> None:
    slipped = 0
    for number in PUPILS:
        one = lesson[number][key]
        assert one.right(one.value)
        assert one.right(round(one.value, one.digits)), "an answer as it would be written"
        for off in (-50.0, -1.01, 1.01, 50.0, float("nan")):
            assert not one.right(one.value + off * one.tolerance)
        for wrong, said in one.slips:
            if abs(wrong - one.value) > 2 * one.tolerance:  # else it makes no difference in this home
                slipped += 1
                assert not one.right(wrong)
                assert one.helped(wrong) == said
    assert slipped >= 0.8 * len(PUPILS) * len(lesson[1][key].slips)


def test_pupils_differ_and_the_same_pupil_does_not(lesson: dict[int, dict[str, Exercise]]) -> None:
    assert len({lesson[number]["C1"].question for number in PUPILS}) == len(PUPILS)
    exercises.cache_clear()
    pupil.cache_clear()
    assert {one.key: one for one in exercises(7)} == lesson[7]


def test_the_facts_of_the_trade_stand_in_every_answer(lesson: dict[int, dict[str, Exercise]]) -> None:
    # common practice: more heat than electricity on the worst day; 2 to 3 % a kelvin of the water that flows, and about
    # half of that for a kelvin on the coldest day; a set-back that is driven back hot saves less money than heat
    for number in PUPILS:
        value = {key: one.value for key, one in lesson[number].items()}
        assert value["A1"] > 1.0
        assert 1.9 <= value["B2"] <= 3.0
        assert 2.0 <= value["B3"] <= 3.2
        assert 0.4 <= value["B1"] / value["B2"] <= 0.75
        assert value["D1"] > 5.0
    assert sum(lesson[number]["D3"].value > 0 for number in PUPILS) > len(PUPILS) / 2, "a set-back may cost"


def test_every_day_gives_more_heat_than_it_takes_and_no_room_is_too_cool() -> None:
    home = pupil(31)
    days = figures.by_day(home.steady)
    assert (days["heat"] > days["taken"]).all()
    assert days["heat"].sum() == pytest.approx(figures.heat_kwh(home.steady))
    assert days["taken"].sum() == pytest.approx(figures.taken_kwh(home.steady))
    assert figures.heat_kwh(home.steady) / figures.taken_kwh(home.steady) == pytest.approx(home.steady.spf.h4, rel=0.02)
    assert home.cooler.case.controls.design_flow_c == home.case.controls.design_flow_c - LOWER_K
    for year in (home.steady, home.cooler, home.set_back):
        assert year.comfort.held
        assert year.comfort.min_room_c >= SAFE_ROOM_C


def test_a_level_holds_the_ones_below() -> None:
    assert [len(of_level(3, level)) for level in (1, 2, 3)] == [4, 8, 12]


@pytest.mark.parametrize("number", [0, -3, 10_000])
def test_a_number_that_is_none_is_refused(number: int) -> None:
    with pytest.raises(CaseError, match="is outside 1 to 9999"):
        pupil(number)


def test_ten_lines_of_each_calculation_are_wrong_and_say_so() -> None:
    places = set()
    for number in range(1, 11):
        lines, wrong = calculation(number), wrong_lines(number)
        assert [line.number for line in lines] == list(range(1, 17))
        assert len(wrong) == PLANTED
        places.add(wrong)
        for line in lines:
            assert line.text.endswith(f" {line.right}.") == (line.number not in wrong)
            assert bool(line.why) == (line.number in wrong)
    assert len(places) == 10


def test_errors_found_count_and_right_lines_accused_count_off() -> None:
    wrong = wrong_lines(4)
    right = frozenset(range(1, 17)) - wrong
    assert marks(4, wrong) == PLANTED
    assert marks(4, wrong | right) == PLANTED - len(right)
    assert marks(4, right) == marks(4, frozenset()) == 0
    assert found(4, wrong | set(sorted(right)[:2])) == (PLANTED, 2)


def test_numbers_of_lines_are_read_as_people_write_them() -> None:
    assert lines_in("2, 5 and 7;11  2") == {2, 5, 7, 11}
    assert lines_in("") == frozenset()
    assert lines_in("two") is None
    assert lines_in("2.5") is None
    assert lines_in("12345") is None
