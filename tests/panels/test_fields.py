"""What somebody types becomes a value, or one plain sentence that says what is wrong with it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simkit.panels.fields import Choice, Number, TimeOfDay, case_number, numbers_in

AREA = case_number("floor_area", "Heated floor area", "home.floor_area_m2", step=1)
PRICE = Number("price", "Price", "EUR", 0.0, 30.0, 0.01, example=1.1)
FLOW = case_number(
    "flow", "Flow", "controls.design_flow_c", step=1, low=30, high=62, why="the machine makes no hotter water"
)
WIDE = Number("x", "X", "", 1.0, 5000.0, 1.0)
MASS = Choice("mass", "Building", (("light", "timber frame"), ("heavy", "stone")))
FROM = TimeOfDay("from", "From")
UNTIL = TimeOfDay("to", "To", until_midnight=True)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("128", (128.0,)), ("20.5", (20.5,)), ("20,5", (20.5,)), (" 1 850 ", (1850.0,)), ("1\u2009850,5", (1850.5,)),
        ("1,850.5", (1850.5,)), ("1.850,5", (1850.5,)), ("1.234.567", (1234567.0,)), ("−3", (-3.0,)), ("+4", (4.0,)),
        (".5", (0.5,)), ("0,345", (0.345,)), ("1,850", (1850.0, 1.85)), ("1.085", (1085.0, 1.085)),
        ("", ()), ("abc", ()), ("12 m", ()), ("1.2.3,4.5", ()), ("1e3", ()), ("nan", ()), ("-", ()), (",", ()),
    ],
)  # fmt: skip
def test_numbers_are_read_as_people_write_them(text: str, found: tuple[float, ...]) -> None:
    assert numbers_in(text) == found


@given(st.text(max_size=12))
def test_whatever_is_typed_gives_a_value_or_one_sentence(text: str) -> None:
    for field in (AREA, PRICE, MASS, FROM):
        reading = field.read(text)
        assert (reading.value is None) == bool(reading.problem)
        assert not reading.problem or reading.problem.endswith(".")


@given(st.floats(min_value=10, max_value=2000))
def test_a_number_inside_its_bounds_is_taken_as_it_is(value: float) -> None:
    assert AREA.read(value).value == value
    assert AREA.read(AREA.words(value)).value == pytest.approx(value, rel=1e-5)  # written with six digits


def test_only_one_way_to_read_it_fits_the_bounds() -> None:
    assert PRICE.read("1,085").value == 1.085
    assert PRICE.read("1.085").value == 1.085


@pytest.mark.parametrize(
    ("field", "given_value", "sentence"),
    [
        (AREA, "abc", '"abc" is not a number. Write a number such as 110.'),
        (AREA, "", "Nothing is written here. Write a number such as 110."),
        (AREA, True, "True is not a number. Write a number such as 110."),
        (AREA, "3", "3 m² is outside 10 to 2000 m². Write a value within these bounds, such as 110."),
        (AREA, 3500, "3500 m² is outside 10 to 2000 m². It is in m², not square feet: write 325.2."),
        (AREA, float("nan"), "nan m² is outside 10 to 2000 m². Write a value within these bounds, such as 110."),
        (WIDE, "1,234", '"1,234" can be read in two ways. Write 1234 or 1.234.'),
        (FLOW, 70, "70 °C is outside 30 to 62 °C (the machine makes no hotter water). Write a number such as 45."),
        (MASS, "timber", '"timber" is not among the choices. Perhaps timber frame is meant.'),
        (MASS, "glass house", '"glass house" is not among the choices. Choose one of: timber frame, stone.'),
        (FROM, "24:00", '"24:00" is not a time of day from 00:00 to 23:59. Write a time such as 07:00.'),
        (FROM, "7:60", '"7:60" is not a time of day from 00:00 to 23:59. Write a time such as 07:00.'),
        (FROM, "", "Nothing is written here. Write a time such as 07:00."),
        (UNTIL, "noon", '"noon" is not a time of day from 00:00 to 24:00. Write a time such as 07:00.'),
    ],
)
def test_what_cannot_be_read_is_answered_in_a_sentence(field: Any, given_value: Any, sentence: str) -> None:
    reading = field.read(given_value)
    assert reading.value is None
    assert reading.problem == sentence


@pytest.mark.parametrize("text", ["7", "07", "7:00", "07.00", "7h", "7h00", " 07:00 "])
def test_times_are_read_as_people_write_them(text: str) -> None:
    assert FROM.read(text).value == "07:00"
    assert UNTIL.read("24:00").value == "24:00"


def test_choices_are_known_by_value_and_by_words() -> None:
    assert MASS.read("heavy").value == MASS.read("stone").value == "heavy"
    assert MASS.words("heavy") == "stone"


def test_limits_are_told_in_words() -> None:
    assert FLOW.limits == "30 to 62 °C (the machine makes no hotter water)"
    assert MASS.limits == "timber frame, stone"
    assert UNTIL.limits == "00:00 to 24:00, wall time"
