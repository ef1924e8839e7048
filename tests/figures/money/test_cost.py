"""The bars of what a year costs: amounts, parts, ranges, differences, and what is refused."""

from __future__ import annotations

import itertools

import pandas as pd
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.patches import Rectangle

from figures.invented import options_table
from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures.money.cost import PARTS, year_cost, year_cost_sentence
from simkit.figures.style import contrast
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

OPTIONS = options_table()
NAMES = list(OPTIONS.index)


def bars(ax: Axes) -> list[Rectangle]:
    return [bar for container in ax.containers for bar in container]


def test_each_option_is_named_and_its_amount_printed() -> None:
    ax = year_cost(OPTIONS, notation=IRISH)
    assert texts(ax, "option") == NAMES
    assert texts(ax, "amount") == ["€2,190", "€2,030", "€1,860", "€1,720"]
    assert texts(ax, "range text")[0] == "€1,890 to €2,530"
    assert ax.get_xlabel() == "Cost a year [€]"
    assert texts(ax, "difference") == []
    assert_legible(ax)


def test_parts_are_stacked_to_the_year() -> None:
    ax = year_cost(OPTIONS)
    found = bars(ax)
    assert len(found) == len(OPTIONS) * 4
    for row in range(len(OPTIONS)):
        mine = found[row * 4 : row * 4 + 4]
        assert mine[0].get_x() == 0
        for before, after in itertools.pairwise(mine):
            assert after.get_x() == pytest.approx(before.get_x() + before.get_width())
        assert mine[-1].get_x() + mine[-1].get_width() == pytest.approx(OPTIONS["year_cost"].iloc[row])
    legend = [text.get_text() for text in ax.get_legend().get_texts()]
    assert legend == ["Heating", "Hot water", "Household", "Standing charges", "likely range"]
    assert texts(ax, "part")[:3] == ["1,310", "250", "500"]


def test_amounts_inside_a_bar_read_on_its_fill() -> None:
    ax = year_cost(OPTIONS)
    found = [text for text in ax.texts if text.get_gid() == "part"]
    assert len(found) >= 3 * len(OPTIONS)
    for text in found:
        (bar,) = [bar for bar in bars(ax) if bar.contains_point(ax.transData.transform(text.get_position()))]
        assert contrast(str(text.get_color()), to_hex(bar.get_facecolor())) >= 4.5


def test_ranges_stand_where_they_were_given() -> None:
    ax = year_cost(OPTIONS)
    ranges = [tuple(line.get_xdata()) for line in ax.lines if line.get_gid() == "range"]
    assert ranges == list(zip(OPTIONS["year_cost_low"], OPTIONS["year_cost_high"], strict=True))
    assert ax.get_xlim()[1] >= OPTIONS["year_cost_high"].max()


def test_differences_are_against_the_baseline() -> None:
    ax = year_cost(OPTIONS, baseline=NAMES[1])
    assert texts(ax, "difference") == ["160\u00a0more", "175\u00a0less", "310\u00a0less"]
    assert texts(ax, "note") == [f"against {NAMES[1]}"]


def test_a_table_of_costs_alone_is_enough() -> None:
    ax = year_cost(OPTIONS[["year_cost"]])
    assert [bar.get_width() for bar in bars(ax)] == OPTIONS["year_cost"].tolist()
    assert ax.get_legend() is None
    assert texts(ax, "part") == []
    assert [line for line in ax.lines if line.get_gid() == "range"] == []


def test_export_goes_to_the_left_of_zero_and_narrow_parts_keep_silent() -> None:
    costs = {"year_cost": 905.0, "heating_cost": 1000.0, "standing_cost": 5.0, "export_cost": -100.0}
    table = pd.DataFrame([costs], index=["Solar"])
    ax = year_cost(table)
    assert [(bar.get_x(), bar.get_width()) for bar in bars(ax)] == [(0, 1000), (1000, 5), (0, -100)]
    assert ax.get_xlim() == (-100, 1005)
    assert texts(ax, "part") == ["1,000", "−100"]


def test_it_can_be_drawn_again_on_an_axes() -> None:
    ax = year_cost(OPTIONS)
    ax.clear()
    assert year_cost(OPTIONS.head(2), ax=ax) is ax
    assert texts(ax, "option") == NAMES[:2]


def test_what_an_option_lacks_stands_beside_its_name() -> None:
    ax = year_cost(OPTIONS.assign(comfort=["too cold", *[""] * (len(OPTIONS) - 1)]))
    names = [text.get_text() for text in ax.texts if text.get_gid() == "option"]
    assert names == [f"{OPTIONS.index[0]}: too cold", *map(str, OPTIONS.index[1:])]


def test_the_sentence() -> None:
    assert year_cost_sentence(OPTIONS, notation=IRISH, baseline=NAMES[0]) == (
        "Of 4, comfort aside, “Cheap-night tariff” costs least to run: €1,720 a year "
        "(likely €1,540 to €1,940), €470\u00a0less than “Oil boiler as lived”."
    )
    assert year_cost_sentence(OPTIONS.head(1)[["year_cost"]]) == "“Oil boiler as lived” costs 2,190 a year."


def test_what_is_refused() -> None:
    wrong = OPTIONS.assign(heating_cost=0.5, year_cost_low=[3000.0, 1.0, 1.0, 1.0])
    with pytest.raises(CaseError) as caught:
        year_cost(wrong.head(1), baseline="none")
    assert str(caught.value).splitlines() == [
        'year cost: baseline "none" is not among the options. Choose one of Oil boiler as lived.',
        "year cost, Oil boiler as lived: parts of 880.50 do not add up to year_cost 2190.00. Pass every part, or none.",
        "year cost, Oil boiler as lived: a range of 3000.00 to 2530.00 runs backwards. "
        "Pass the 10th percentile as year_cost_low and the 90th as year_cost_high.",
    ]
    with pytest.raises(CaseError, match="column year_cost is missing"):
        year_cost_sentence(OPTIONS.drop(columns="year_cost"))


def test_every_part_is_a_known_quantity() -> None:
    from simkit.quantities import QUANTITIES

    assert [name for name in PARTS if name not in QUANTITIES] == []
