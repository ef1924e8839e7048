"""The schema for editors: it takes what the reader takes and refuses what the reader refuses."""

from __future__ import annotations

import json
from typing import Any

import pytest

from case.stated import sections, table, with_path
from case.test_defaults import LEAST
from simkit.case.json_schema import case_schema

jsonschema = pytest.importorskip("jsonschema", reason="jsonschema comes with JupyterLab")
SCHEMA = case_schema()
EDITOR = jsonschema.Draft202012Validator(SCHEMA)


def errors(stated: dict[str, Any]) -> list[Any]:
    return list(EDITOR.iter_errors(json.loads(json.dumps(stated))))


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert {section.__name__ for section in sections()} <= set(SCHEMA["$defs"])
    assert '"null"' not in json.dumps(SCHEMA), "TOML has none"


def test_good_cases_pass() -> None:
    assert errors(table()) == []
    assert errors(LEAST) == []
    assert errors(table(home={"floor_area_m2": 100, "loss": {"fuel_amount": 1500, "fuel_unit": "litre"}})) == []


BROKEN = [
    ("controls.desing_flow_c", 45),
    ("controls.design_flow_c", 450),
    ("controls.design_flow_c", "45"),
    ("controls.flow", "steady"),
    ("home.loss", {"w_per_k": 150, "design_kw": 5}),
    ("home.loss", {}),
    ("hot_water.standing_loss_w", 5000),
    ("hot_water.coil_area_m2", 1.0),
    ("weather.mean_c", [1.0] * 11),
    ("comfort.periods.0.from", "7:00"),
    ("site.zone", ...),
    ("site", ...),
    ("home.loss", ...),
    ("speed", 3),
    ("option.1.controls.design_flow_c", 450),
    ("option.1.controls.desing_flow_c", 45),
    ("option.0.name", ...),
    ("option.0.without", ["site"]),
    ("option.0.baseline", "x"),
]


@pytest.mark.parametrize(("path", "value"), BROKEN, ids=[f"{path}={value}"[:40] for path, value in BROKEN])
def test_broken_cases_are_marked(path: str, value: Any) -> None:
    base = with_path("hot_water.coil_ua_w_per_k", 700) if path == "hot_water.coil_area_m2" else None
    if path.startswith("option"):
        base = table()
        base["option"][1] = {"name": "x", "controls": {"design_flow_c": 42}}
    assert errors(with_path(path, value, base))


def test_keys_show_unit_meaning_and_bounds() -> None:
    field = SCHEMA["$defs"]["HotWater"]["properties"]["volume_l"]
    assert field["description"] == "Volume of the cylinder [litres], 20 to 2000 (bounds: own)."
    assert (field["minimum"], field["maximum"], field["unit"]) == (20, 2000, "litres")
