"""Load duration: hours in order of load, what lies below the least output, by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.invented import hourly_frame
from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures.year.duration import by_load, load_duration


def steps() -> pd.DataFrame:
    """A hundred hours: 60 at 4 kW, 30 at 1 kW, 10 without heat; capacity 6 kW, a third of it at least."""
    load = np.repeat([4.0, 1.0, 0.0], [60, 30, 10])
    index = pd.date_range("2026-01-01", periods=100, freq="h", tz="UTC")
    return pd.DataFrame({"space_heat_kw": load, "capacity_kw": 6.0, "least_output_kw": 2.0}, index=index)


def test_hours_and_energy_are_kept() -> None:
    table = by_load(steps())
    assert table["hours"].iloc[-1] == pytest.approx(90.0)
    assert (table["load_kw"] * table["width"]).sum() == pytest.approx(60 * 4.0 + 30 * 1.0)
    assert (table["load_kw"].diff().dropna() <= 1e-9).all()


def test_what_is_drawn() -> None:
    ax = load_duration(hourly_frame())
    assert texts(ax, "end")[0] == "Capacity"
    assert "Starts and stops" in texts(ax, "end")
    assert (ax.get_ylabel(), ax.get_xlabel()[:12]) == ("Heat for the rooms [kW]", "Heated hours")
    assert_legible(ax)
    never = load_duration(steps().head(60))
    assert "Starts and stops" not in texts(never, "end")
    with pytest.raises(CaseError, match="column capacity_kw is missing"):
        load_duration(steps().drop(columns="capacity_kw"))
