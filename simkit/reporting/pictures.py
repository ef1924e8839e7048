"""Simulated years in; pictures as bytes, each with its sentence, out. matplotlib is loaded by the first one drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import pandas as pd

from simkit.case.build import Case
from simkit.decide.battery.worth import BatteryWorth
from simkit.decide.tariff.ranking import TariffRanking
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
from simkit.figures.decide.battery_size import HIGH_INCHES, battery_size
from simkit.figures.decide.battery_size import SHEET as BATTERY_SHEET
from simkit.figures.decide.flow import flow_cost
from simkit.figures.money.cost import ROW_INCHES, SHEET
from simkit.figures.style import Sheet
from simkit.figures.tariff.ranking import ROW_INCHES as TARIFF_INCHES
from simkit.figures.tariff.ranking import SHEET as TARIFF_SHEET
from simkit.figures.tariff.ranking import tariff_bars
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
        ``png``, ``svg`` or ``pdf``, as a file ends in it.
    ranged
        Whether to sample and draw the ranges.
    """
    table, currency = cost_table(comparison, ranged=ranged), comparison.base.case.currency
    return drawn_bytes(
        lambda figure: year_cost(
            table, currency=currency, baseline=comparison.baseline,
            ax=SHEET.axes([ROW_INCHES * len(table)], figure=figure)[0],
        ),
        kind,
    )  # fmt: skip


def battery_picture(found: BatteryWorth, *, kind: str) -> bytes:
    """Draw saving against size, without panels and beside them; arguments as for `cost_picture`."""
    beside, curve = found.beside_panels, found.alone.curve
    other = None if beside is None else beside.curve.table()
    return drawn_bytes(
        lambda figure: battery_size(
            curve.table(), knee_kwh=curve.knee_kwh, currency=found.case.currency, other=other,
            names=("without panels", "beside panels"), ax=BATTERY_SHEET.axes([HIGH_INCHES], figure=figure)[0],
        ),
        kind,
    )  # fmt: skip


def flow_picture(table: pd.DataFrame, case: Case, *, kind: str) -> bytes:
    """Draw cost against design flow with its comfort line; `table` as `sweep_flow` gives it."""
    return drawn_bytes(
        lambda figure: flow_cost(table, currency=case.currency, now_c=case.controls.design_flow_c, figure=figure), kind
    )


def tariff_picture(ranking: TariffRanking, *, kind: str, ranged: bool = True) -> bytes:
    """Draw what a year costs on each tariff; arguments as for `cost_picture`."""
    table = ranking.table(ranges=ranged)
    return drawn_bytes(
        lambda figure: tariff_bars(
            table, currency=ranking.case.currency, own=ranking.own.name,
            ax=TARIFF_SHEET.axes([TARIFF_INCHES * len(table)], figure=figure)[0],
        ),
        kind,
    )  # fmt: skip


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


def drawn_bytes(draw: Callable[[Figure], object], kind: str) -> bytes:
    """Draw on a figure of its own, outside matplotlib's list of open ones, and return the file; the same each time."""
    import matplotlib
    from matplotlib.figure import Figure

    figure, kind = Figure(), kind.lstrip(".").lower()
    with matplotlib.rc_context({"svg.hashsalt": "simkit", "svg.fonttype": "path"}):
        draw(figure)
        out = BytesIO()
        stamps = {"svg": {"Date": None, "Creator": None}, "pdf": {"CreationDate": None}}
        figure.savefig(out, format=kind, dpi=DOTS_PER_INCH, metadata=stamps.get(kind))
    return out.getvalue()
