"""A day's steps in; energy above and price below, hour under hour, out."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import in_zone, need, one_date
from simkit.figures.year import strips
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

USED = (*strips.ELECTRICITY, ("Into the battery", ("battery_charge_kw",), style.TAP))
GIVEN: tuple[strips.Line, ...] = (
    ("solar_kw", "Panels give", style.INK, "-"), ("battery_discharge_kw", "Battery gives", style.TAP, "--"),
)  # fmt: skip
NEEDED = ["import_kw", "import_price_per_kwh"]


def day_strips(
    hourly: pd.DataFrame, date: str | dt.date, *, zone: str | None = None, notation: Notation = PLAIN,
    figure: Figure | None = None,
) -> list[Axes]:  # fmt: skip
    """Draw what a home uses above, panels and battery as lines over it, and the price of the same hours below.

    Parameters
    ----------
    hourly
        A frame of `Year.hourly`.
    date
        The civil date.
    zone, notation, figure
        Time zone of the wall clock where the index is in UTC; how numbers are written; figure to draw on, cleared.

    Returns
    -------
    list of Axes
        Energy, price.
    """
    need(hourly, NEEDED, "a day in two strips")
    day = one_date(in_zone(hourly, zone), date)
    axes = style.Sheet(gap=0.5).axes([2.3, 0.95], figure=figure)
    style.head(axes[0], "Used [kW], panels and battery as lines")
    strips.stacked(axes[0], day, USED, GIVEN)
    strips.price(axes[1], day, notation)
    strips.hour_ticks(axes, day, notation)
    first = pd.DatetimeIndex(day.index)[0]
    style.title(axes[0], f"{first:%A} {first.day} {first:%B %Y}", "energy, and the price of the same hours")
    return axes
