"""What the figure of a setting shows, the scales it keeps, and the sentence beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from matplotlib.figure import Figure

from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures.decide.effect import Effect, EffectArt, setting_effect, setting_effect_sentence
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

TIMES = pd.date_range("2025-01-14", periods=96, freq="h", tz="Europe/Dublin")
NEEDED = np.where((TIMES.hour >= 7) & (TIMES.hour < 22), 20.0, 18.0)
MONTHS = np.array([420.0, 380, 360, 300, 220, 180, 170, 170, 190, 260, 330, 400])


def invented(**changes: Any) -> Effect:
    """A setting that saves 237 and is 0.8 K short at its coldest."""
    costs = {"This setting": 3320.0, "The case": 3557.0, "Oil boiler": 4004.0}
    room = NEEDED + 0.2
    room[30] = NEEDED[30] - 0.8
    effect = Effect(costs, IRISH, MONTHS, 1.05 * MONTHS, pd.DatetimeIndex(TIMES), room, NEEDED + 0.4, NEEDED)
    return replace(effect, **changes)


def month_heights(ax: Any) -> tuple[list[float], list[float]]:
    """Heights of the bars of the months and of the marks over them."""
    bars, marks = ax.collections
    return [path.vertices[1, 1] for path in bars.get_paths()], [line[0][1] for line in marks.get_segments()]


def test_every_part_shows_what_it_was_given() -> None:
    costs, rooms, months = setting_effect(invented())
    assert texts(costs, "option") == ["This setting", "The case", "Oil boiler"]
    assert texts(costs, "amount") == ["€3,320", "€3,557", "€4,004"]
    assert [bar.get_width() for bar in costs.patches] == [3320.0, 3557.0, 4004.0]  # type: ignore[attr-defined]
    needed, before, room = (np.asarray(line.get_ydata()) for line in rooms.lines)
    assert np.array_equal(needed, NEEDED)
    assert np.array_equal(before, NEEDED + 0.4)
    assert room[30] == NEEDED[30] - 0.8
    bars, ends = month_heights(months)
    assert bars == MONTHS.tolist()
    assert ends == pytest.approx((1.05 * MONTHS).tolist())


def test_units_stand_on_every_part_and_texts_are_legible() -> None:
    axes = setting_effect(invented())
    assert [ax.get_ylabel() for ax in axes] == [
        "Cost a year [€]",
        "Room on the coldest days [°C]",
        "Cost a month [€]",
    ]
    for ax in axes[1:]:
        assert_legible(ax)
        legend = ax.get_legend()
        assert legend is not None
        assert legend.get_texts()[0].get_text() == "This setting"
    days = [label.get_text() for label in axes[1].get_xticklabels(minor=True)]
    assert days == ["Tue 14 Jan", "Wed 15", "Thu 16", "Fri 17"]


def test_everything_lies_inside_the_figure() -> None:
    axes = setting_effect(invented())
    figure: Any = axes[0].figure
    figure.canvas.draw()
    page = figure.bbox
    for ax in axes:
        box = ax.get_tightbbox()
        assert box is not None
        assert page.x0 <= box.x0 + 1
        assert box.x1 <= page.x1
        assert page.y0 <= box.y0
        assert box.y1 <= page.y1


def test_other_data_replace_the_old_without_a_new_artist() -> None:
    figure = Figure()
    art = EffectArt(figure, invented())
    artists = [id(artist) for artist in art.moving]
    cheaper = invented(costs={"This setting": 3000.0, "The case": 3557.0, "Oil boiler": 4004.0}, months=0.9 * MONTHS)
    assert not art.replace(cheaper)  # no scale had to move
    assert [id(artist) for artist in art.moving] == artists
    assert texts(art.axes[0], "amount")[0] == "€3,000"
    assert month_heights(art.axes[2])[0] == pytest.approx((0.9 * MONTHS).tolist())


def test_a_scale_widens_where_data_would_leave_it_and_never_narrows() -> None:
    art = EffectArt(Figure(), invented())
    width, height = art.axes[0].get_xlim()[1], art.axes[2].get_ylim()[1]
    dear = {"This setting": 9000.0, "The case": 3557.0, "Oil boiler": 4004.0}
    assert art.replace(invented(costs=dear, months=3 * MONTHS, room_c=NEEDED - 9.0))
    assert art.axes[0].get_xlim()[1] > 9000 > width
    assert art.axes[2].get_ylim()[1] > 3 * MONTHS.max() > height
    assert art.axes[1].get_ylim()[0] <= 9.0
    wide = [ax.get_xlim() + ax.get_ylim() for ax in art.axes]
    assert not art.replace(invented())
    assert [ax.get_xlim() + ax.get_ylim() for ax in art.axes] == wide


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "This setting: a year costs €3,320, €237\u00a0less than the case; on the coldest days the rooms are up to 0.8 K colder than needed."),
        ({"costs": {"This setting": 3557.2, "The case": 3557.0}, "room_c": NEEDED}, "This setting: a year costs €3,557, as\u00a0much as the case; on the coldest days the rooms are as warm as needed."),
        ({"costs": {"This setting": 3600.0, "LPG": 3557.0}}, "This setting: a year costs €3,600, €43\u00a0more than LPG; on the coldest days the rooms are up to 0.8 K colder than needed."),
    ],
)  # fmt: skip
def test_one_sentence_says_what_it_shows(changes: dict[str, Any], sentence: str) -> None:
    assert setting_effect_sentence(invented(**changes)) == sentence


def test_a_cost_alone_is_refused() -> None:
    with pytest.raises(CaseError) as refused:
        invented(costs={"This setting": 1.0})
    assert str(refused.value) == "effect: one cost has nothing to stand beside. Pass the setting and the case."
