"""Ranked tariffs as bars: lengths, ranges, what is saved, and the sentence."""

from __future__ import annotations

import pandas as pd
import pytest

from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures import tariff_bars, tariff_bars_sentence
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

TABLE = pd.DataFrame(
    {
        "cost_as_is": [3200.0, 2990.0, 3300.0], "cost_shifted": [2900.0, 2980.0, 3300.0],
        "cost_low": [2600.0, 2700.0, 2950.0], "cost_high": [3250.0, 3300.0, 3700.0],
    },
    index=["Long night", "Hourly", "Flat"],
)  # fmt: skip


def test_each_tariff_is_as_long_as_it_costs_shifted_and_open_up_to_what_it_costs_now() -> None:
    ax = tariff_bars(TABLE, notation=IRISH, own="Flat")
    bars = {str(c.get_label()): [p.get_width() for p in c.patches] for c in ax.containers if c.get_label() == "shifted"}
    assert bars
    widths = [patch.get_width() for patch in ax.patches]
    assert widths == [2900.0, 300.0, 2980.0, 10.0, 3300.0]
    assert texts(ax, "tariff") == ["Long night", "Hourly", "Flat"]
    assert texts(ax, "amount") == ["€2,900", "€2,980", "€3,300"]
    assert texts(ax, "saved") == ["€400\u00a0less", "€320\u00a0less"]
    assert texts(ax, "as is") == ["as it is €3,200", "as it is €2,990"]
    assert_legible(ax)


def test_ranges_stand_on_a_rail_below() -> None:
    ax = tariff_bars(TABLE, own="Flat")
    rails = [line for line in ax.lines if line.get_gid() == "range"]
    assert [list(rail.get_xdata()) for rail in rails] == [[2600, 3250], [2700, 3300], [2950, 3700]]
    bare = tariff_bars(TABLE.drop(columns=["cost_low", "cost_high"]))
    assert not [line for line in bare.lines if line.get_gid() == "range"]


def test_the_sentence() -> None:
    assert tariff_bars_sentence(TABLE, notation=IRISH, own="Flat") == (
        "Of 3 tariffs “Long night” costs least: €2,900 a year, after €300 saved by moving use into its cheap hours; "
        "with nothing moved “Hourly” does, at €2,990; “Flat”, as now, costs €400 more."
    )


def test_an_own_tariff_that_is_not_there() -> None:
    with pytest.raises(
        CaseError, match=r'tariffs: own "Flt" is not among the tariffs\. Choose one of Long night, Hourly'
    ):
        tariff_bars(TABLE, own="Flt")
