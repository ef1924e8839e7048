"""One writer of tables: no figure is ever cut or leaves its row and column, however narrow the window."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.text import Text

from reporting.read_back import as_table, printed, stands_whole
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import folded

WIDTHS = range(40, 201)
SIZES = Grid(
    ("Size", "saves", "per further kWh", "after wear", "cycles a year", "beside panels", "per further kWh", "after wear"),
    (("1 kWh", "−€40", "−€40", "−€42", "223", "£103", "£103", "£101"), ("20 kWh", "€1,072", "€3", "€1,064", "146", "£1,299", "£9", "£1,280")),
)  # fmt: skip


@pytest.mark.parametrize("width", WIDTHS)
def test_a_wide_table_of_amounts_is_whole_in_every_window(width: int) -> None:
    assert stands_whole(SIZES, width)


def test_a_table_stays_one_down_to_eighty_characters_and_then_turns_into_blocks() -> None:
    assert len(printed(SIZES, 80).splitlines()) <= 5
    narrow = printed(SIZES, 40).splitlines()
    assert narrow[:3] == ["1 kWh", "  saves: −€40".ljust(40), "  per further kWh: −€40".ljust(40)]


def test_cells_of_two_lines_and_totals() -> None:
    grid = Grid(
        ("Option", "A year", ""), ((Text("Heat pump\nwarm enough"), Text("€3,476\n€3,010 to €4,010"), "x"), ("Total", "€1", "y")),
        total=True, words=(0, 2),
    )  # fmt: skip
    assert all(stands_whole(grid, width) for width in WIDTHS)


OPTIONS = Grid(
    ("Option", "Rooms and hot water", "A year", "Against the baseline", "Flow"),
    (
        ("Heat pump, as installed", "too cold: 120 h under 18 °C", "€3,390\n€2,750 to €4,240", "€30 more\n€410 less to €490 more", "55 °C on the coldest day"),
        ("Oil boiler, as it was run", "warm enough all the year", "€3,890\n€3,110 to €4,830", "–", "55 °C on the coldest day"),
    ),
    words=(0, 1, 4),
)  # fmt: skip


def test_ranges_go_over_two_lines_before_a_table_comes_apart() -> None:
    assert as_table(OPTIONS, printed(OPTIONS, 120).splitlines())
    assert "€2,750 to €4,240" in printed(OPTIONS, 120)
    lines = printed(OPTIONS, 78).splitlines()
    assert as_table(OPTIONS, lines)
    assert any("€2,750 to " in line and "€4,240" not in line for line in lines)


def test_words_stand_below_the_figures_where_both_do_not_fit() -> None:
    figures, words = printed(OPTIONS, 58).split("\n\nOption")
    assert as_table(OPTIONS.only([0, 2, 3]), figures.splitlines())
    assert as_table(OPTIONS.only([0, 1, 4]), f"Option{words}".splitlines())


def test_a_number_stays_with_its_unit() -> None:
    for width in range(8, 70):
        lines = folded("The machine stops below −15 °C and costs 200 kr. at 18 °C.", width).splitlines()
        assert not [line for line in lines if line.endswith((" 18", "−15", "200"))]


FIGURES = st.one_of(
    st.integers(-(10**7), 10**7).map(lambda n: f"€{n:,}"),
    st.floats(0, 1).map(lambda x: f"{x:.0%}"),
    st.tuples(st.integers(0, 9999), st.integers(0, 9999)).map(lambda ends: f"€{ends[0]:,} less to €{ends[1]:,} more"),
    st.just(""),
)
WORDS = st.lists(
    st.sampled_from(["heat", "pump", "gas", "given", "up", "radiators", "°C", "of", "12"]), min_size=1
).map(" ".join)


@settings(deadline=None, max_examples=60)
@given(st.data())
def test_any_table_is_whole(data: st.DataObject) -> None:
    columns = data.draw(st.integers(1, 8))
    titles = (
        "Name",
        *(data.draw(st.sampled_from(["A year", "per further kWh", "Saved so far", "Likely"])) for _ in range(columns)),
    )
    rows = tuple(
        (f"{number} {data.draw(WORDS)}", *(data.draw(FIGURES) for _ in range(columns)))
        for number in range(data.draw(st.integers(1, 5)))
    )
    assert stands_whole(Grid(titles, rows), data.draw(st.integers(40, 200)))


def test_what_is_cut_is_noticed() -> None:
    """The check itself: a table whose last figure lost a digit does not pass for whole."""
    cut = Grid(SIZES.titles, (SIZES.rows[0], (*SIZES.rows[1][:-1], "£1,28")))
    lines = printed(cut, 120).splitlines()
    assert as_table(cut, lines)
    assert not as_table(SIZES, lines)
