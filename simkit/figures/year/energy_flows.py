"""A table of sources by uses in; squares whose area is the energy, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import style
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

COLOURS = {"panels": style.SUN, "battery": style.TAP, "grid": style.MONEY}
CELL_INCHES, LEAST_INCHES = 1.2, 7.6  # narrower, the title would be cut


def source_use_squares(
    table: pd.DataFrame, *, notation: Notation = PLAIN, ax: Axes | None = None, figure: Figure | None = None
) -> Axes:
    """Draw where each kilowatt-hour came from and went: one square for each pair, its area the energy.

    Parameters
    ----------
    table
        Sources by uses [kWh], as `simkit.year.energy_flows.energy_flows` makes it.
    notation
        How numbers are written.
    ax
        Axes to draw on instead of a new figure.
    figure
        Figure to draw on instead of a new one; it is cleared.
    """
    from matplotlib.patches import Rectangle

    shown = table.loc[table.sum(axis=1) > 0]
    rows, columns = shown.shape
    if ax is None:
        left, across = 1.1, CELL_INCHES * columns
        right = max(0.45, LEAST_INCHES - left - across)
        sheet = style.Sheet(width=left + across + right, left=left, right=right, top=0.7, bottom=0.7)
        ax = sheet.axes([CELL_INCHES * rows], figure=figure)[0]
    most = float(shown.to_numpy().max())
    for i, source in enumerate(shown.index):
        for j, use in enumerate(shown.columns):
            kwh = float(shown.at[source, use])
            side = 0.92 * (kwh / most) ** 0.5 if kwh > 0 else 0.0
            fill = COLOURS.get(str(source), style.AIDS)
            corner = (j - side / 2, i - side / 2)
            ax.add_patch(Rectangle(corner, side, side, facecolor=fill, edgecolor="none", gid="kwh"))
            inside = side > 0.62
            colour = style.text_on(fill) if inside else style.INK
            text = notation.number(kwh) if kwh >= 0.5 else ""
            place = i if inside else i + side / 2 + 0.11
            ax.text(j, place, text, ha="center", va="center", gid="number", **(style.FIGURE | {"color": colour}))
    ax.set_xlim(-0.5, columns - 0.5)
    ax.set_ylim(rows - 0.5, -0.5)
    ax.set_xticks(range(columns), labels=[f"{name}\n{notation.number(shown[name].sum())}" for name in shown.columns])
    ax.set_yticks(range(rows), labels=[f"{name}\n{notation.number(shown.loc[name].sum())}" for name in shown.index])
    style.dress(ax, notation, grid="")
    ax.tick_params(labelcolor=style.INK)
    style.foot(ax, "went to [kWh]", side="right")
    style.title(ax, "Where each kilowatt-hour came from, and went", up=0.3)
    return ax


def source_use_sentence(table: pd.DataFrame, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `source_use_squares` shows."""
    used = table.drop(columns=[name for name in ("to the grid", "given up", "battery") if name in table.columns])
    own = float(used.loc[["panels", "battery"]].to_numpy().sum())
    whole = float(used.to_numpy().sum())
    return (
        f"Panels and battery give {notation.share(own / whole)} of the {notation.number(whole)} kWh that the home uses."
    )
