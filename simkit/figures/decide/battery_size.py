"""A table of battery sizes in; saving against size with its knee, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SHEET, HIGH_INCHES = style.Sheet(top=0.95, bottom=0.62), 2.4


def battery_size(
    sizes: pd.DataFrame, *, knee_kwh: float, notation: Notation = PLAIN, other: pd.DataFrame | None = None,
    names: tuple[str, str] = ("as it is", "with panels"), ax: Axes | None = None,
) -> Axes:  # fmt: skip
    """Draw the yearly saving against the usable content, the knee marked, a second home's course beside it.

    Parameters
    ----------
    sizes
        Column `saving` [currency], index the usable content [kWh].
    knee_kwh
        Size past which a further kWh saves less than half of what the best one does.
    notation
        How numbers and amounts are written.
    other, names
        The same for a second home, and what the two are called.
    ax
        Axes to draw on instead of a new figure.
    """
    need(sizes, ["saving"], "battery size")
    if ax is None:
        ax = SHEET.axes([HIGH_INCHES])[0]
    labels = []
    for frame, name, colour, dash in (
        (sizes, names[0], style.ROOM, "-"), (other, names[1], style.OUTDOOR, "--"),
    ):  # fmt: skip
        if frame is None:
            continue
        x, y = [0.0, *frame.index], [0.0, *frame["saving"]]
        ax.plot(x, y, color=colour, linewidth=1.9, linestyle=dash, marker="o", markersize=3.2, label=name)
        labels.append(style.EndLabel(float(frame["saving"].iloc[-1]), name, colour))
    if knee_kwh > 0:
        at = float(sizes["saving"].loc[knee_kwh])
        ring: dict[str, Any] = {"marker": "o", "markersize": 9, "markerfacecolor": "none", "gid": "knee"}
        ax.plot([knee_kwh], [at], markeredgecolor=style.INK, **ring)
        text = f"knee at {notation.brief(knee_kwh)} kWh"
        place: dict[str, Any] = {"xytext": (-9, 9), "textcoords": "offset points", "ha": "right"}
        ax.annotate(text, (knee_kwh, at), gid="note", **place, **style.LABEL)
    ax.axhline(0.0, color=style.MUTED, linewidth=0.7)
    ax.set_xlim(left=0.0)
    ax.locator_params(axis="x", integer=True)
    style.dress(ax, notation)
    style.head(ax, notation.in_money("Saved a year"))
    style.foot(ax, "usable content of the battery [kWh]", side="right")
    style.label_ends(ax, labels)
    style.title(ax, "What a battery saves by its size")
    return ax


def battery_size_sentence(sizes: pd.DataFrame, *, knee_kwh: float, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `battery_size` shows."""
    need(sizes, ["saving"], "battery size")
    last, knee = (notation.brief(kwh) for kwh in (float(sizes.index[-1]), knee_kwh))
    if knee_kwh <= 0:
        return f"No size up to {last} kWh saves anything."
    at, most = float(sizes["saving"].loc[knee_kwh]), float(sizes["saving"].iloc[-1])
    saved = f"A battery of {knee} kWh saves {notation.money(at)} a year"
    return f"{saved}; one of {last} kWh {notation.money(most)} a year."
