"""`simkit explain`: the chain to a figure, its JSON, and what may be meant where a word is not enough."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask


@pytest.fixture
def terrace(homes: Path) -> Path:
    return homes / "sample_data" / "canal_terrace" / "case.toml"


def test_the_chain_ends_at_the_figure_that_was_asked_for(ask: Ask, terrace: Path) -> None:
    total = json.loads(ask("run", terrace, "--no-range", "--json").out)["bill"]["total"]
    found = ask("explain", terrace, "bill.total")
    assert found.code == 0
    assert f"{total:,.0f} €".replace(",", ".") in " ".join(found.out.split())
    made = json.loads(ask("explain", terrace, "bill.total", "--json").out)
    assert (made["key"], made["value"]) == ("bill.total", total)
    assert made["links"][0] == {
        "what": "Heat loss of the home", "worked": "as stated", "value": 187.885, "unit": "W/K", "digits": 1,
        "source": "[home.loss]",
    }  # fmt: skip


def test_what_is_shown_nowhere_is_no_figure(ask: Ask, terrace: Path) -> None:
    found = ask("explain", terrace, "bill.nonsense")
    assert found.code == 2
    assert len(found.faults) == 1
    assert "bill.nonsense" in found.faults[0]
