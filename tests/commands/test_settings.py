"""`simkit settings`: the sheet of what to type in, and what has no controller to be told."""

from __future__ import annotations

import json
from pathlib import Path

from commands.conftest import Ask


def test_it_prints_the_sheet_and_tells_a_change(ask: Ask, bungalow: Path, homes: Path) -> None:
    found = ask("settings", bungalow, "--option", "Two fan convectors", "--page", "sheet.html", "--json")
    assert found.code == 0
    held = {row["setting"]: row for row in json.loads(found.out)["settings"]}
    assert held["heating curve"]["winter_words"] == "47 °C flow at −2 °C outdoors (was 55 °C)"
    assert "What to type in" in (homes / "sheet.html").read_text(encoding="utf-8")


def test_a_boiler_has_nothing_to_be_told(ask: Ask, bungalow: Path) -> None:
    found = ask("settings", bungalow, "--option", "Oil boiler, as lived")
    assert (found.code, found.out) == (2, "")
    assert "is not heated by a heat pump" in found.faults[0]
