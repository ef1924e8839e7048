"""A hand-written file changed where it must be: remarks, order and spelling of everything else stay."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from case.stated import EXAMPLE, HERE, with_path
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.case.build import vary
from simkit.case.load import read_case, write_case
from simkit.schema.toml_remarks import remarks_kept

SOURCE = EXAMPLE.read_text(encoding="utf-8")


def lines_that_differ(one: str, other: str) -> set[str]:
    return set(one.splitlines()) ^ set(other.splitlines())


def test_one_number_changes_one_line() -> None:
    changed = remarks_kept(SOURCE, with_path("option.1.controls.design_flow_c", 40.0))
    assert changed is not None
    assert lines_that_differ(SOURCE, changed) == {"controls.design_flow_c = 42.0", "controls.design_flow_c = 40.0"}


def test_a_remark_behind_a_value_stays() -> None:
    changed = remarks_kept("[controls]\ndesign_flow_c = 50.0 # as it was\n", {"controls": {"design_flow_c": 45.0}})
    assert changed == "[controls]\ndesign_flow_c = 45.0 # as it was\n"


CHANGES: list[tuple[str, Any]] = [
    ("battery", {"usable_kwh": 5.0, "charge_kw": 2.0, "discharge_kw": 2.0}),
    ("boiler", ...),
    ("as_operated", False),
    ("home.window", [{"area_m2": 3.0, "azimuth_deg": 90.0}]),
    ("home.window", []),
    ("comfort.periods.0.c", 20.0),
    ("heat_pump.point.3.cop", 2.9),
    ("option", []),
    ("option.2.without", ["heat_pump", "battery"]),
    ("weather.mean_c.0", 5.0),
    ("hot_water.hygiene", {"target_c": 62.0}),
]


@pytest.mark.parametrize(("path", "value"), CHANGES, ids=[f"{path}={value}"[:40] for path, value in CHANGES])
def test_every_kind_of_change_is_kept_or_declined(path: str, value: Any) -> None:
    table = with_path(path, value)
    changed = remarks_kept(SOURCE, copy.deepcopy(table))
    assert changed is not None
    assert tomllib.loads(changed) == table
    assert changed.startswith("# An invented home for the tests.")


def test_what_is_no_toml_is_declined() -> None:
    assert remarks_kept("= 3", {"a": 1}) is None


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from("abc"), st.recursive(
    st.integers() | st.booleans() | st.text("xyz", max_size=3),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from("abc"), inner, max_size=2),
    max_leaves=5,
)))  # fmt: skip
def test_never_another_table(table: dict[str, Any]) -> None:
    changed = remarks_kept("a = 1 # one\n[b]\nc = 2\n[[c]]\na = 1\n[[c]]\nb.a = 2\n", table)
    assert changed is None or tomllib.loads(changed) == table


def test_saving_to_the_own_file_keeps_its_remarks(tmp_path: Path) -> None:
    for name in ("example.toml", "example_tariff.toml"):
        (tmp_path / name).write_text((HERE / name).read_text(encoding="utf-8"), encoding="utf-8")
    path = tmp_path / "example.toml"
    case = vary(read_case(path), {"controls.design_flow_c": 44.0})
    write_case(case, path)
    assert read_case(path) == case
    assert lines_that_differ(SOURCE, path.read_text()) == {"design_flow_c = 50.0", "design_flow_c = 44.0"}


def test_saving_over_another_home_keeps_nothing_of_it(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text('# the mill\nname = "mill"\n', encoding="utf-8")
    write_case(read_case(EXAMPLE), path)
    assert "mill" not in path.read_text()
