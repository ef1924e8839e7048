"""Cost by civil date in; a year of days, one row a month, the more expensive the darker, out."""

from __future__ import annotations

import calendar as months
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

DAYS = 31
CELL_INCHES = 0.2
SHADES = 5


def cost_calendar(daily: pd.Series, *, notation: Notation = PLAIN, ax: Axes | None = None) -> Axes:
    """Draw what each day costs: a row for each month, a field for each day; the month's sum to the right.

    Parameters
    ----------
    daily
        Cost by date, (days,) [currency].
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    _check(daily)
    if ax is None:
        ax = style.Sheet(left=0.5, right=1.1, top=0.95, bottom=0.55).axes([12 * CELL_INCHES])[0]
    bounds, digits = _bounds(daily.to_numpy(dtype=np.float64))
    index = pd.DatetimeIndex(daily.index)
    rank = np.searchsorted(bounds, daily.to_numpy(dtype=np.float64), side="right")
    fills = [style.CHEAP_TO_EXPENSIVE[int(place)] for place in rank]
    look: Any = {"height": 0.86, "color": fills, "edgecolor": style.MUTED, "linewidth": 0.3}
    fields = ax.barh(index.month.to_numpy() - 1, 0.92, left=index.day.to_numpy() - 0.46, **look)
    for date, field in zip(index, fields, strict=True):
        field.set_gid(f"{date:%Y-%m-%d}")
    ax.set_xlim(0.4, DAYS + 0.6)
    ax.set_ylim(11.6, -0.6)
    ax.set_yticks(range(12), labels=[months.month_abbr[month] for month in range(1, 13)])
    ax.set_xticks([1, 5, 10, 15, 20, 25, 30])
    style.dress(ax, notation, grid="")
    ax.spines["bottom"].set_visible(False)
    sums = daily.groupby(index.month).sum()
    for month, total in sums.items():
        ax.text(
            DAYS + 1.1, int(str(month)) - 1, notation.number(float(total)), va="center", gid="month", **style.FIGURE
        )
    style.title(ax, notation.in_money("What each day costs"), "month", note_at=1.12)
    ends = [notation.number(bound, digits) for bound in bounds]
    texts = [f"under {ends[0]}", *(f"{a} to {b}" for a, b in pairwise(ends)), f"over {ends[-1]}"]
    shades = [style.patch(*shade, edgecolor=style.MUTED) for shade in zip(style.CHEAP_TO_EXPENSIVE, texts, strict=True)]
    style.key(ax, shades, loc="upper left", bbox_to_anchor=(0, -0.12))
    return ax


def cost_calendar_sentence(daily: pd.Series, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `cost_calendar` shows."""
    _check(daily)
    most, least = (pd.Timestamp(str(day)) for day in (daily.idxmax(), daily.idxmin()))
    tenth = float(daily.nlargest(max(len(daily) // 10, 1)).sum() / daily.sum()) if daily.sum() else 0.0
    return (
        f"The most expensive day is {most.day} {most:%B} at {notation.money(float(daily.max()), 2)}, the cheapest "
        f"{least.day} {least:%B} at {notation.money(float(daily.min()), 2)}; the most expensive tenth of the days "
        f"takes {notation.share(tenth)} of the year."
    )


def _check(daily: pd.Series) -> None:
    if not isinstance(daily.index, pd.DatetimeIndex) or daily.empty or not np.isfinite(daily.to_numpy(float)).all():
        remedy = "Pass a cost for each date, as `year.costs.by_day` gives it"
        raise CaseError(Fault("calendar", "the costs", "are not a series of finite amounts by date", remedy))


def _bounds(costs: np.ndarray) -> tuple[np.ndarray, int]:
    """Four amounts that part the days into five shades of equal count, as round numbers, and their decimals."""
    quantiles = np.quantile(costs, np.arange(1, SHADES) / SHADES)
    span = float(costs.max() - costs.min())
    digits = 0 if span > 20 else 1 if span > 2 else 2
    return np.round(quantiles, digits), digits
