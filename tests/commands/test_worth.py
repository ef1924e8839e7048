"""`simkit worth`: offers first, ranges, what was and what now, JSON, and what is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from commands.conftest import Ask

INSTALLED, BIGGER = "Heat pump, as installed", "Two fan convectors"


def test_the_offers_come_first_then_was_then_now(ask: Ask, bungalow: Path) -> None:
    found = ask("worth", bungalow, "--samples", 16)
    assert found.code == 0
    words = " ".join(found.out.split())
    assert words.index("is cheaper over 20 years, by") < words.index("Was it worth it") < words.index("What now")
    assert words.index("What now") < words.index("What decides it") < words.index("Where it tips")
    assert "(likely" in words
    assert "If prices go another way" in words
    assert "Odds 10 y" in words
    assert re.search(r"16 samples; half of them put .* all of them at .*: no end moved by more than [\d,]+\.", words)
    assert "price of fuel: in eight samples of ten" in words
    assert 'Every payback is against "Oil boiler, as lived".' in words
    assert "no guarantee" in words


def test_json_recomputes_by_hand(ask: Ask, bungalow: Path) -> None:
    made = json.loads(ask("worth", bungalow, "--no-range", "--json", "--against", INSTALLED, "--offer", INSTALLED,
                          "--offer", BIGGER).out)  # fmt: skip
    assert made["against"] == INSTALLED
    options = {option["name"]: option for option in made["options"]}
    for option in options.values():
        assert sum(row["worth_today"] for row in option["cash"]) == pytest.approx(option["whole_life_cost"])
        assert sum(line["amount"] for line in option["ledger"]) == pytest.approx(option["net_price"] - option["spared"])
    saved = [a["total_cost"] - b["total_cost"]
             for a, b in zip(options[INSTALLED]["cash"], options[BIGGER]["cash"], strict=True)]  # fmt: skip
    gain = sum(amount / 1.035**year for year, amount in enumerate(saved))
    assert gain == pytest.approx(options[BIGGER]["what_now"]["gain_today"])
    assert gain == pytest.approx(made["offers"]["gain"])
    assert made["offers"]["saved_today"] == 1900
    assert made["offers"]["gain_a_year_range"] is None
    assert len(made["deciding"]) > 5
    assert "gain_range" not in options[BIGGER]
    assert all(one["source"] and one["reason"] for one in made["sampled_inputs"])


def test_ranges_odds_convergence_and_regret_in_json(ask: Ask, bungalow: Path) -> None:
    made = json.loads(ask("worth", bungalow, "--samples", 32, "--json").out)
    bigger = {option["name"]: option for option in made["options"]}[BIGGER]
    assert [row["samples"] for row in bigger["convergence"]] == [16, 32]
    assert [bigger["convergence"][-1][key] for key in ("low", "high")] == bigger["gain_range"]
    assert bigger["convergence_words"].startswith("32 samples; half of them")
    assert len(bigger["paid_back_by_year"]) == 21
    assert {"prices as today", "fuel grows dear", "greatest"} < set(made["regret"][0])
    assert any(line.startswith("price of fuel") for line in made["input_lines"])
    assert made["offers"]["overtaken_range"][0] < made["offers"]["overtaken_range"][1]


def test_shares_of_the_spread(ask: Ask, bungalow: Path) -> None:
    pytest.importorskip("SALib")
    found = ask("worth", bungalow, "--no-range", "--shares", "--json")
    rows = json.loads(found.out)["shares_of_spread"]
    assert rows[0]["input"] == "efficiency", "as the tornado says"
    assert sum(row["alone"] for row in rows) == pytest.approx(1.0, abs=0.25)
    assert all(row["in_all_sure_within"] >= 0 for row in rows)
    assert [row["in_all"] for row in rows] == sorted((row["in_all"] for row in rows), reverse=True)


def test_a_picture_of_the_offers(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    pytest.importorskip("matplotlib")
    target = tmp_path / "offers.png"
    found = ask("worth", bungalow, "--no-range", "--figure", target)
    assert found.code == 0
    assert target.read_bytes().startswith(b"\x89PNG")
    assert ask("worth", bungalow, "--figure", tmp_path / "offers.doc").code == 2
    assert ask("worth", bungalow, "--no-range", "--page", tmp_path / "worth.html").code == 0
    assert (tmp_path / "worth.html").read_text().startswith("<!doctype html>")


def test_what_is_refused(ask: Ask, bungalow: Path) -> None:
    one = ask("worth", bungalow, "--no-range", "--offer", INSTALLED)
    assert one.code == 2
    assert one.faults == ["--offer given 1 time says no pair. Give it twice, once for each of two options."]
    unknown = ask("worth", bungalow, "--no-range", "--against", "Oil")
    assert unknown.code == 2
    assert unknown.faults[0].startswith('case.toml: the alternative "Oil" is not the name of an option.')
    without = bungalow.parent.parent / "moor_cottage"
    assert ask("worth", without).faults[0].startswith("case.toml: the table [money] is missing")
