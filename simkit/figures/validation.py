"""Claims with what the kit gives beside them in; a figure of how far each is off, by group, and its sentence out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEAST = 1e-9  # own: nearer is drawn here, as nothing
MARKS = (LEAST, 1e-7, 1e-5, 1e-3, 1e-2, 1e-1, 1.0, 10.0)
TICK_DIGITS = {1e-7: 5, 1e-5: 3, 1e-3: 1}


def claims_by_group(table: pd.DataFrame, *, figure: Figure | None = None, notation: Notation = PLAIN) -> Axes:
    """Draw how far each claim is off, of what is expected, on a line of its group; what a shortcut gives beside it.

    Parameters
    ----------
    table
        Needs group, relative_error, naive_error and agrees.
    figure
        Where to draw.
    notation
        How numbers are written.
    """
    groups = list(dict.fromkeys(table["group"]))
    (ax,) = style.Sheet(left=1.8, right=0.3).axes([0.36 * len(groups) + 0.4], figure=figure)
    row = np.array([groups.index(name) for name in table["group"]])
    aside = np.array([0.09 * (k % 5 - 2) for k in table.groupby("group").cumcount()])
    for found, marker, colour, name in (
        (table["naive_error"], "x", style.ROOM, "a shortcut instead"),
        (table["relative_error"].where(table["agrees"]), "o", style.TAP, "simkit"),
        (table["relative_error"].where(~table["agrees"]), "D", style.INK, "simkit, outside what was allowed"),
    ):
        off = found.astype(float)
        if off.notna().any():
            ax.plot(off.clip(lower=LEAST), row + aside, marker, color=colour, markersize=4.5, label=name, alpha=0.85)
    ax.set_xscale("log")
    ax.minorticks_off()
    ax.set_xticks(
        MARKS, ["0", *("" if mark == 1.0 else notation.share(mark, TICK_DIGITS.get(mark, 0)) for mark in MARKS[1:])]
    )
    ax.set_xlim(0.4 * LEAST, 20.0)
    ax.set_yticks(range(len(groups)), groups)
    ax.set_ylim(len(groups) - 0.4, -0.6)
    style.dress(ax, notation, grid="x")
    ax.tick_params(axis="y", labelsize=style.TEXT_POINTS, labelcolor=style.INK)
    style.key(ax, ax.lines)
    style.title(ax, "How far off", "greatest error of each claim, of what is expected")
    return ax


def claims_by_group_sentence(table: pd.DataFrame, notation: Notation = PLAIN) -> str:
    """What `claims_by_group` shows."""
    tried = table.dropna(subset=["naive_error"])
    worse = int((tried["naive_error"].astype(float) > tried["relative_error"]).sum())
    return (
        f"Half of all claims are met to {notation.share(float(table['relative_error'].median()), 4)} or nearer. Of "
        f"{len(tried)} shortcuts that are often taken, {worse} are further off than simkit."
    )
