"""`simkit spf`: every figure with its boundary, what was measured put at H4, and what can't be said."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask


@pytest.fixture
def rooms_case(homes: Path) -> Path:
    return homes / "sample_data" / "estuary_bungalow" / "rooms.toml"


def test_every_figure_has_its_boundary(ask: Ask, rooms_case: Path) -> None:
    found = ask("spf", rooms_case)
    assert found.code == 0
    words = " ".join(found.out.split())
    assert words.index("SPF, the seasonal performance factor, is heat per electricity") < words.index(
        "reference season"
    )
    made = json.loads(ask("spf", rooms_case, "--json").out)
    boundaries = {row["figure"]: row["boundary"] for row in made["figures"]}
    assert (boundaries["this year, compressor alone"], boundaries["this year, hot water only"]) == ("H1", "H4")
    band = next(row for row in made["figures"] if row["figure"] == "field band at 55 °C design flow")
    assert (band["low"], band["high"], band["boundary"]) == (2.2, 3.0, "H4")
    assert made["tables"]["reasons"][0]["by"] == "boundary"


def test_readings_are_spf_at_h4(ask: Ask, rooms_case: Path) -> None:
    words = ["--heat", "12000", "--electricity", "4000", "--electricity-by", "unit meter", "--meter-class", "2"]
    found = json.loads(ask("spf", rooms_case, *words, "--json").out)
    assert found["measured"]["boundary"] == "h2"
    assert found["measured"]["low"] < found["measured"]["h4"] < 3.0
    assert {"case", "figures", "answer", "measured"} <= set(found)
    assert all(row["boundary"] for row in found["figures"])


def test_what_can_not_be_said(ask: Ask, rooms_case: Path) -> None:
    found = ask("spf", rooms_case, "--electricity", "4000", "--heat-by", "none")
    assert "What was measured gives no SPF H4: heat was not measured" in " ".join(found.out.split())


def test_a_class_that_no_meter_has(ask: Ask, rooms_case: Path) -> None:
    found = ask("spf", rooms_case, "--heat", "1", "--meter-class", "4")
    assert found.code == 2
    assert found.faults == ["--meter-class 4 is none of 1, 2 and 3. Read the class off the meter, or leave it out."]
