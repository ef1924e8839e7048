"""A tariff and a zone in; winter, summer and the days of 23 and 25 hours as strips by the wall clock, out.

Strips are drawn in hours gone since midnight, so that a day is as long as it was, and labelled by the clock on the
wall; edges stand on the minute, where the meter has them.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from textwrap import fill
from typing import TYPE_CHECKING

import numpy as np

from simkit.billing.charges.minutes import Stretch, stretches_of
from simkit.clock import TimeAxis
from simkit.figures import style
from simkit.notation import PLAIN, Notation
from simkit.tariff.tariff import Tariff
from simkit.times_of_day import DAY_MINUTES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WEDNESDAY = 2
LONGEST = 25 * 60
NEAREST_MINUTES = 78  # two times written nearer than this would touch
LETTERS = 95  # of a line below
MOST_NAMED = 8  # stretches whose price is written in figures


def cheap_hours(
    tariff: Tariff, axis: TimeAxis, *, dates: Sequence[dt.date] | None = None, country: str | None = None,
    notation: Notation = PLAIN, figure: Figure | None = None,
) -> list[Axes]:  # fmt: skip
    """Draw when electricity is cheap, by the clock on the wall.

    Parameters
    ----------
    tariff
        The tariff.
    axis
        Zone and year.
    dates
        Civil dates to show; None shows a Wednesday in January and in July, and the days on which the clock changes.
    country
        Country of the home, asked of tariffs that price public holidays.
    notation
        How numbers are written.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        One strip for each date.
    """
    if dates is None:
        middles = [dt.date(axis.year, month, 15) for month in (1, 7)]
        changed = axis.dates[np.bincount(axis.day) * axis.step_minutes != DAY_MINUTES]
        dates = [day + dt.timedelta(days=(WEDNESDAY - day.weekday()) % 7) for day in middles] + changed.tolist()
    days = [(date, stretches_of(tariff, axis, date, country=country)) for date in dates]
    shades = _shades([stretch.price for _, stretches in days for stretch in stretches])
    sheet = style.Sheet(left=0.35, right=0.35, gap=0.72, top=1.0, bottom=0.66)
    axes = sheet.axes([0.36] * len(days), figure=figure)
    for ax, (date, stretches) in zip(axes, days, strict=True):
        _strip(ax, stretches, shades, notation)
        length = stretches[-1].last
        hours = "" if length == DAY_MINUTES else f", {length // 60} hours"
        style.head(ax, f"{date:%A} {date.day} {date:%B}{hours}")
    unit = Notation(notation.locale, tariff.currency).axis("import_price_per_kwh")
    style.title(axes[0], f"When {tariff.name} is cheap", f"{unit}, wall time in {axis.zone}", up=0.5)
    style.foot(axes[-1], _said_below(tariff, days, notation))
    return axes


def _said_below(tariff: Tariff, days: Sequence[tuple[dt.date, Sequence[Stretch]]], notation: Notation) -> str:
    """What the shades mean, where there are too many prices to write them in; whose clock it is, and how late."""
    said = []
    if any(len(stretches) > MOST_NAMED for _, stretches in days):
        prices = [stretch.price for _, stretches in days for stretch in stretches]
        said.append(f"Lightest {notation.number(min(prices), 3)}, darkest {notation.number(max(prices), 3)}.")
    if tariff.clock != "local":
        said.append("The meter's clock never changes to summer time.")
    if late := tariff.meter_offset_minutes or 0:
        said.append(
            f"It switches {abs(late)} minutes {'later' if late > 0 else 'earlier'} than stated, which is drawn."
        )
    return fill(" ".join(said), LETTERS)


def _shades(prices: Sequence[float]) -> dict[float, str]:
    """Give each price a shade, the highest the darkest; more prices than shades share them by rank."""
    ranked = sorted(set(prices))
    steps, top = len(style.CHEAP_TO_EXPENSIVE) - 1, max(len(ranked) - 1, 1)
    return {price: style.CHEAP_TO_EXPENSIVE[round(rank * steps / top)] for rank, price in enumerate(ranked)}


def _strip(ax: Axes, stretches: Sequence[Stretch], shades: dict[float, str], notation: Notation) -> None:
    ax.set_xlim(0, LONGEST)
    ax.set_ylim(0, 1)
    named = len(stretches) <= MOST_NAMED
    for stretch in stretches:
        fill, wide = shades[stretch.price], stretch.last - stretch.first
        edge = style.INK if named else fill
        ax.barh(0.5, wide, left=stretch.first, height=1, color=fill, edgecolor=edge, linewidth=0.5)
        if named and wide >= 75:
            look = style.FIGURE | {"color": style.text_on(fill), "ha": "center", "va": "center"}
            ax.text((stretch.first + stretch.last) / 2, 0.5, notation.number(stretch.price, 4), gid="price", **look)
    edges = [(s.first, s.start) for s in stretches if s.first > 0]
    midnight = [(0, "00:00")] if not edges or edges[0][0] >= NEAREST_MINUTES else []  # an edge goes first
    thirds = [(s.first, s.start) for s in stretches if s.start.endswith(":00") and int(s.start[:2]) % 3 == 0]
    places = [*midnight, *edges] if named else thirds
    shown = _apart([*places, (stretches[-1].last, "24:00")])
    ax.set_xticks([place for place, _ in shown], labels=[text for _, text in shown])
    ax.set_yticks([])
    style.dress(ax, notation, grid="")
    ax.spines["bottom"].set_visible(False)


def _apart(places: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Leave out times that would touch the one before; the last always stays."""
    kept: list[tuple[int, str]] = []
    for place, text in places[:-1]:
        if (not kept or place - kept[-1][0] >= NEAREST_MINUTES) and places[-1][0] - place >= NEAREST_MINUTES:
            kept.append((place, text))
    return [*kept, places[-1]]
