"""`simkit sweep`: rows and answer, JSON keys, and what --flow may be."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask
from simkit.commands.sweep import flows_of


@pytest.fixture
def rooms_case(homes: Path) -> Path:
    return homes / "sample_data" / "estuary_bungalow" / "rooms.toml"


def test_one_row_by_flow_and_the_answer_first(ask: Ask, rooms_case: Path) -> None:
    found = ask("sweep", rooms_case, "--flow", "45:55:5")
    assert found.code == 0
    words = " ".join(found.out.split())
    for part in ("costs least with comfort held", "Comfort holds ", "One kelvin of design flow is worth"):
        assert part in words
    for flow in ("45 °C", "50 °C", "55 °C"):
        assert flow in words


def test_without_flow_a_usual_range_is_taken(ask: Ask, rooms_case: Path) -> None:
    made = json.loads(ask("sweep", rooms_case, "--json").out)
    assert [row["design_flow_c"] for row in made["flows"]] == [float(flow) for flow in range(30, 61)]


def test_json(ask: Ask, rooms_case: Path) -> None:
    made = json.loads(ask("sweep", rooms_case, "--flow", "45:55:5", "--json").out)
    assert [row["design_flow_c"] for row in made["flows"]] == [45.0, 50.0, 55.0]
    assert made["flows"][0]["year_cost"] < made["flows"][2]["year_cost"]
    assert {"case", "currency", "flows", "per_kelvin", "answer"} <= set(made)
    assert 0.005 < made["per_kelvin"]["per_design_k"] < made["per_kelvin"]["per_actual_k"]


def test_a_picture(ask: Ask, rooms_case: Path, tmp_path: Path) -> None:
    found = ask("sweep", rooms_case, "--flow", "45:55:5", "--figure", tmp_path / "flow.png")
    assert found.code == 0
    assert (tmp_path / "flow.png").read_bytes().startswith(b"\x89PNG")


def test_flows() -> None:
    assert flows_of("35:37") == [35.0, 36.0, 37.0]
    assert flows_of("35:36:0,5") == [35.0, 35.5, 36.0]


@pytest.mark.parametrize(
    ("flow", "words"),
    [
        ("35", "--flow 35 is not a first and a last temperature"),
        ("warm:hot", "--flow warm:hot is not a first and a last temperature"),
        ("60:35", "--flow 60:35 does not rise"),
        ("35:60:0", "--flow 35:60:0 does not rise"),
        ("35:60:0.01", "asks for 2,501 years, more than the 200"),
        ("35:80", "80 °C is above what can be sent, 62 °C"),
    ],
)
def test_flows_that_cannot_be(ask: Ask, rooms_case: Path, flow: str, words: str) -> None:
    found = ask("sweep", rooms_case, "--flow", flow)
    assert found.code == 2
    assert len(found.faults) == 1
    assert words in found.faults[0]
