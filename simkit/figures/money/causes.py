"""Amounts by cause in; a stair from the one year's cost to the other's, and the sentence that says it, out."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ROW_INCHES = 0.4
SHEET = style.Sheet(width=7.6, left=0.3, right=0.3, top=0.62)
BAR_HEIGHT = 0.5
ROOM = 0.34  # of the width of all steps, kept free at either side for what is written beside them
WIDEST = 44  # letters of a name in one line
MORE, LESS = style.MONEY, style.STANDING  # dark costs more, light less: a grey print tells them apart


def cause_steps(
    causes: pd.DataFrame, *, start: float, names: tuple[str, str], notation: Notation = PLAIN, ax: Axes | None = None
) -> Axes:
    """Draw the causes of a difference as a stair that leads from one cost to the other.

    Parameters
    ----------
    causes
        One row by cause, in the order drawn, with `cause_amount` [currency].
    start
        Cost of the first [currency]; that of the second is this with all causes.
    names
        What the two are called.
    notation
        How amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(causes, ["cause_amount"], "causes")
    amounts = [float(amount) for amount in causes["cause_amount"]]
    ax = ax or SHEET.axes([ROW_INCHES * (len(amounts) + 2)])[0]
    at, levels = start, [start]
    for row, (cause, amount) in enumerate(zip(causes.index, amounts, strict=True), start=1):
        _step(ax, row, at, amount, (str(cause), notation.more_or_less(amount)))
        at += amount
        levels.append(at)
    for row, level in enumerate(levels):
        ax.plot([level, level], [row, row + 1], color=style.MUTED, linewidth=0.8, zorder=1, gid="joint")
    wide = max(max(levels) - min(levels), 1.0)
    middle = (min(levels) + max(levels)) / 2
    for row, level, name in ((0, start, names[0]), (len(amounts) + 1, at, names[1])):
        _post(ax, row, level, f"{name}, {notation.money(level)}", -8 if level > middle else 8)
    ax.set_xlim(min(levels) - ROOM * wide, max(levels) + ROOM * wide)
    ax.set_ylim(len(amounts) + 1.6, -0.6)
    style.dress(ax, notation, grid="x")
    ax.set_yticks([])
    style.foot(ax, notation.axis("year_cost"))
    style.title(ax, "Why it costs more or less", up=0.18)
    return ax


def cause_steps_sentence(
    causes: pd.DataFrame, *, start: float, names: tuple[str, str], notation: Notation = PLAIN
) -> str:
    """Say in one sentence what `cause_steps` shows: the way from one cost to the other, largest causes first."""
    ordered = causes["cause_amount"].sort_values(key=abs, ascending=False)
    told = [f"{cause} {notation.more_or_less(amount)}" for cause, amount in ordered.items() if round(abs(amount))]
    end = start + float(causes["cause_amount"].sum())
    way = f"From {notation.money(start)} ({names[0]}) to {notation.money(end)} ({names[1]}) a year"
    return f"{way}: {', '.join(told)}." if told else f"{way}: nothing moves it."


def _post(ax: Axes, row: int, level: float, text: str, points: int) -> None:
    """Mark one of the two costs, and name it on the side that has room."""
    ax.plot([level], [row], marker="D", markersize=5.5, color=style.INK, linestyle="", zorder=3, gid="post")
    _beside(ax, (level, row), points, fill(text, WIDEST), style.LABEL | {"gid": "post name"})


def _step(ax: Axes, row: int, at: float, amount: float, words: tuple[str, str]) -> None:
    """One step: its bar from where the last one ended, the cause at its beginning and the amount at its end."""
    look: Any = {"edgecolor": style.INK, "linewidth": 0.7, "zorder": 2, "label": words[0]}
    ax.barh(row, amount, left=at, height=BAR_HEIGHT, color=MORE if amount > 0 else LESS, **look)
    away = 6 if amount > 0 else -6
    _beside(ax, (at, row), -away, words[0], style.FIGURE | {"gid": "cause"})
    _beside(ax, (at + amount, row), away, words[1], style.FIGURE | {"gid": "amount"})


def _beside(ax: Axes, place: tuple[float, float], points: int, text: str, voice: dict[str, Any]) -> None:
    """Write beside a place, so many points to its right, or to its left where they are negative."""
    side: Any = {"ha": "left" if points > 0 else "right", "va": "center"}
    ax.annotate(text, place, xytext=(points, 0), textcoords="offset points", **side, **voice)
