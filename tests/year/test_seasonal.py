"""Every seasonal figure of a machine in one table, each with its boundary."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.year.seasonal import standard_seasons
from simkit.year.simulate import simulate
from simkit.year.year import Year

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def year() -> Year:
    return simulate(vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None}))


def test_every_figure_carries_its_boundary() -> None:
    table = year().seasonal.table
    assert table["boundary"].str.len().min() > 1
    assert table.loc["this year, with circulation pumps and standby", "spf"] == year().spf.h4
    assert table.loc["this year, hot water only", "boundary"] == "H4"
    band = table.loc["field band at 55 °C design flow"]
    assert (band["low"], band["high"], band["source"]) == (2.2, 3.0, "own")


def test_reference_seasons_of_three_climates_and_two_applications() -> None:
    found = {(s.climate.name, s.application_c): s.scop for s in standard_seasons(year())}
    assert len(found) == 6
    for climate in ("average", "colder", "warmer"):
        assert found[climate, 35] > found[climate, 55]
    assert found["warmer", 55] > found["average", 55] > found["colder", 55]


def test_a_fan_whose_share_is_not_stated_leaves_h1_out() -> None:
    silent = simulate(vary(year().case, {"heat_pump.fan_share": None}))
    row = silent.seasonal.table.loc["this year, compressor alone"]
    assert row["source"].startswith("not available")
    assert row[["spf"]].isna().all()


def test_without_a_heat_pump() -> None:
    boiler = vary(year().case, {"heat_source": "boiler"})
    with pytest.raises(CaseError, match="seasonal performance needs a heat pump, and the case has none"):
        assert simulate(vary(boiler, {"heat_pump": None})).seasonal
