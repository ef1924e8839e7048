"""What decides a result in; what is drawn and said of it, read back, out."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from figures.reading import texts
from simkit.figures.money.tornado import (
    budget_frontier,
    budget_frontier_sentence,
    tipping_map,
    tipping_map_sentence,
    tornado_bars,
)
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

TORNADO = pd.DataFrame(
    {"at_low": [50.0, 120.0, 100.0], "at_high": [180.0, 90.0, 100.0], "middle": 100.0},
    index=pd.Index(["efficiency", "draws", "fuel_rise"], name="input"),
)
FRONTIER = pd.DataFrame({"cost": [0.0, 300.0, 2000.0], "saved": [40.0, 90.0, 300.0], "measures": ["a", "b", "c"]})
BUDGETS = pd.DataFrame({"cost": [300.0], "saved": [90.0]}, index=pd.Index([500.0], name="budget"))


def test_bars_reach_from_low_to_high() -> None:
    ax = tornado_bars(TORNADO, words={"efficiency": "how good it is"}, notation=IRISH)
    assert [label.get_text() for label in ax.get_yticklabels()] == ["how good it is", "draws"], (
        "what moves nothing is left out"
    )
    assert [(bar.get_x(), bar.get_width()) for bar in ax.patches] == [(100, -50), (100, 80), (100, 20), (100, -10)]
    assert texts(ax, "side") == ["low", "high", "low", "high"]


def test_ends_on_one_side_of_the_middle_are_named_apart() -> None:
    ax = tornado_bars(TORNADO.assign(at_low=[60.0, 90.0, 100.0], at_high=[99.0, 91.0, 100.0]), notation=IRISH)
    sides = [text.get_horizontalalignment() for text in ax.texts if text.get_gid() == "side"]
    assert sides == ["right", "left", "right", "left"]


def test_amounts_of_six_digits_stand_side_by_side() -> None:
    ax = tornado_bars(TORNADO * 80.0 - 168_000.0, notation=Notation("sv_SE", "SEK"))
    ax.figure.canvas.draw()
    boxes = [label.get_window_extent() for label in ax.get_xticklabels()]
    assert all(one.x1 < other.x0 for one, other in pairwise(boxes))


def test_the_map_shows_the_home() -> None:
    spf, ratios = np.linspace(2, 4, 9), np.linspace(2, 5, 7)
    extra = ratios[:, None] / spf[None, :] * 100 - 110
    ax = tipping_map(spf, ratios, extra, home=(3.0, 3.0), spread=np.array([[2.9, 3.1], [3.2, 2.8]]), notation=IRISH)
    assert texts(ax, "home") == ["this home"]
    assert sorted(texts(ax, "side")) == ["boiler cheaper", "heat pump cheaper"]
    assert ax.get_xlim() == (2, 4)
    assert tipping_map_sentence(home=(3.0, 3.2), need_spf=2.7) == (
        "At 3.20 times the price of fuel the heat pump breaks even at an SPF of 2.70; with 3.00 it is cheaper than the boiler."
    )
    assert "it is more expensive" in tipping_map_sentence(home=(2.0, 3.2), need_spf=2.7)


def test_the_frontier_marks_budgets() -> None:
    ax = budget_frontier(FRONTIER, BUDGETS, notation=IRISH)
    assert texts(ax, "budget") == ["budget €500"]
    line = next(line for line in ax.get_lines() if line.get_gid() == "frontier")
    assert list(line.get_ydata()) == [40, 90, 300]
    twice = pd.concat([BUDGETS, BUDGETS.set_axis([800.0])])
    assert texts(budget_frontier(FRONTIER, twice, notation=IRISH), "budget") == ["budget €500 or €800"]
    assert budget_frontier(FRONTIER).get_title() == ""
    assert budget_frontier_sentence(BUDGETS, notation=IRISH) == "€500 buys €90 a year."
