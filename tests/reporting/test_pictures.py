"""Pictures: files of the kind asked for, the same each time, each with a sentence; their table adds up."""

from __future__ import annotations

import pytest

from simkit.reporting.pictures import comparison_pictures, cost_picture, cost_table
from simkit.year.compare import Comparison

pytest.importorskip("matplotlib")


@pytest.mark.parametrize(("kind", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_a_picture_is_a_file_of_its_kind(compared: Comparison, kind: str, begins: bytes) -> None:
    assert cost_picture(compared, kind=kind, ranged=False).startswith(begins)


def test_a_picture_is_the_same_each_time(compared: Comparison) -> None:
    assert cost_picture(compared, kind="svg") == cost_picture(compared, kind="svg")


def test_groups_of_the_table_add_up_to_the_cost(compared: Comparison) -> None:
    table = cost_table(compared)
    groups = [name for name in table.columns if name.endswith("_cost") and name != "year_cost"]
    assert (abs(table[groups].sum(axis=1) - table["year_cost"]) < 0.005).all()
    assert (table["year_cost_low"] < table["year_cost_high"]).all()
    assert list(table.index) == [year.case.name for year in compared.years]


def test_each_picture_comes_with_its_sentence(compared: Comparison) -> None:
    pump = comparison_pictures(compared, compared.years[2], ranged=False)
    assert set(pump) == {"cost", "months", "cold_week", "cop"}
    assert all(picture.svg.startswith(b"<?xml") and picture.sentence.endswith(".") for picture in pump.values())
    assert "cop" not in comparison_pictures(compared, compared.base, ranged=False)
