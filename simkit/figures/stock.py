"""What many homes pay, by variant, in; a figure of the middle home and of eight in ten, and its sentence, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import style
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def costs_of_homes(table: pd.DataFrame, *, figure: Figure | None = None, notation: Notation = PLAIN) -> Axes:
    """Draw for each variant the year of the middle home, and between which costs eight homes of ten lie.

    Parameters
    ----------
    table
        Needs home_cost, home_cost_low and home_cost_high [currency], a row a variant; the index names them.
    figure
        Where to draw.
    notation
        How numbers are written.
    """
    (ax,) = style.Sheet(left=2.0, right=0.9).axes([0.42 * len(table) + 0.3], figure=figure)
    for place, (low, middle, high) in enumerate(table[["home_cost_low", "home_cost", "home_cost_high"]].to_numpy()):
        ax.plot([low, high], [place, place], color=style.MONEY, linewidth=5.0, alpha=0.45, solid_capstyle="butt")
        ax.plot([middle], [place], "o", color=style.INK, markersize=6.0)
        ax.annotate(
            notation.money(middle),
            (middle, place),
            xytext=(0, 6),
            textcoords="offset points",
            ha="center",
            **style.LABEL,
        )
    ax.set_yticks(range(len(table)), [str(name) for name in table.index])
    ax.set_ylim(len(table) - 0.5, -0.6)
    ax.set_xlim(left=min(0.0, float(table["home_cost_low"].min())))
    style.dress(ax, notation, grid="x")
    ax.tick_params(axis="y", labelsize=style.TEXT_POINTS, labelcolor=style.INK)
    ax.set_xlabel(f"{notation.currency} a year", **style.NOTE)
    style.title(ax, "What a year costs", "dot: the middle home; bar: eight homes of ten")
    return ax


def costs_of_homes_sentence(table: pd.DataFrame, notation: Notation = PLAIN) -> str:
    """What `costs_of_homes` shows."""
    said = [
        f"{name}: {notation.money(row.home_cost)} in the middle home, {notation.money(row.home_cost_low)} to "
        f"{notation.money(row.home_cost_high)} in eight of ten"
        for name, row in table.iterrows()
    ]
    return f"A year costs with {'; '.join(said)}."
