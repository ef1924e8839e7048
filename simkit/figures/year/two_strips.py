"""A day's steps in; energy above and price below, hour under hour, out."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import given, in_zone, need, one_date
from simkit.figures.style import EndLabel
from simkit.figures.year import strips

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

USED = (*strips.ELECTRICITY, ("Into the battery", ("battery_charge_kw",), style.TAP))
NEEDED = ["import_kw", "import_price_per_kwh"]


def day_strips(
    hourly: pd.DataFrame, date: str | dt.date, *, zone: str | None = None, currency: str | None = None,
    figure: Figure | None = None,
) -> list[Axes]:  # fmt: skip
    """Draw what a home uses above, panels and battery as lines over it, and the price of the same hours below.

    Parameters
    ----------
    hourly
        A frame of `Year.hourly`.
    date
        The civil date.
    zone, currency, figure
        Time zone of the wall clock where the index is in UTC; ISO 4217 code; figure to draw on, cleared.

    Returns
    -------
    list of Axes
        Energy, price.
    """
    need(hourly, NEEDED, "a day in two strips")
    day = one_date(in_zone(hourly, zone), date)
    axes = style.Sheet(gap=0.5).axes([2.3, 0.95], figure=figure)
    _energy(axes[0], day)
    strips.price(axes[1], day, currency)
    strips.hour_ticks(axes, day)
    first = pd.DatetimeIndex(day.index)[0]
    style.title(axes[0], f"{first:%A} {first.day} {first:%B %Y}", "energy, and the price of the same hours")
    return axes


def _energy(ax: Axes, day: pd.DataFrame) -> None:
    style.head(ax, "Used [kW], panels and battery as lines")
    labels, total = strips.stack(ax, day, USED)
    top, edges = float(total.max(initial=0.1)), strips.edges_of(day)
    for column, name, colour, dash in (
        ("solar_kw", "Panels give", style.INK, "-"), ("battery_discharge_kw", "Battery gives", style.TAP, "--"),
    ):  # fmt: skip
        values = given(day, (column,))
        if values is not None:
            line = ax.stairs(values, edges, baseline=None, color=colour, linewidth=1.6, linestyle=dash, label=name)
            line.set_gid("line")
            labels.append(EndLabel(float(values[-1]), name, colour))
            top = max(top, float(values.max()))
    ax.set_ylim(0.0, top * 1.08)
    ax.set_xlim(edges[0], edges[-1])
    style.dress(ax, grid="y")
    style.label_ends(ax, labels)
