"""Tables of money over years in; what is drawn and said of them, read back, out."""

from __future__ import annotations

import pandas as pd
import pytest

from figures.reading import texts
from simkit.errors import CaseError
from simkit.figures.money.over_years import (
    cash_fan,
    cash_fan_sentence,
    ledger_steps,
    ledger_steps_sentence,
    offers_over_years,
)
from simkit.figures.style import Sheet
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

LEDGER = pd.DataFrame(
    {
        "line": ["heat pump", "pipework", "grant"],
        "kind": ["Quote", "Enabling works", "Grant"],
        "amount": [9000.0, 500.0, -4000.0],
    }
)
COSTS = pd.DataFrame({"Cheap": [1000.0, 1500.0, 2000.0], "Dear": [1400.0, 1600.0, 1800.0]}, index=[0, 1, 2])
FAN = pd.DataFrame({"low": [-100.0, -50.0], "middle": [-100.0, 10.0], "high": [-100.0, 90.0]}, index=[0, 1])


def test_each_step_begins_where_the_last_one_ended() -> None:
    ax = ledger_steps(LEDGER, notation=IRISH, name="The offer")
    bars = [(round(bar.get_x()), round(bar.get_width())) for bar in ax.patches]
    assert bars == [(0, 9000), (9000, 500), (9500, -4000), (0, 5500)]
    assert texts(ax, "amount") == ["€9,000", "€500", "−€4,000", "€5,500"]
    assert [label.get_text() for label in ax.get_yticklabels()][-1] == "net price"
    assert ledger_steps_sentence(LEDGER, notation=IRISH, name="The offer") == (
        "“The offer” costs €9,500 before and €5,500 after €4,000 of grants, discounts and rebates."
    )


def test_offers_cross_where_they_are_said_to() -> None:
    ax = offers_over_years(COSTS, overtaken=4 / 3, likely=(1.0, 1.8), notation=IRISH)
    assert texts(ax, "overtaken") == ["year 1.3"]
    assert sorted(texts(ax, "end")) == ["Cheap", "Dear"]
    below = ax.figure.axes[1]
    ahead = next(line for line in below.get_lines() if line.get_gid() == "ahead")
    assert list(ahead.get_ydata()) == [-400, -100, 200]
    mine = Sheet().axes([2.0])[0]
    assert offers_over_years(COSTS, overtaken=float("inf"), ax=mine) is mine
    assert texts(mine, "overtaken") == []


def test_a_fan_shows_middle_and_band() -> None:
    ax = cash_fan(FAN, option="A", against="B", notation=IRISH)
    middle = next(line for line in ax.get_lines() if line.get_gid() == "middle")
    assert list(middle.get_ydata()) == [-100, 10]
    assert len(texts(ax, "end")) == 3
    assert texts(ax, "title") == ["A against B"]
    assert cash_fan_sentence(FAN, option="A", against="B", notation=IRISH) == (
        "After 1 year, in today's money, “A” has cost €10\u00a0less than “B” (likely €90\u00a0less to €50\u00a0more)."
    )
    with pytest.raises(CaseError, match="column middle is missing"):
        cash_fan(FAN.drop(columns="middle"))
