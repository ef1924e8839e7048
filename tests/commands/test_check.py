"""`simkit check`: what a case says, or every fault of it; and the schema for editors."""

from __future__ import annotations

import json
from pathlib import Path

from commands.conftest import Ask


def test_a_sound_case_is_described(ask: Ask, bungalow: Path) -> None:
    found = ask("check", bungalow)
    assert found.code == 0
    assert "case.toml: no fault found; " in found.out
    assert "recovery_lift_k" in found.out
    assert "Hot water is set to 50 °C" in found.out


def test_the_same_as_json(ask: Ask, bungalow: Path) -> None:
    found = json.loads(ask("check", bungalow, "--json").out)
    assert found["valid"] is True
    assert len(found["options"]) == 5


def test_all_faults_come_at_once_one_line_each(ask: Ask, bungalow: Path) -> None:
    text = bungalow.read_text(encoding="utf-8")
    text = text.replace("design_flow_c = 55.0", "desing_flow_c = 55.0").replace("fan_share = 0.04", "fan_share = 4")
    bungalow.write_text(text, encoding="utf-8")
    found = ask("check", bungalow)
    assert (found.code, found.out) == (2, "")
    assert (
        "case.toml: [controls] desing_flow_c is not a key of this table. Perhaps design_flow_c is meant."
        in found.faults
    )
    assert any(fault.startswith("case.toml: [heat_pump] fan_share = 4 ") for fault in found.faults)


def test_a_case_must_be_named(ask: Ask) -> None:
    found = ask("check")
    assert found.code == 2
    assert found.faults == ["simkit check: CASE is missing. Name a case file, such as home/case.toml."]


def test_the_schema_is_printed_without_a_case(ask: Ask) -> None:
    found = ask("check", "--schema")
    assert found.code == 0
    schema = json.loads(found.out)
    assert schema["title"] == "simkit case"
    assert "hot_water" in schema["properties"]
