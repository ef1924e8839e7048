"""Simulated years in; pictures as bytes, each with its sentence, out. matplotlib is loaded by the first one drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import (
    cold_week,
    cold_week_sentence,
    cop_by_outdoor,
    cop_by_outdoor_sentence,
    months,
    months_sentence,
    year_cost,
    year_cost_sentence,
)
from simkit.figures.money.cost import ROW_INCHES, SHEET
from simkit.figures.style import Sheet
from simkit.year.compare import Comparison
from simkit.year.year import Year

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 160


@dataclass(frozen=True)
class Picture:
    """A picture and the sentence that says it.

    Attributes
    ----------
    svg
        The picture, letters as outlines: it looks the same everywhere.
    sentence
        What it shows, for those who don't see it.
    """

    svg: bytes
    sentence: str


def cost_picture(comparison: Comparison, *, kind: str, ranged: bool = True) -> bytes:
    """Draw what a year costs with each option.

    Parameters
    ----------
    comparison
        The options.
    kind
        ``png``, ``svg`` or ``pdf``.
    ranged
        Whether to sample and draw the ranges.
    """
    return drawn_bytes(lambda figure: _costs(comparison, figure, ranged=ranged), kind)


def comparison_pictures(comparison: Comparison, subject: Year, *, ranged: bool = True) -> dict[str, Picture]:
    """Draw the costs of all options; of one option, the months, the coldest week and, of a heat pump, its COP.

    Parameters
    ----------
    comparison
        The options.
    subject
        The option whose year is drawn.
    ranged
        Whether to sample and draw the ranges.

    Returns
    -------
    dict
        By name: ``cost``, ``months``, ``cold_week``, ``cop``.
    """
    currency, hourly = subject.case.currency, subject.hourly_local
    table = cost_table(comparison, ranged=ranged)
    said = year_cost_sentence(table, currency=currency, baseline=comparison.baseline)
    found = {"cost": Picture(cost_picture(comparison, kind="svg", ranged=ranged), said)}
    drawn = drawn_bytes(lambda figure: months(subject.months, currency=currency, figure=figure), "svg")
    found["months"] = Picture(drawn, months_sentence(subject.months, currency=currency))
    drawn = drawn_bytes(lambda figure: cold_week(hourly, currency=currency, figure=figure), "svg")
    found["cold_week"] = Picture(drawn, cold_week_sentence(hourly))
    if subject.spf.h4 is not None:
        drawn = drawn_bytes(lambda figure: cop_by_outdoor(hourly, ax=Sheet().axes([2.9], figure=figure)[0]), "svg")
        found["cop"] = Picture(drawn, cop_by_outdoor_sentence(hourly))
    return found


def cost_table(comparison: Comparison, *, ranged: bool = True) -> pd.DataFrame:
    """Table of options that `simkit.figures.year_cost` draws: cost, range, and the groups that it is made of.

    Parameters
    ----------
    comparison
        The options.
    ranged
        Whether to sample the ranges.
    """
    rows = []
    for year in comparison.years:
        row = {"option": year.case.name, "year_cost": year.bill.total, **year.costs.by_use}
        if ranged:
            found = year.range()
            row |= {"year_cost_low": found.low, "year_cost_high": found.high}
        rows.append(row)
    return pd.DataFrame(rows).set_index("option")


def _costs(comparison: Comparison, figure: Figure, *, ranged: bool) -> None:
    ax = SHEET.axes([ROW_INCHES * len(comparison.years)], figure=figure)[0]
    table = cost_table(comparison, ranged=ranged)
    year_cost(table, currency=comparison.base.case.currency, baseline=comparison.baseline, ax=ax)


def drawn_bytes(draw: Callable[[Figure], object], kind: str) -> bytes:
    """Draw on a figure of its own, outside matplotlib's list of open ones, and return the file; the same each time."""
    import matplotlib
    from matplotlib.figure import Figure

    figure = Figure()
    with matplotlib.rc_context({"svg.hashsalt": "simkit", "svg.fonttype": "path"}):
        draw(figure)
        out = BytesIO()
        stamps = {"svg": {"Date": None, "Creator": None}, "pdf": {"CreationDate": None}}
        figure.savefig(out, format=kind, dpi=DOTS_PER_INCH, metadata=stamps.get(kind))
    return out.getvalue()
