"""The picture of tariffs: bars move, amounts follow, the cheapest is marked, nothing is drawn that stands still."""

from __future__ import annotations

from functools import partial
from io import BytesIO

import pandas as pd
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from figures.reading import clashes
from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.notation import Notation
from simkit.panels.picture import DOTS_PER_INCH, Picture

IRISH = Notation("en_IE", "EUR")

TABLE = pd.DataFrame({"cost_as_is": [3200.0, 3000.0], "cost_shifted": [3100.0, 3000.0]}, index=["Night", "Flat"])


def test_bars_amounts_and_the_mark_of_the_cheapest_follow() -> None:
    art = TariffArt(Figure(figsize=(7.6, figure_height(2))), TABLE, notation=IRISH, own="Flat")
    assert [bar.get_width() for bar in art.bars] == [3100.0, 3000.0]
    assert [text.get_text() for text in art.amounts] == ["€3,100   €100\u00a0less", "€3,000"]
    assert art.best.get_position()[1] == 1
    assert [label.get_text() for label in art.ax.get_yticklabels()] == ["Night", "Flat (yours)"]
    moved = TABLE.assign(cost_shifted=[2700.0, 3010.0]).iloc[::-1]
    assert art.replace(moved) is False
    assert [bar.get_width() for bar in art.bars] == [2700.0, 3010.0], "rows stay where they are, whatever the order"
    assert [text.get_text() for text in art.amounts] == ["€2,700   €500\u00a0less", "€3,010   €10\u00a0more"]
    assert art.best.get_position()[1] == 0


def test_a_cost_beyond_the_axis_makes_room_for_itself() -> None:
    art = TariffArt(Figure(figsize=(7.6, figure_height(2))), TABLE, notation=IRISH, own="Flat")
    assert art.replace(TABLE.assign(cost_shifted=[9000.0, 3000.0])) is True
    assert art.ax.get_xlim()[1] > 9000.0


@pytest.mark.parametrize(
    "name",
    ["Lodge day and night", "A very long name of a tariff that nobody would sell", "unabhaengigkeitsstromtarif plus"],
)
def test_a_long_name_keeps_within_its_room(name: str) -> None:
    figure = Figure(figsize=(WIDTH, figure_height(3)), dpi=DOTS_PER_INCH)
    FigureCanvasAgg(figure)
    table = pd.DataFrame({"cost_as_is": 3000.0, "cost_shifted": 2900.0}, index=["Flat", name, "Night"])
    TariffArt(figure, table, notation=IRISH, own=name)
    figure.canvas.draw()
    assert clashes(figure) == []


def test_a_picture_is_as_wide_as_said_and_changes_with_its_table() -> None:
    image = pytest.importorskip("PIL.Image")
    art = partial(TariffArt, table=TABLE, notation=IRISH, own="Flat")
    picture = Picture(WIDTH, figure_height(len(TABLE)), art)
    first, second = picture.png(TABLE), picture.png(TABLE.assign(cost_shifted=[2000.0, 3000.0]))
    assert first != second
    assert picture.png(TABLE) == first, "nothing of an earlier state is left behind"
    assert image.open(BytesIO(first)).width == round(WIDTH * DOTS_PER_INCH)
