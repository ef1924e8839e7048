"""The table of an emitter ladder in; saving against price with ranges out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NEAR = 0.07  # of the whole price: labels nearer to each other than this would overlap


def emitter_steps(table: pd.DataFrame, *, notation: Notation = PLAIN, ax: Axes | None = None) -> Axes:
    """Draw what each set of emitters saves a year against its price, with the range of the saving.

    Parameters
    ----------
    table
        One row by set, cheapest first: `price`, `saving` [currency], `design_flow_c` [°C], `rooms`; where known
        `saving_low` and `saving_high`.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(table, ["price", "saving", "design_flow_c", "rooms"], "ladder of emitters")
    if ax is None:
        ax = style.Sheet(right=0.6, top=0.85).axes([2.7])[0]
    if "saving_low" in table.columns:
        ax.vlines(
            table["price"], table["saving_low"], table["saving_high"], color=style.MUTED, linewidth=1.2, label="range"
        )
    ax.plot(table["price"], table["saving"], color=style.ROOM, linewidth=1.6, marker="o", markersize=5, label="saving")
    top = table["saving_high"] if "saving_low" in table.columns else table["saving"]
    prices, before, up = table["price"].to_numpy(), -np.inf, 0
    for price, height, flow in zip(prices, top, table["design_flow_c"], strict=True):
        up = 12 - up if price - before < NEAR * prices.max() else 0  # neighbours step aside
        ax.annotate(
            f"{notation.number(flow)} °C", (price, height), xytext=(0, 4 + up), textcoords="offset points", ha="center",
            gid="flow", **style.FIGURE,
        )  # fmt: skip
        before = price
    ax.set_xlim(0 if table["price"].min() else -0.03 * table["price"].max(), table["price"].max() * 1.05)
    ax.set_ylim(min(0.0, float(table["saving"].min())), float(top.max()) * 1.12)
    style.dress(ax, notation, grid="both")
    style.head(ax, notation.in_money("Saved a year"))
    style.foot(ax, notation.in_money("Price of the emitters, fitted"))
    style.title(ax, "Radiators, cheapest set for each flow", "bar: likely range of the saving")
    return ax
