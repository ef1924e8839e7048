"""`simkit worth`: whether to change first, then the offers; ranges, JSON, page, picture and table; what is refused."""

from __future__ import annotations

import csv
import json
from io import StringIO
from pathlib import Path

import pytest

from commands.conftest import Ask

OLD, INSTALLED, BIGGER = "Oil boiler, same comfort", "Heat pump, as installed", "Two fan convectors"


def test_keeping_what_is_there_comes_first_at_equal_comfort_then_the_offers(ask: Ask, bungalow: Path) -> None:
    found = ask("worth", bungalow, "--samples", 16)
    assert found.code == 0
    words = " ".join(found.out.split())
    order = (f"At equal comfort “{INSTALLED}” ", f"keeping “{OLD}”", "If the old comfort were good enough, “", "too cold: ",
             f"“{BIGGER}” ", "Of the options as comfortable as needed", "Should I?", "What now, from here on", "Caution")  # fmt: skip
    places = [words.index(text) for text in order]
    assert places == sorted(places)
    assert "likely " in words
    assert "not a guarantee" in words


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
    assert made["offers"]["saved_today"] == options[BIGGER]["net_price"] - options[INSTALLED]["net_price"] > 0
    assert made["offers"]["gain_a_year_range"] is None
    assert len(made["tornado"]) > 5
    assert "gain_range" not in options[BIGGER]
    assert all(one["source"] and one["reason"] for one in made["sampled_inputs"])


def test_ranges_odds_convergence_and_regret_in_json(ask: Ask, bungalow: Path) -> None:
    made = json.loads(ask("worth", bungalow, "--samples", 32, "--json").out)
    options = {option["name"]: option for option in made["options"]}
    bigger = options[BIGGER]
    assert bigger["at_equal_comfort"] == OLD
    assert [row["samples"] for row in bigger["convergence"]] == [16, 32]
    assert [bigger["convergence"][-1][key] for key in ("low", "high")] == bigger["gain_range"]
    assert len(bigger["paid_back_by_year"]) == 21
    assert {"prices as today", "fuel grows expensive", "greatest"} < set(made["regret"][0])
    assert any(line.startswith("price of fuel") for line in made["input_lines"])
    assert made["offers"]["overtaken_range"][0] < made["offers"]["overtaken_range"][1]
    rows = {row["option"]: row for row in made["tables"]["options"]}
    assert [-rows[BIGGER][f"lived_more_{end}_amount"] for end in ("high", "low")] == bigger["gain_range"]


def test_shares_of_the_spread(ask: Ask, bungalow: Path) -> None:
    pytest.importorskip("SALib")
    found = ask("worth", bungalow, "--no-range", "--shares", "--json")
    rows = json.loads(found.out)["shares_of_spread"]
    assert rows[0]["input"] == "efficiency", "as the tornado says"
    sure_within = sum(row["alone_sure_within"] for row in rows)
    assert sum(row["alone"] for row in rows) == pytest.approx(1.0, abs=sure_within), "as sure as the samples make it"
    assert all(row["in_all_sure_within"] >= 0 for row in rows)
    assert [row["in_all"] for row in rows] == sorted((row["in_all"] for row in rows), reverse=True)


def test_files(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    pytest.importorskip("matplotlib")
    picture, page, table = (tmp_path / name for name in ("offers.png", "worth.html", "worth.csv"))
    found = ask("worth", bungalow, "--no-range", "--figure", picture, "--page", page, "--csv", table)
    assert found.code == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert f"At equal comfort “{INSTALLED}” costs" in text
    rows = list(csv.DictReader(StringIO(table.read_text(encoding="utf-8"))))
    assert [row["option"] for row in rows][:2] == [OLD, INSTALLED]
    assert ask("worth", bungalow, "--figure", tmp_path / "offers.doc").code == 2


def test_what_is_refused(ask: Ask, bungalow: Path) -> None:
    one = ask("worth", bungalow, "--no-range", "--offer", INSTALLED)
    assert one.code == 2
    assert one.faults == ["--offer given 1 time says no pair. Give it twice, once for each of two options."]
    unknown = ask("worth", bungalow, "--no-range", "--against", "Oil")
    assert unknown.code == 2
    assert unknown.faults[0].startswith('case.toml: the alternative "Oil" is not the name of an option.')
    without = bungalow.parent.parent / "moor_cottage"
    assert ask("worth", without).faults[0].startswith("case.toml: the table [money] is missing")
