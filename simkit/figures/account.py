"""An account drawn up in; figures of its days and of what made the difference, and sentences that say them, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.style import EndLabel

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Statement: TypeAlias = Any  # it stands above this layer: a figure reads its attributes and asks nothing of its kind

CAUSES = {"weather": style.OUTDOOR, "use": style.HOUSE, "efficiency": style.HEAT, "price": style.PRICE}
BAR = 0.62


def running_account(statement: Statement, *, figure: Figure | None = None) -> list[Axes]:
    """Draw metered against expected days, days away marked, and the running total saved."""
    days, notation = statement.days, statement.case.notation
    when = pd.DatetimeIndex(days.index)
    known = statement.saved is not None
    axes = style.Sheet(right=1.75, gap=0.72).axes([1.9, 1.3] if known else [1.9], figure=figure)
    axes[0].fill_between(when, days["expected_low"], days["expected_high"], color=style.WATER, linewidth=0)
    axes[0].plot(when, days["metered_kwh"], color=style.INK, linewidth=1.2)
    away = days["away"].to_numpy(dtype=bool)
    if away.any():
        axes[0].plot(
            when[away], days["metered_kwh"][away], "o", color=style.PAPER, markeredgecolor=style.INK, markersize=4.5
        )
    labels = [
        EndLabel(float(days["metered_kwh"].iloc[-1]), "metered", style.INK),
        EndLabel(float(days["expected_kwh"].iloc[-1]), "expected, 8 days in 10", style.WATER, fill=True),
    ]
    if statement.drift is not None:
        since, top = statement.drift.since, axes[0].get_ylim()[1]
        axes[0].axvline(since, color=style.ROOM, linewidth=1.2, linestyle="--")
        axes[0].text(since, top, " drift", color=style.ROOM, fontsize=style.TEXT_POINTS, va="top")
    style.head(axes[0], "Energy of a day [kWh]")
    style.label_ends(axes[0], labels)
    if known:
        total = days["saved"].cumsum()
        axes[1].plot(when, total, color=style.TAP, linewidth=1.8)
        axes[1].axhline(0, color=style.MUTED, linewidth=0.8)
        style.head(axes[1], notation.in_money("Saved to date against the old fuel"))
        style.label_ends(
            axes[1],
            [EndLabel(float(total.iloc[-1]), notation.estimate(float(total.iloc[-1]), statement.saved), style.TAP)],
        )
    for ax in axes:
        style.dress(ax, notation, grid="y")
        ax.locator_params(axis="y", nbins=5)
        style.month_days(ax, len(when))
    style.title(axes[0], "Running account", "rings: away" if away.any() else "")
    return axes


def running_account_sentence(statement: Statement) -> str:
    """Say in one sentence what `running_account` shows."""
    notation, days = statement.case.notation, statement.days
    used, wanted = (notation.number(float(days[name].sum())) for name in ("metered_kwh", "expected_kwh"))
    return f"{len(days)} days: {used} kWh used where {wanted} were expected in that weather."


def what_did_it(statement: Statement, *, figure: Figure | None = None) -> list[Axes]:
    """Draw by month what made the difference to the usual: energy above, money below; a line where they come to."""
    months, notation = statement.cause_months, statement.case.notation
    x = np.arange(len(months))
    axes = style.Sheet(right=1.75, gap=0.72).axes([1.7, 1.7], figure=figure)
    for ax, unit, total in zip(axes, ("kwh", "cost"), ("metered_kwh", "cost"), strict=True):
        above, below = np.zeros(len(x)), np.zeros(len(x))
        for cause, colour in CAUSES.items():
            part = months[f"{cause}_{unit}"].to_numpy()
            start = np.where(part >= 0, above, below)
            ax.bar(x, part, bottom=start, width=BAR, color=colour, edgecolor=style.INK, linewidth=0.5, label=cause)
            above, below = above + np.maximum(part, 0.0), below + np.minimum(part, 0.0)
        apart = months[total] - months[f"usual_{unit}"]
        ax.hlines(apart, x - BAR / 2, x + BAR / 2, color=style.INK, linewidth=2.0)
        style.dress(ax, notation, grid="y")
        ax.axhline(0, color=style.MUTED, linewidth=0.8)
        ax.locator_params(axis="y", nbins=5)
        ax.set_xticks(x, labels=[f"{pd.Period(month).strftime('%b %y')}" for month in months.index])
    style.head(axes[0], "Used less usual [kWh]")
    style.head(axes[1], notation.in_money("Paid less usual"))
    handles = [style.patch(colour, cause) for cause, colour in CAUSES.items()]
    style.key(axes[0], handles, across=1, loc="upper left", bbox_to_anchor=(1.0, 1.0))
    style.title(axes[0], "What did it, by month", "black line: all of them together")
    return axes


def what_did_it_sentence(statement: Statement) -> str:
    """Say in one sentence what `what_did_it` shows."""
    sums, said = statement.causes.sum(), statement.case.notation.more_or_less
    largest = max(CAUSES, key=lambda cause: abs(sums[f"{cause}_cost"]))
    apart, most = said(float(sums["cost"] - sums["usual_cost"])), said(float(sums[f"{largest}_cost"]))
    return f"Paid against the usual: {apart} in all; {largest} did most of it, {most}."
