"""Costs of tariffs in; one figure of bars that is made once and then only moved, out: for a picture that is dragged.

Tariffs keep their rows, so that the eye can follow a bar. Axes, names and marks stand still; bars, amounts and the mark
of the cheapest move.
"""

from __future__ import annotations

from textwrap import shorten, wrap
from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.figures import style
from simkit.notation import Notation

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH, HEIGHT = 7.6, 0.42  # width of the figure, height of a row [in]
TOP, BOTTOM = 0.42, 0.5  # white space above and below the rows [in]
NAMES, BARS = 2.0, 3.3  # widths of names and bars [in]
LETTERS = 21  # of a line of a name, in that width
ROOM = 1.12  # how far the axis goes beyond the highest cost


class TariffArt:
    """Bars of what each tariff costs with some settings, over marks of what it costs as it is.

    Attributes
    ----------
    moving
        The artists that `replace` changes, in drawing order.
    """

    def __init__(self, figure: Figure, table: pd.DataFrame, *, notation: Notation, own: str) -> None:
        """Draw what stands still on an empty figure.

        Parameters
        ----------
        figure
            An empty figure.
        table
            One row by tariff: `cost_as_is`, `cost_shifted` [currency].
        notation
            How numbers and amounts are written.
        own
            Name of the home's own tariff.
        """
        self.notation = notation
        self.names = [str(name) for name in table.index]
        rows, high = range(len(table)), figure_height(len(table))
        figure.set_facecolor(style.PAPER)
        box = (NAMES / WIDTH, BOTTOM / high, BARS / WIDTH, HEIGHT * len(table) / high)
        ax: Any = figure.add_axes(box)
        self.ax = ax
        ax.set_ylim(len(table) - 0.5, -0.5)
        ax.set_yticks(rows, labels=[lines(f"{name} (yours)" if name == own else name) for name in self.names])
        style.dress(ax, notation, grid="x")
        ax.tick_params(axis="y", labelcolor=style.INK, labelsize=style.TEXT_POINTS)
        style.foot(ax, notation.axis("year_cost"))
        look: Any = {"height": 0.56, "color": style.MONEY, "edgecolor": style.INK, "linewidth": 0.6}
        self.bars = ax.barh(rows, [1.0] * len(table), **look)
        as_is = [float(table.at[name, "cost_as_is"]) for name in self.names]
        mark: Any = {"linestyle": "", "marker": "|", "markersize": 15, "markeredgewidth": 1.8, "color": style.ROOM}
        (self.marks,) = ax.plot(as_is, rows, **mark)
        beside = ax.get_yaxis_transform()
        self.amounts = [ax.text(1.02, row, "", transform=beside, va="center", **style.LABEL) for row in rows]
        self.best = ax.text(0.012, 0, "cheapest", transform=beside, va="center", fontsize=style.NOTE_POINTS)
        self.best.set_color(style.text_on(style.MONEY))
        style.title(ax, "What a year costs with these settings", "mark: as it is now", up=0.1, note_at=1.65)
        self.moving = [*self.bars, self.marks, *self.amounts, self.best]
        self.replace(table)

    def replace(self, table: pd.DataFrame) -> bool:
        """Move the bars and write the amounts; whether what stands still must be drawn again."""
        as_is, shifted = table["cost_as_is"].to_dict(), table["cost_shifted"].to_dict()
        best = min(shifted, key=shifted.__getitem__)
        for row, (name, bar, text) in enumerate(zip(self.names, self.bars, self.amounts, strict=True)):
            cost = shifted[name]
            more = cost - as_is[name]
            bar.set_width(cost)
            aside = f"   {self.notation.more_or_less(more)}" if abs(more) >= 0.5 else ""
            text.set_text(f"{self.notation.money(cost)}{aside}")
            if name == best:
                self.best.set_y(row)
        most = max(*as_is.values(), *shifted.values())
        if most <= self.ax.get_xlim()[1] and self.ax.get_xlim()[1] > 1.0:
            return False
        self.ax.set_xlim(0, most * ROOM or 1.0)
        return True


def lines(name: str) -> str:
    """A name in the room that there is: two lines at most."""
    first, *more = wrap(name, LETTERS)
    return "\n".join([first, *([shorten(" ".join(more), LETTERS, placeholder=" …")] if more else [])])


def figure_height(rows: int) -> float:
    """Height of the figure for so many tariffs [in]."""
    return TOP + HEIGHT * rows + BOTTOM
