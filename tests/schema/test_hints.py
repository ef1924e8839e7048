"""Numbers and values as messages show them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from case.stated import sections

from simkit.schema.hints import SLIPS, neat, shown
from simkit.schema.overlay import parts_of

SHOWN: list[tuple[Any, str]] = [
    (7, "7"),
    (7.0, "7"),
    (0.1 + 0.2, "0.3"),
    (-0.0, "0"),
    (1e300, "1e+300"),
    (10**30, "1e+30"),
    (10**400, "1.00e+400"),
    (math.nan, "nan"),
    (-math.inf, "-inf"),
    (True, "true"),
    (None, "nothing"),
    ("a\nb", '"a b"'),
    ([1, "x"], '[1, "x"]'),
    ({}, "{}"),
    ({"a": 1.5}, "{ a = 1.5 }"),
    ("x" * 200, '"' + "x" * 96 + "..."),
]


@pytest.mark.parametrize(("value", "text"), SHOWN, ids=[text[:20] for _, text in SHOWN])
def test_values_as_messages_show_them(value: Any, text: str) -> None:
    assert shown(value) == text


def test_numbers_are_neat() -> None:
    assert [neat(value) for value in (0.92, 123456.789, 1e-7, 20)] == ["0.92", "123457", "0.0000001", "20"]


def test_every_unit_with_a_slip_is_the_unit_of_a_field() -> None:
    units = {
        str(part.field.json_schema_extra["unit"])
        for section in sections()
        for part in parts_of(section).values()
        if isinstance(part.field.json_schema_extra, dict) and "unit" in part.field.json_schema_extra
    }
    assert set(SLIPS) <= units
