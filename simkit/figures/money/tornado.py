"""What decides a result in; bars by input, a map of where it tips and a frontier of budgets, with sentences, out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from simkit.arrays import Floats
from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation
from simkit.quantities import INPUT_WORDS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BAR_INCHES = 0.36
TICKS = 5  # at most: amounts of six digits stand side by side


def tornado_bars(
    tornado: pd.DataFrame, *, words: Mapping[str, str] | None = None, most: int = 8, notation: Notation = PLAIN,
    ax: Axes | None = None,
) -> Axes:  # fmt: skip
    """Draw how far each uncertain input moves a result, the widest on top.

    Parameters
    ----------
    tornado
        Index input; columns `at_low`, `at_high`, `middle`, as `tornado` gives.
    words
        What to call each input; None takes the words of a home's own inputs.
    most
        How many inputs are drawn.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(tornado, ["at_low", "at_high", "middle"], "tornado")
    swing = (tornado["at_high"] - tornado["at_low"]).abs()
    shown = tornado[swing > 1e-6 * max(float(swing.max()), 1e-9)].head(most)
    if ax is None:
        ax = style.Sheet(left=3.1, right=0.5).axes([BAR_INCHES * len(shown) + 0.2])[0]
    middle = float(shown["middle"].iloc[0])
    for row, (_, each) in enumerate(shown.iterrows()):
        low, high = float(each["at_low"]), float(each["at_high"])
        for value, fill, name, upper in (
            (low, style.WATER, "low", low > high),
            (high, style.MONEY, "high", high >= low),
        ):
            ax.barh(row, value - middle, left=middle, height=0.6, color=fill, edgecolor=style.INK, linewidth=0.5)
            side = 4 if upper else -4  # of the two ends: both may lie on one side of the middle
            ax.annotate(name, (value, row), xytext=(side, 0), textcoords="offset points", va="center",
                        ha="left" if side > 0 else "right", gid="side", **style.NOTE)  # fmt: skip
    ax.axvline(middle, color=style.INK, linewidth=1.0)
    named = INPUT_WORDS if words is None else words
    names = [named.get(str(name), str(name)) for name in shown.index]
    ax.set_yticks(range(len(shown)), names)
    ax.invert_yaxis()
    ax.margins(x=0.12)
    ax.locator_params(axis="x", nbins=TICKS)
    style.dress(ax, notation, grid="x")
    style.foot(ax, f"{notation.in_money('gain, worth today')}, each input at its 10th and 90th percentile")
    style.title(ax, "What decides it", "line: everything in the middle", up=0.16)
    return ax


def tipping_map(
    spf: Floats, ratios: Floats, extra: Floats, *, home: tuple[float, float], spread: ArrayLike | None = None,
    notation: Notation = PLAIN, ax: Axes | None = None,
) -> Axes:  # fmt: skip
    """Draw where the heat pump costs more and where less than the boiler, with the home on the map.

    Parameters
    ----------
    spf, ratios
        Seasonal performance H4 (x) and price of electricity over that of fuel (y), (n,) and (m,).
    extra
        What the heat pump costs more a year, (m, n), as `BreakEvens.tipping` gives [currency].
    home
        SPF and price ratio of the home.
    spread
        Sampled SPF and price ratio, (samples, 2); drawn as dots around the home.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    from matplotlib.ticker import MaxNLocator

    if ax is None:
        ax = style.Sheet(left=0.7, right=0.5).axes([3.6])[0]
    most, shade = float(np.abs(extra).max()), style.CHEAP_TO_EXPENSIVE[1]
    around = MaxNLocator(10, steps=[1, 2, 5, 10]).tick_values(-most, most)
    levels = [level for level in around if 0.0 < abs(level) <= most]
    ax.contourf(spf, ratios, extra, levels=[-2.0 * most, 0.0, 2.0 * most], colors=[style.STANDING, shade])
    lines = ax.contour(spf, ratios, extra, levels=levels, colors=style.MUTED, linewidths=0.7, linestyles="solid")
    figures = ax.clabel(lines, fmt=lambda value: notation.number(float(value)), fontsize=style.NOTE_POINTS)
    ax.contour(spf, ratios, extra, levels=[0.0], colors=style.INK, linewidths=2.2)
    if spread is not None:
        dots = np.asarray(spread, dtype=np.float64)
        ax.scatter(dots[:, 0], dots[:, 1], s=6, color=style.INK, alpha=0.35, linewidth=0, gid="spread")
    ax.plot([home[0]], [home[1]], marker="o", markersize=9, color=style.ROOM, markeredgecolor=style.PAPER)
    behind = {"facecolor": style.PAPER, "edgecolor": "none", "alpha": 0.8, "pad": 1.5}
    ax.annotate("this home", home, xytext=(11, 7), textcoords="offset points", gid="home", bbox=behind, **style.LABEL)
    for x, y, words, fill in ((0.97, 0.05, "heat pump cheaper", style.STANDING), (0.29, 0.93, "boiler cheaper", shade)):
        ax.text(x, y, words, transform=ax.transAxes, ha="right", gid="side",
                bbox={"facecolor": fill, "edgecolor": "none", "pad": 2.0}, **style.LABEL)  # fmt: skip
    ax.set_xlim(float(spf[0]), float(spf[-1]))
    ax.set_ylim(float(ratios[0]), float(ratios[-1]))
    for figure in figures:
        x, y = ax.transAxes.inverted().transform(ax.transData.transform(figure.get_position()))
        if (y < 0.16 and x > 0.5) or (y > 0.82 and x < 0.4):  # the names of the sides stand there
            figure.remove()
    style.dress(ax, notation, grid="")
    style.head(ax, "price of electricity over price of fuel [–]")
    style.foot(ax, "seasonal performance factor H4 [–]")
    style.title(ax, "Where it tips", f"lines: {notation.in_money('extra cost a year')}")
    return ax


def tipping_map_sentence(*, home: tuple[float, float], need_spf: float, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `tipping_map` shows."""
    side, number = "cheaper" if home[0] >= need_spf else "more expensive", notation.number
    return (
        f"At {number(home[1], 2)} times the price of fuel the heat pump breaks even at an SPF of "
        f"{number(need_spf, 2)}; with {number(home[0], 2)} it is {side} than the boiler."
    )


def budget_frontier(
    frontier: pd.DataFrame, budgets: pd.DataFrame | None = None, *, notation: Notation = PLAIN, ax: Axes | None = None
) -> Axes:
    """Draw the most that can be saved a year against what is spent, and the best set for some budgets.

    Parameters
    ----------
    frontier
        Columns `cost` and `saved`, as `Ladder.frontier` gives [currency, currency a year].
    budgets
        Index budget; columns `cost` and `saved`, as `Ladder.budgets` gives.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(frontier, ["cost", "saved"], "frontier")
    if ax is None:
        ax = style.Sheet(left=0.7, right=0.6).axes([2.8])[0]
    ax.step(frontier["cost"], frontier["saved"], where="post", color=style.INK, linewidth=1.8, gid="frontier")
    alike = {} if budgets is None else budgets.groupby(["cost", "saved"], sort=False).groups
    for (cost, saved), those in alike.items():  # budgets that buy the same stand at one point
        ax.plot([cost], [saved], marker="o", color=style.ROOM, markersize=7)
        said = " or ".join(notation.money(float(at)) for at in those)
        ax.annotate(f"budget {said}", (cost, saved), xytext=(7, -13),
                    textcoords="offset points", gid="budget", **style.FIGURE)  # fmt: skip
    ax.set_ylim(bottom=min(0.0, float(frontier["saved"].min())))
    ax.set_xlim(left=0)
    style.dress(ax, notation)
    style.head(ax, notation.in_money("saved a year"))
    style.foot(ax, notation.in_money("spent at once"))
    style.title(ax, "What a budget buys")
    return ax


def budget_frontier_sentence(budgets: pd.DataFrame, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `budget_frontier` shows."""
    need(budgets, ["cost", "saved"], "budgets")
    parts = [
        f"{notation.money(float(str(at)))} buys {notation.money(float(row['saved']))} a year"
        for at, row in budgets.iterrows()
    ]
    return f"{'; '.join(parts)}."
