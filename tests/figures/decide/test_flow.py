"""Cost against design flow: lines of the frame, the comfort line, and the coolest flow that holds, by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.reading import assert_legible, line, texts
from simkit.errors import CaseError
from simkit.figures.decide.flow import flow_cost, flow_cost_sentence, held_from_c
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

FLOWS = np.array([40.0, 45.0, 50.0, 55.0])


def sweep() -> pd.DataFrame:
    rows = [
        pd.DataFrame({"emitters": name, "design_flow_c": FLOWS, "year_cost": 1000.0 + 20.0 * (FLOWS - 40.0) + more,
                      "design_short_k": np.clip(limit - FLOWS, 0.0, None) / 5.0})
        for name, more, limit in (("old", 0.0, 55.0), ("new", 10.0, 46.0))
    ]  # fmt: skip
    return pd.concat(rows, ignore_index=True)


def test_lines_are_those_of_the_frame() -> None:
    cost, comfort = flow_cost(sweep(), notation=IRISH, now_c=55.0)
    np.testing.assert_array_equal(line(cost, "old"), sweep().query("emitters == 'old'")["year_cost"])
    np.testing.assert_array_equal(line(comfort, "new"), sweep().query("emitters == 'new'")["design_short_k"])
    assert cost.get_ylabel() == "Cost a year [€]"
    assert comfort.get_ylabel() == "Short of need, design day [K]"
    assert comfort.get_xlabel() == "Design flow temperature [°C]"
    assert texts(cost, "end") == ["old", "new"]
    assert texts(cost, "today") == ["today"]
    for ax in (cost, comfort):
        assert_legible(ax)


def test_the_coolest_flow_that_holds_by_hand() -> None:
    """Short by (55 − F)/5: half a kelvin at 52.5 °C, between the frame's 50 and 55."""
    assert held_from_c(sweep().query("emitters == 'old'")) == pytest.approx(52.5)
    never = sweep().assign(design_short_k=3.0)
    assert held_from_c(never) is None
    always = sweep().assign(design_short_k=0.0).query("emitters == 'old'")
    assert held_from_c(always) == 40.0


def test_sets_differ_without_their_colour() -> None:
    cost, _ = flow_cost(sweep())
    assert len({row.get_linestyle() for row in cost.lines if row.get_label() in ("old", "new")}) == 2


def test_sentence() -> None:
    assert flow_cost_sentence(sweep(), notation=IRISH) == (
        "Old: from 55 to 40 °C the cost falls from €1,300 to €1,000 a year, and comfort holds down to 52.5 °C; "
        "new: from 55 to 40 °C the cost falls from €1,310 to €1,010 a year, and comfort holds down to 43.5 °C."
    )
    cold = sweep().assign(design_short_k=2.0).query("emitters == 'old'")
    assert flow_cost_sentence(cold).endswith(", and comfort holds at no flow of these.")
    assert flow_cost_sentence(cold.drop(columns="design_short_k")).startswith("From 55 to 40 °C the cost falls")


def test_a_house_without_rooms_has_one_strip_and_a_frame_without_cost_none() -> None:
    assert len(flow_cost(sweep().drop(columns="design_short_k"))) == 1
    with pytest.raises(CaseError, match="column year_cost is missing"):
        flow_cost(sweep().drop(columns="year_cost"))
