"""A sweep of design flows in; cost with its comfort line beneath, and the sentence that says them, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.figures.style import EndLabel
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LINES = ((style.ROOM, "-"), (style.OUTDOOR, "--"), (style.PRICE, "-."), (style.TAP, ":"))
HELD_K = 0.5  # own: a room this near to its need counts as holding it
HELD_H = 100.0  # own: hours felt cool up to which rooms are warm enough


def flow_cost(
    sweep: pd.DataFrame, *, notation: Notation = PLAIN, now_c: float | None = None, figure: Figure | None = None
) -> list[Axes]:
    """Draw what a year costs against the design flow, and beneath it how far the worst room stays short.

    Parameters
    ----------
    sweep
        Columns `design_flow_c` and `year_cost`; with `emitters` one line for each set (four at most), with
        `design_short_k` or else `cool_h` the comfort line, and with `held` where comfort holds.
    notation
        How numbers and amounts are written.
    now_c
        Design flow of today, marked [°C].
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        Cost, and comfort where it is given.
    """
    need(sweep, ["design_flow_c", "year_cost"], "cost against design flow")
    comfort = _comfort_column(sweep)
    axes = style.Sheet(right=1.9, gap=0.5).axes([2.2, 1.1] if comfort else [2.4], figure=figure)
    _lines(axes[0], sweep, "year_cost", notation)
    if comfort:
        limit = HELD_K if comfort == "design_short_k" else HELD_H
        _lines(axes[1], sweep, comfort, notation, names=False)
        axes[1].axhline(limit, color=style.INK, linewidth=0.9, linestyle="--")
        place = axes[1].get_yaxis_transform()
        axes[1].text(1.02, limit, "held below this", transform=place, va="center", gid="held", **style.FIGURE)
        for (name, rows), (colour, _) in zip(_sets(sweep), LINES, strict=False):
            flow = held_from_c(rows)
            if flow is not None:
                axes[0].plot(
                    [flow],
                    [np.interp(flow, rows["design_flow_c"], rows["year_cost"])],
                    marker="o",
                    color=colour,
                    markersize=7,
                    label=f"least that holds, {name}",
                )
    if now_c is not None:
        for ax in axes:
            ax.axvline(now_c, color=style.MUTED, linewidth=0.9)
        top = axes[0].get_xaxis_transform()
        low, high = axes[0].get_xlim()  # on the side where there is room: what it costs rises to the right
        side, by = ("left", 4) if now_c < (low + high) / 2.0 else ("right", -4)
        axes[0].annotate(
            "today", (now_c, 1.0), xycoords=top, xytext=(by, -3), textcoords="offset points", ha=side, va="top",
            gid="today", **style.NOTE,
        )  # fmt: skip
    style.foot(axes[-1], notation.axis("design_flow_c"))
    note = "dot: coolest at which comfort holds" if comfort else ""
    style.title(axes[0], "What a cooler curve saves", note)
    return axes


def flow_cost_sentence(sweep: pd.DataFrame, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `flow_cost` shows."""
    need(sweep, ["design_flow_c", "year_cost"], "cost against design flow")
    texts = []
    for name, rows in _sets(sweep):
        flow = held_from_c(rows) if _comfort_column(rows) else None
        flows = " to ".join(notation.brief(rows["design_flow_c"].iloc[place]) for place in (-1, 0))
        costs = " to ".join(notation.money(rows["year_cost"].iloc[place]) for place in (-1, 0))
        text = f"from {flows} °C the cost falls from {costs} a year"
        if flow is not None:
            text += f", and comfort holds down to {notation.number(flow, 1)} °C"
        elif _comfort_column(rows):
            text += ", and comfort holds at no flow of these"
        texts.append(f"{name}: {text}" if name else text)
    whole = "; ".join(texts)
    return f"{whole[0].upper()}{whole[1:]}."


def held_from_c(rows: pd.DataFrame) -> float | None:
    """Coolest design flow at which comfort holds [°C]; None where there is none.

    Where `held` doesn't say so, it is the flow at which no room is short by more than half a kelvin.
    """
    if "held" in rows.columns:
        flows = rows.loc[rows["held"].astype(bool), "design_flow_c"]
        return None if flows.empty else float(flows.min())
    held = rows[rows["design_short_k"] <= HELD_K]
    if held.empty:
        return None
    above = rows[rows["design_flow_c"] < held["design_flow_c"].min()]
    if above.empty:
        return float(held["design_flow_c"].iloc[0])
    last, first = above.iloc[-1], held.iloc[0]
    along = (last["design_short_k"] - HELD_K) / max(last["design_short_k"] - first["design_short_k"], 1e-9)
    return float(last["design_flow_c"] + along * (first["design_flow_c"] - last["design_flow_c"]))


def _comfort_column(sweep: pd.DataFrame) -> str:
    """The column of the comfort line; empty where there is none."""
    return next((name for name in ("design_short_k", "cool_h") if name in sweep.columns), "")


def _sets(sweep: pd.DataFrame) -> list[tuple[str, pd.DataFrame]]:
    ordered = sweep.sort_values("design_flow_c")
    if "emitters" not in ordered.columns or ordered["emitters"].nunique() == 1:
        return [("", ordered)]
    names = list(dict.fromkeys(sweep["emitters"]))
    return [(str(name), ordered[ordered["emitters"] == name]) for name in names[: len(LINES)]]


def _lines(ax: Axes, sweep: pd.DataFrame, column: str, notation: Notation, *, names: bool = True) -> None:
    """One line for each set, named at its end."""
    ends = []
    for (name, rows), (colour, dash) in zip(_sets(sweep), LINES, strict=False):
        x, y = rows["design_flow_c"], rows[column]
        held = held_from_c(rows) if _comfort_column(rows) and column == "year_cost" else None
        faint = 1.0 if held is None else 0.3
        ax.plot(x, y, color=colour, linestyle=dash, linewidth=1.8, label=name or column, alpha=faint)
        if held is not None:
            warm = [held, *x[x > held]]
            at = np.interp(warm, x, y)
            ax.plot(warm, at, color=colour, linestyle=dash, linewidth=2.0, label=f"{name} held".strip())
        ends.append(EndLabel(float(rows[column].iloc[-1]), name or "a year", colour))
    ax.set_xlim(float(sweep["design_flow_c"].min()), float(sweep["design_flow_c"].max()))
    if column != "year_cost":
        least = HELD_K if column == "design_short_k" else HELD_H
        ax.set_ylim(-0.3 * least, max(float(sweep[column].max()) * 1.05, 2.0 * least))
    style.dress(ax, notation, grid="both")
    style.head(ax, notation.axis(column))
    if names:
        style.label_ends(ax, ends)
