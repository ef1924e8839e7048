"""COP against outdoor temperature: medians, bands, units, and a year's figure that is a ratio of sums."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.invented import hourly_frame
from figures.reading import assert_legible, line, texts
from simkit.errors import CaseError
from simkit.figures.selecting import by_outdoor
from simkit.figures.year.performance import cop_by_outdoor, cop_by_outdoor_sentence

HOURLY = hourly_frame()


def test_lines_are_the_medians_and_bands_the_percentiles() -> None:
    ax = cop_by_outdoor(HOURLY)
    table = by_outdoor(HOURLY)
    for use in ("space heat", "hot water"):
        rows = table[table["use"] == use]
        np.testing.assert_array_equal(line(ax, use), rows["cop"])
        (band,) = [patch for patch in ax.collections if patch.get_label() == f"{use}, 80 %"]
        heights = band.get_paths()[0].vertices[:, 1]
        assert heights.min() == pytest.approx(rows["low"].min())
        assert heights.max() == pytest.approx(rows["high"].max())
    assert (ax.get_ylabel(), ax.get_xlabel()) == ("COP [–]", "Outdoor temperature [°C]")
    assert texts(ax, "end") == ["Space heat", "Hot water"]
    assert_legible(ax)


def test_the_two_uses_differ_without_their_colour() -> None:
    one, two = cop_by_outdoor(HOURLY).lines
    assert one.get_linestyle() != two.get_linestyle()
    assert one.get_marker() != two.get_marker()


def test_the_year_is_a_ratio_of_sums() -> None:
    frame = pd.DataFrame(
        {
            "outdoor_c": [0.0] * 6,
            "cop": [2.0, 4.0] * 3,
            "heat_pump_kw": [3.0, 1.0] * 3,
            "heat_pump_heat_kw": [6.0, 4.0] * 3,
        },
        index=pd.date_range("2026-01-01", periods=6, freq="h", tz="UTC"),
    )
    assert cop_by_outdoor_sentence(frame) == (
        "The median COP goes from 3.0 at 0 °C to 3.0 at 0 °C for space heat; "
        "all heat over all electricity of the heat pump is 2.50."
    )


def test_a_pump_that_hardly_ran() -> None:
    frame = HOURLY.head(24).assign(heat_pump_kw=0.0)
    assert cop_by_outdoor_sentence(frame) == (
        "The heat pump ran too little for a curve of COP against outdoor temperature."
    )
    assert list(cop_by_outdoor(frame).lines) == []
    with pytest.raises(CaseError, match="column cop is missing"):
        cop_by_outdoor(HOURLY.drop(columns="cop"))
