"""A table of months in; where in the year a schedule lies above the lowest conceivable plan, out."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NEEDED = ["plan", "simulated", "best_schedule", "today"]
WIDTH = 0.66


def gap_by_month(months: pd.DataFrame, *, notation: Notation = PLAIN, ax: Axes | None = None) -> Axes:
    """Draw each month's energy cost: the lowest conceivable plan, what the best rule adds to it, and what today adds.

    A line across each month says what that plan comes to, simulated. A month in which the plan earns more than it
    pays begins below zero.

    Parameters
    ----------
    months
        `Optimum.gap_by_month`: columns plan, simulated, best_schedule and today, index 1 to 12 [currency].
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.
    """
    need(months, NEEDED, "gap by month")
    if ax is None:
        ax = style.Sheet(right=2.25).axes([2.5])[0]
    places = np.arange(len(months))
    plan, followed, best, today = (months[name].to_numpy(dtype=np.float64) for name in NEEDED)
    labels = []
    for base, upper, name, colour in (
        (np.zeros(len(plan)), plan, "Lowest conceivable plan", style.MONEY),
        (plan, best, "Above it, best rule", style.WATER),
        (best, np.maximum(today, best), "More than that, today", style.HOUSE),
    ):
        ax.bar(places, upper - base, bottom=base, width=WIDTH, color=colour, label=name, linewidth=0)
        labels.append(style.EndLabel(float((base[-1] + upper[-1]) / 2), name, colour, fill=True))
    edge = WIDTH / 2
    ax.hlines(followed, places - edge, places + edge, color=style.INK, linewidth=1.6, gid="simulated")
    labels.append(style.EndLabel(float(followed[-1]), "— That plan, simulated", style.INK))
    if plan.min() < 0:
        ax.axhline(0.0, color=style.INK, linewidth=0.8, gid="zero")
        ax.set_ylim(bottom=float(plan.min()) - 0.05 * float(np.ptp(np.append(plan, today))))
    for place, gap, top in zip(range(len(months)), best - plan, np.maximum(today, best), strict=True):
        ax.text(place, top, notation.number(gap), ha="center", va="bottom", gid="gap", **style.FIGURE)
    ax.set_xticks(places, labels=[calendar.month_abbr[int(month)] for month in months.index])
    style.dress(ax, notation)
    style.head(ax, notation.in_money("Energy"))
    style.label_ends(ax, labels)
    style.title(ax, "Where in the year the gap lies", "figures: best rule above the lowest conceivable plan")
    return ax


def gap_by_month_sentence(months: pd.DataFrame, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `gap_by_month` shows."""
    need(months, NEEDED, "gap by month")
    gap = months["best_schedule"] - months["plan"]
    winter = float(gap.loc[[m for m in gap.index if m in (11, 12, 1, 2, 3)]].sum())
    closed = float((months["best_schedule"] - months["simulated"]).sum())
    return (
        f"The best schedule costs {notation.money(float(gap.sum()))} a year more than the lowest conceivable plan, "
        f"{notation.share(winter / float(gap.sum()))} of it from November to March; that plan, simulated, saves "
        f"{notation.money(closed)} of it."
    )
