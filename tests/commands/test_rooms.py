"""`simkit rooms`: the limiting room, the ladder, its JSON, and a case without rooms."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask


@pytest.fixture
def rooms_case(homes: Path) -> Path:
    """The sample with few samples, so that ranges come quickly."""
    path = homes / "sample_data" / "estuary_bungalow" / "rooms.toml"
    path.write_text(path.read_text(encoding="utf-8") + "\n[uncertainty]\nlanes = 16\n", encoding="utf-8")
    return path


def test_the_limit_comes_first_then_rooms_then_the_ladder(ask: Ask, rooms_case: Path) -> None:
    found = ask("rooms", rooms_case)
    assert found.code == 0
    words = " ".join(found.out.split())
    assert "“study” sets the limit: for " in words
    assert words.index("sets the limit") < words.index("living room") < words.index("Bigger emitters")
    assert "Most worth doing: " in words
    assert "pays back in" in words


def test_json(ask: Ask, rooms_case: Path) -> None:
    made = json.loads(ask("rooms", rooms_case, "--no-range", "--json").out)
    assert made["limiting"] == "study"
    assert {"room", "needed_c", "flow_needed_c", "design_c", "coldest_c", "short_share"} <= set(made["rooms"][0])
    assert made["sets"][0]["changed"] == ["study: taller panel"]
    assert "saving_low" not in made["sets"][0]
    assert made["best_flow_c"] < made["design_flow_c"]


def test_an_option_without_candidates_still_shows_its_rooms(ask: Ask, homes: Path) -> None:
    path = homes / "sample_data" / "estuary_bungalow" / "rooms.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    kept, inside = [], False
    for line in lines:
        inside = inside or line.startswith("candidate = [")
        if not inside:
            kept.append(line)
        inside = inside and line != "]"
    path.write_text("\n".join(kept), encoding="utf-8")
    found = ask("rooms", path, "--option", "As installed")
    assert found.code == 0
    assert "Bigger emitters" not in found.out


def test_a_case_without_rooms(ask: Ask, bungalow: Path) -> None:
    found = ask("rooms", bungalow, "--option", "Heat pump, as installed")
    assert found.code == 2
    assert "rooms are not described in this case. Add a [[room]]" in found.faults[0].replace(":", "")
