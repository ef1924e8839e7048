"""Colours against the published contrast formula, lightness of fills, and the small parts of every figure."""

from __future__ import annotations

import itertools
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simkit.figures import style
from simkit.figures.style import EndLabel, Sheet, contrast, dress, label_ends, luminance, spread, text_on
from simkit.notation import Notation

FILLS = {
    name: getattr(style, name)
    for name in ("DIRECT", "HEAT", "WATER", "AIDS", "CAR", "HOUSE", "SUN", "STANDING", "MONEY")
}
LINES = {name: getattr(style, name) for name in ("INK", "MUTED", "OUTDOOR", "ROOM", "TAP", "PRICE")}
# Fills that lie on each other somewhere, from the axis outward.
STACKS = {
    "cost": ["DIRECT", "HEAT", "WATER", "HOUSE", "STANDING"],
    "electricity": ["HOUSE", "HEAT", "DIRECT", "AIDS", "CAR"],
    "heat": ["HEAT", "WATER", "DIRECT"],
}


@pytest.mark.parametrize("name", LINES)
def test_lines_and_text_read_on_paper(name: str) -> None:
    assert contrast(LINES[name], style.PAPER) >= 4.5


@pytest.mark.parametrize("fill", [*FILLS.values(), *style.CHEAP_TO_EXPENSIVE])
def test_every_fill_carries_readable_text(fill: str) -> None:
    assert contrast(text_on(fill), fill) >= 4.5


@pytest.mark.parametrize("stack", STACKS)
def test_neighbours_differ_in_lightness_alone(stack: str) -> None:
    """What differs in lightness differs in grey and to every kind of colour vision."""
    for one, other in itertools.pairwise(STACKS[stack]):
        assert contrast(FILLS[one], FILLS[other]) >= 1.25, (one, other)


def test_a_higher_price_is_darker() -> None:
    lights = [luminance(shade) for shade in style.CHEAP_TO_EXPENSIVE]
    assert lights == sorted(lights, reverse=True)


def test_ticks_are_written_in_the_notation_with_as_many_decimals_as_tell_them_apart() -> None:
    for top, shown in ((3000.0, ["0", "1.000", "2.000", "3.000"]), (0.3, ["0,0", "0,1", "0,2", "0,3"])):
        ax = Sheet().axes([2.0])[0]
        dress(ax, Notation("de_DE", "EUR"))
        ax.set_ylim(0.0, top)
        ax.set_yticks([0.0, top / 3, 2 * top / 3, top])
        assert [label.get_text() for label in ax.get_yticklabels()] == shown


@given(st.lists(st.floats(0, 1), min_size=1, max_size=6))
def test_labels_are_spread_in_order(wanted: list[float]) -> None:
    gap = 0.1
    placed = spread(wanted, gap, 0.0, 1.0)
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    ordered = [placed[k] for k in order]
    assert all(second - first >= gap - 1e-3 for first, second in itertools.pairwise(ordered))
    assert min(ordered) >= -1e-3
    assert max(ordered) <= 1 + 1e-3


def test_labels_that_do_not_touch_stay_where_they_are() -> None:
    assert spread([0.8, 0.2, 0.5], 0.1, 0.0, 1.0) == [0.8, 0.2, 0.5]


def test_a_sheet_measures_in_inches() -> None:
    sheet = Sheet(width=6, left=1, right=1, top=0.5, bottom=0.5, gap=0.5)
    first, second = sheet.axes([2, 1])
    assert first.figure.get_size_inches().tolist() == [6.0, 4.5]
    assert first.get_position().bounds == pytest.approx((1 / 6, 2 / 4.5, 4 / 6, 2 / 4.5))
    assert second.get_position().bounds == pytest.approx((1 / 6, 0.5 / 4.5, 4 / 6, 1 / 4.5))
    again = sheet.axes([1], figure=first.figure)  # a figure can be used again: it is cleared
    assert first.figure.axes == again


def test_end_labels_show_fills_by_a_swatch_and_lines_by_their_colour() -> None:
    (ax,) = Sheet().axes([1])
    ax.set_ylim(0, 10)
    label_ends(ax, [EndLabel(5, "Line", style.ROOM), EndLabel(5.1, "Fill", style.HOUSE, fill=True)])
    one, two = ax.texts
    assert (one.get_text(), one.get_color()) == ("Line", style.ROOM)
    assert (two.get_text(), two.get_color()) == ("Fill", style.INK)
    assert two.get_position()[1] - one.get_position()[1] >= 0.16
    assert len(ax.patches) == 1


def test_matplotlib_is_loaded_by_the_first_figure_and_not_before() -> None:
    code = "import sys, simkit.figures; print('matplotlib' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
