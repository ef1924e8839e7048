"""Rooms with the flow they need over the outdoor range in; one small picture a room, and the sentence, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ACROSS = 3
WIDTH, BOX_W, BOX_H, GAP_W, GAP_H = 7.6, 1.95, 1.3, 0.4, 0.75  # [in]
LEFT, TOP, BOTTOM = 0.75, 1.1, 0.6
SHORT_K = 0.05


def room_flows(
    flows: pd.DataFrame,
    rooms: pd.DataFrame,
    sent_c: pd.Series,
    *,
    notation: Notation = PLAIN,
    figure: Figure | None = None,
) -> list[Axes]:
    """Draw, room by room, the flow it needs against outdoors beside the flow that is sent.

    Parameters
    ----------
    flows
        Flow needed [°C]: index outdoor temperature, one column by room.
    rooms
        One row by room, in the same order: `needed_c`, `design_c` (temperature it settles at on the design day).
    sent_c
        Flow that the curve sends, index outdoor temperature [°C].
    notation
        How numbers are written.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        One by room, the room that needs the hottest water first.
    """
    need(rooms, ["needed_c", "design_c"], "rooms")
    missing = [name for name in flows.columns if name not in rooms.index]
    if missing:
        raise CaseError(
            Fault("rooms", f'"{missing[0]}"', "has a flow but no row of its own", "Pass every room in both")
        )
    order = flows.iloc[flows.index.argmin()].sort_values(ascending=False).index
    axes = _boxes(len(order), figure)
    low, high = 20.0, float(max(flows.to_numpy().max(), sent_c.max())) * 1.03
    for number, (ax, name) in enumerate(zip(axes, order, strict=True)):
        _one(ax, flows[name], sent_c, rooms.loc[name], str(name), notation=notation)
        ax.set_ylim(low, high)
        if number % ACROSS:
            ax.set_yticklabels([])
        else:
            ax.set_ylabel("Flow [°C]", **style.NOTE)
    last = axes[max(0, len(axes) - ACROSS) :]
    for ax in last:
        style.foot(ax, notation.axis("outdoor_c"))
    note = "full: flow needed, dashed: flow sent, shaded: too cool"
    end = 1 + (min(len(axes), ACROSS) - 1) * (BOX_W + GAP_W) / BOX_W
    style.title(axes[0], "Which room needs the hottest water", note, up=0.55, note_at=end)
    return axes


def room_flows_sentence(
    flows: pd.DataFrame, rooms: pd.DataFrame, sent_c: pd.Series, *, notation: Notation = PLAIN
) -> str:
    """Say in one sentence what `room_flows` shows."""
    cold = flows.index.min()
    needed = flows.loc[cold].sort_values(ascending=False)
    sent = float(np.interp(cold, sent_c.index, sent_c.to_numpy()))
    short = rooms[rooms["needed_c"] - rooms["design_c"] > SHORT_K]
    hottest = notation.number(needed.iloc[0], 1)
    text = f"At {notation.number(cold)} °C {needed.index[0]} needs the hottest water, {hottest} °C"
    if len(needed) > 1:
        text += f", then {needed.index[1]} with {notation.number(needed.iloc[1], 1)} °C"
    text += f"; {notation.number(sent, 1)} °C are sent"
    if short.empty:
        return f"{text}, and every room is as warm as needed."
    return f"{text}, and {', '.join(str(name) for name in short.index)} stay{'s' if len(short) == 1 else ''} too cool."


def _boxes(count: int, figure: Figure | None) -> list[Axes]:
    rows = -(-count // ACROSS)
    height = TOP + rows * BOX_H + (rows - 1) * GAP_H + BOTTOM
    figure = style.blank(WIDTH, height, figure)
    found = []
    for number in range(count):
        row, column = divmod(number, ACROSS)
        left = (LEFT + column * (BOX_W + GAP_W)) / WIDTH
        bottom = (height - TOP - BOX_H - row * (BOX_H + GAP_H)) / height
        found.append(figure.add_axes((left, bottom, BOX_W / WIDTH, BOX_H / height)))
    return found


def _one(ax: Axes, needed: pd.Series, sent: pd.Series, room: pd.Series, name: str, *, notation: Notation) -> None:
    """One room: its flow, the curve, and where the curve is too cool for it."""
    x = needed.index.to_numpy(dtype=np.float64)
    curve = np.interp(x, sent.index.to_numpy(dtype=np.float64), sent.to_numpy())
    ax.plot(x, needed, color=style.ROOM, linewidth=1.8, label="needed")
    ax.plot(x, curve, color=style.INK, linewidth=1.2, linestyle="--", label="sent")
    cool = needed.to_numpy() > curve + SHORT_K
    ax.fill_between(x, curve, needed, where=cool, color=style.ROOM, alpha=0.25, linewidth=0)
    ax.set_xlim(x.min(), x.max())
    style.dress(ax, notation, grid="both")
    short = float(room["needed_c"] - room["design_c"])
    place = "warm enough"
    if short > SHORT_K:
        place = f"comes to {notation.number(room['design_c'], 1)} of {notation.number(room['needed_c'], 1)} °C"
    ax.text(0, 1.18, name, transform=ax.transAxes, va="bottom", gid="room", **style.LABEL)
    ax.text(0, 1.03, place, transform=ax.transAxes, va="bottom", gid="verdict", **style.NOTE)
