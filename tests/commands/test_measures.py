"""`simkit measures`: the ladder, what budgets buy, JSON, and a case that lists none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from reporting.test_on_page import Reader

from commands.conftest import Ask

SHORT = """
[[money.measure]]
name = "Lower the curve by 1 K"
changes = ["controls.design_flow_c = 54.0"]
cost = 0.0
life_years = 20.0
bother = "an hour"
who = "you"

[[money.measure]]
name = "Loft insulation topped up"
changes = []
loss_saved_w_per_k = 16.0
cost = 1150.0
life_years = 40.0
bother = "a day"
who = "a handy person"
safety = "Keep cables and flues clear."
"""


@pytest.fixture
def two_measures(bungalow: Path) -> Path:
    """The sample with two of its measures, so that four combinations are enough."""
    text = bungalow.read_text(encoding="utf-8")
    begin, end = text.index("[[money.measure]]"), text.index("[ledger]")
    bungalow.write_text(text[:begin] + SHORT.lstrip() + "\n" + text[end:], encoding="utf-8")
    return bungalow


def test_the_ladder(ask: Ask, two_measures: Path) -> None:
    found = ask("measures", two_measures, "--option", "Heat pump, as installed")
    assert found.code == 0
    words = " ".join(found.out.split())
    assert words.index("Do what is free first: “Lower the curve by 1 K”.") < words.index("€500 is too little")
    assert words.index("€2,000 buys “Loft insulation topped up” for €1,150") < words.index("What a budget buys")
    assert "Keep cables and flues clear." in words
    assert "Likely" in words
    assert "the same money is never saved twice" in words


def test_json(ask: Ask, two_measures: Path) -> None:
    made = json.loads(ask("measures", two_measures, "--option", "Heat pump, as installed", "--no-range", "--json").out)
    assert made["combinations"] == 4
    first, second = made["rungs"]
    assert first["pays_back_years"] == 0
    assert second["saved_so_far"] == pytest.approx(first["adds"] + second["adds"])
    assert second["range"] is None
    assert [row["budget"] for row in made["budgets"]] == [500, 2000, 8000]


def test_budgets_of_ones_own(ask: Ask, two_measures: Path) -> None:
    words = (two_measures, "--option", "Heat pump, as installed", "--no-range", "--budget", 900, "--budget", 1200)
    made = json.loads(ask("measures", *words, "--json").out)
    assert [row["budget"] for row in made["budgets"]] == [900, 1200]
    assert "€900 is too little: the cheapest, “Loft insulation topped up”, costs €1,150." in made["answer"]
    assert any(text.startswith("€1,200 buys “Loft insulation topped up” for €1,150: ") for text in made["answer"])


def test_further_tariffs(ask: Ask, two_measures: Path) -> None:
    further = two_measures.parent.parent / "tariffs" / "estuary_long_night.toml"
    found = ask("measures", two_measures, "--option", "Heat pump, as installed", "--no-range", "--tariff", further)
    assert found.code == 0
    assert "Changing to “Estuary long night” alone saves" in " ".join(found.out.split())


def test_a_case_without_measures_gets_the_usual_free_ones(ask: Ask, homes: Path) -> None:
    found = ask("measures", homes / "sample_data" / "moor_cottage", "--option", "Heat pump, night meter", "--no-range")
    assert found.code == 0
    assert " K lower" in found.out


def test_a_page_of_the_ladder(ask: Ask, two_measures: Path, tmp_path: Path) -> None:
    pytest.importorskip("matplotlib")
    target = tmp_path / "next.html"
    found = ask("measures", two_measures, "--no-range", "--page", target)
    assert found.code == 0
    page = Reader(target.read_text(encoding="utf-8"))
    assert not page.open
    assert all(link.startswith("data:") for link in page.links)
    words = " ".join(page.text.split())
    assert words.index("Lower the curve by 1 K") < words.index("Loft insulation topped up"), "free ones first"
    for said in ("an hour", "a handy person", "Keep cables and flues clear.", "What a budget buys", "saved twice"):
        assert said in words
    assert ask("measures", two_measures, "--page", tmp_path / "next.pdf").code == 2


def test_free_changes_alone_buy_nothing_with_a_budget(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    text = bungalow.read_text(encoding="utf-8")
    begin, end = text.index("[[money.measure]]"), text.index("[ledger]")
    bungalow.write_text(text[:begin] + text[end:], encoding="utf-8")
    found = ask("measures", bungalow, "--no-range", "--page", tmp_path / "page.html")
    assert found.code == 0
    assert "Nothing that costs money is listed" in " ".join(found.out.split())
    assert "What a budget buys" not in found.out
    assert "What a budget buys" not in (tmp_path / "page.html").read_text(encoding="utf-8")
