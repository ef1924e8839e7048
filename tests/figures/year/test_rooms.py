"""Rooms as small multiples: hottest first, the gap shaded, and the sentence."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.reading import assert_legible, line, texts
from simkit.errors import CaseError
from simkit.figures.year.rooms import room_flows, room_flows_sentence

OUT = pd.Index(np.arange(-3.0, 16.0), name="outdoor_c")
FLOWS = pd.DataFrame({"hall": 40.0 - OUT.to_numpy(), "bath": 50.0 - 1.2 * OUT.to_numpy()}, index=OUT)
ROOMS = pd.DataFrame({"needed_c": [20.0, 22.0], "design_c": [20.0, 21.2]}, index=["hall", "bath"])
SENT = pd.Series(48.0 - 1.5 * OUT.to_numpy(), index=OUT)


def test_the_room_that_needs_the_hottest_water_comes_first() -> None:
    first, second = room_flows(FLOWS, ROOMS, SENT)
    assert texts(first, "room") == ["bath"]
    assert texts(first, "verdict") == ["comes to 21.2 of 22.0 °C"]
    assert texts(second, "verdict") == ["warm enough"]
    np.testing.assert_array_equal(line(first, "needed"), FLOWS["bath"])
    np.testing.assert_array_equal(line(second, "sent"), SENT)
    assert first.get_ylim() == second.get_ylim()
    assert first.get_ylabel() == "Flow [°C]"
    assert first.get_xlabel() == second.get_xlabel() == "Outdoor temperature [°C]"
    for ax in (first, second):
        assert_legible(ax)


def test_sentence() -> None:
    assert room_flows_sentence(FLOWS, ROOMS, SENT) == (
        "At −3 °C bath needs the hottest water, 53.6 °C, then hall with 43.0 °C; 52.5 °C are sent, "
        "and bath stays too cool."
    )
    warm = ROOMS.assign(design_c=ROOMS["needed_c"])
    assert room_flows_sentence(FLOWS, warm, SENT).endswith("and every room is as warm as needed.")


def test_a_room_without_its_row() -> None:
    with pytest.raises(CaseError, match='"bath" has a flow but no row of its own'):
        room_flows(FLOWS, ROOMS.drop(index="bath"), SENT)
