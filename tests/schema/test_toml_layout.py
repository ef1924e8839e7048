"""Tables laid out as TOML: what is read back is what was written, in an order that a reader expects."""

from __future__ import annotations

import datetime as dt
import tomllib
from typing import Any

import pytest
from case.stated import EXAMPLE, table
from hypothesis import given
from hypothesis import strategies as st

from simkit.case.build import Case
from simkit.case.load import read_case
from simkit.schema.toml_layout import laid_out
from simkit.tariff.tariff import Tariff


def test_the_example_reads_back() -> None:
    assert tomllib.loads(laid_out(Case, table(), options=Case)) == table()


def test_values_come_before_tables_and_keys_in_the_order_of_the_model() -> None:
    content = laid_out(Case, dict(reversed(table().items())), options=Case, remark="One.\nTwo.")
    assert content.startswith('# One.\n# Two.\nname = "Sandbank cottage"\nnote = ')
    assert content.index("[site]") < content.index("[weather]") < content.index("[home]") < content.index("[[option]]")
    assert "\n\n\n" not in content


def test_a_tariff_with_its_dates() -> None:
    tariff = read_case(EXAMPLE).tariff
    content = laid_out(Tariff, tariff.model_dump(by_alias=True, exclude_none=True, mode="python"))
    assert tomllib.loads(content)["valid_from"] == dt.date(2025, 1, 1)
    assert content.count("[[band]]") == 2


ODD: list[dict[str, Any]] = [
    {"hybrid": {}},
    {"home": {"window": [], "loss": {}}},
    {"home": {"window": [{}, {"area_m2": 1}]}},
    {"boiler": {"as_operated": {"periods": []}}},
    {"solar": {"array": [{"kwp": 1}], "losses": {"dirt": 0.1}}},
    {"name": 'a "quoted" \\ name\n\t\x7f\x01 é 😀'},
    {"site": {"altitude_m": 1e-7, "latitude_deg": -0.0, "longitude_deg": 123456789.123}},
    {"strange key": 1, "as_operated": True, "heat_pump": {"points_hold": ["fan"] * 30}},
    {"comfort": {"periods": [{"from": "07:00", "to": "08:00", "c": 20.0, "days": "workdays"}] * 5}},
    {"weather": {"columns": {"outdoor_c": "T (°C)"}}},
]


@pytest.mark.parametrize("stated", ODD, ids=[str(stated)[:40] for stated in ODD])
def test_odd_tables_read_back(stated: dict[str, Any]) -> None:
    assert tomllib.loads(laid_out(Case, stated)) == stated
    options = {"name": "x", "option": [{"name": "a", **stated}, {"name": "b"}]}
    assert tomllib.loads(laid_out(Case, options, options=Case))["option"] == options["option"]


@given(st.text(st.characters(exclude_categories=("Cs",))))
def test_any_text_reads_back(text: str) -> None:
    assert tomllib.loads(laid_out(Case, {"name": text})) == {"name": text}
