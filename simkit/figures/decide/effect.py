"""What one setting does to a year in; its cost, its coldest days and its months beside the case, in one figure, out.

The figure is made to be redrawn many times a second: `EffectArt` makes every artist once and then only replaces data.
"""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import shorten
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.notation import Notation

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text


WIDTH, HEIGHT = 7.6, 3.5  # [in]
COSTS = (0.02, 0.4, 2.1, 2.7)  # left, bottom, width and height of the axes [in]
ROOMS = (2.6, 2.06, 3.6, 1.04)
MONTHS = (2.6, 0.4, 3.6, 1.0)
NAME_LETTERS = 25
BAR, BAR_AT = 0.4, 0.22  # height of a bar and where its middle lies, in rows
MONTH_BAR, MONTH_MARK = 0.7, 0.84  # widths, in months
SHORT_K = 0.05  # less than this is not seen
ROOM_STEP_C, COST_STEPS = 1.0, 1.12
# the key of a picture stands to the right of it, from the top down
BESIDE: dict[str, Any] = {
    "loc": "upper left", "bbox_to_anchor": (1.01, 1.0), "across": 1, "handlelength": 1.2, "labelspacing": 0.5,
    "borderaxespad": 0.2,
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Effect:
    """A setting beside the case.

    Attributes
    ----------
    costs
        Cost of a year by name [currency]: the setting, the case, and what else is compared, in the order drawn.
    notation
        How numbers and amounts are written.
    months, months_before
        Cost by month with the setting and in the case, (12,) [currency].
    times
        Starts of the steps of the coldest days, in wall time, (n,).
    room_c, room_before_c, needed_c
        Room with the setting and in the case, and what is needed, (n,) [°C].
    """

    costs: dict[str, float]
    notation: Notation
    months: Floats
    months_before: Floats
    times: pd.DatetimeIndex
    room_c: Floats
    room_before_c: Floats
    needed_c: Floats

    def __post_init__(self) -> None:
        """Refuse what can't be drawn."""
        if len(self.costs) < 2:
            raise CaseError(Fault("effect", "one cost", "has nothing to stand beside", "Pass the setting and the case"))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the costs."""
        return tuple(self.costs)


def setting_effect(effect: Effect, *, figure: Figure | None = None) -> list[Axes]:
    """Draw what a setting does: the year's cost in bars, the room on the coldest days, the months.

    Parameters
    ----------
    effect
        The setting beside the case.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        Costs, rooms, months.
    """
    return EffectArt(style.blank(WIDTH, HEIGHT, figure), effect).axes


def setting_effect_sentence(effect: Effect) -> str:
    """Say in one sentence what `setting_effect` shows."""
    (name, cost), (other, before) = list(effect.costs.items())[:2]
    notation = effect.notation
    against = f"{notation.more_or_less(cost - before)} {'than' if round(cost - before) else 'as'} {style.within(other)}"
    short = float((effect.needed_c - effect.room_c).max(initial=0.0))
    rooms = "as warm as needed" if short < SHORT_K else f"up to {notation.number(short, 1)} K colder than needed"
    return f"{name}: a year costs {notation.money(cost)}, {against}; on the coldest days the rooms are {rooms}."


class EffectArt:
    """Every artist of the figure, made once; `replace` gives them other data.

    Parameters
    ----------
    figure
        An empty figure of `WIDTH` × `HEIGHT` inches.
    effect
        What is drawn first: it sets the scales.

    Attributes
    ----------
    axes
        Costs, rooms, months.
    moving
        The artists that `replace` changes, in the order in which they lie on each other.
    """

    def __init__(self, figure: Figure, effect: Effect) -> None:
        figure.set_facecolor(style.PAPER)
        boxes = [(x / WIDTH, y / HEIGHT, w / WIDTH, h / HEIGHT) for x, y, w, h in (COSTS, ROOMS, MONTHS)]
        self.axes: list[Axes] = [figure.add_axes(box) for box in boxes]
        self.moving: list[Artist] = []
        self._names, self._others = effect.names, list[float]()
        self._costs(effect)
        self._rooms(effect)
        self._months(effect)
        self.replace(effect)

    def replace(self, effect: Effect) -> bool:
        """Give every artist the data of another effect of the same names and days; True where a scale had to move."""
        if effect.names != self._names:
            raise ValueError("a picture keeps the names that it was made with")
        others = self._beside(effect)
        moved = self._scale(effect) or others
        hours = np.arange(len(effect.times))
        self._cost(0, next(iter(effect.costs.values())), effect.notation)
        self._room.set_ydata(effect.room_c)
        cold = np.minimum(effect.room_c, effect.needed_c)
        outline = np.concatenate([np.column_stack([hours, cold]), np.column_stack([hours, effect.needed_c])[::-1]])
        self._short.set_xy(outline)
        self._month_bars.set_verts(list(_boxes(effect.months, MONTH_BAR)))
        self._month_marks.set_segments(list(_boxes(effect.months_before, MONTH_MARK)[:, 1:3]))
        return moved

    def _beside(self, effect: Effect) -> bool:
        """Set what the setting stands beside, which seldom changes and is no part of what moves; True where it did."""
        others = list(effect.costs.values())[1:]
        if self._others == others and np.array_equal(self._before.get_ydata(), effect.room_before_c):
            return False
        self._others = others
        for row, cost in enumerate(others, start=1):
            self._cost(row, cost, effect.notation)
        self._before.set_ydata(effect.room_before_c)
        self._needed.set_ydata(effect.needed_c)
        return True

    def _cost(self, row: int, cost: float, notation: Notation) -> None:
        self._bars[row].set_width(cost)
        self._amounts[row].set_text(notation.money(cost))

    def _scale(self, effect: Effect) -> bool:
        """Widen a scale where the data would leave it; it never narrows, so that bars can be compared as they move."""
        costs, rooms, months = self.axes
        most = max(effect.costs.values())
        highest = max(float(effect.months.max()), float(effect.months_before.max()))
        coldest, warmest = float(effect.room_c.min()), float(max(effect.room_c.max(), effect.room_before_c.max()))
        moved = False
        if most > costs.get_xlim()[1]:
            costs.set_xlim(0, COST_STEPS * most)
            moved = True
        if highest > months.get_ylim()[1]:
            months.set_ylim(0, COST_STEPS * highest)
            moved = True
        low, high = rooms.get_ylim()
        if coldest < low or warmest > high:
            rooms.set_ylim(min(low, np.floor(coldest) - ROOM_STEP_C), max(high, np.ceil(warmest)))
            moved = True
        return moved

    def _costs(self, effect: Effect) -> None:
        ax = self.axes[0]
        style.dress(ax, effect.notation, grid="")
        ax.spines["bottom"].set_visible(False)
        ax.set_xlim(0, COST_STEPS * max(effect.costs.values()))
        ax.set_ylim(len(effect.costs) - 0.35, -0.4)
        ax.set_xticks([])
        ax.set_yticks([])
        style.head(ax, effect.notation.axis("year_cost"))
        fills = [style.MONEY, style.PAPER, *[style.STANDING] * len(effect.costs)]
        self._bars: list[Any] = []
        self._amounts: list[Any] = []
        for row, (name, fill) in enumerate(zip(effect.names, fills, strict=False)):
            ax.text(
                0, row - 0.06, shorten(name, NAME_LETTERS, placeholder=" …"), va="bottom", gid="option", **style.LABEL
            )
            bar = ax.barh(row + BAR_AT, 0.0, height=BAR, color=fill, edgecolor=style.INK, linewidth=0.7)[0]
            if row == 1:
                bar.set(edgecolor=style.OUTDOOR, linewidth=1.6)
            look = style.LABEL | {"color": style.text_on(fill)}
            self._bars.append(bar)
            inside: Any = ax.get_yaxis_transform()
            self._amounts.append(ax.text(0.025, row + BAR_AT, "", va="center", transform=inside, gid="amount", **look))
        self.moving += [self._bars[0], self._amounts[0]]

    def _rooms(self, effect: Effect) -> None:
        from matplotlib.patches import Polygon

        ax = self.axes[1]
        hours = np.arange(len(effect.times))
        zero = np.zeros(len(hours))
        self._short = Polygon(np.zeros((3, 2)), closed=True, color=style.ROOM, alpha=0.25, linewidth=0)
        ax.add_patch(self._short)
        (self._needed,) = ax.plot(hours, zero, color=style.INK, linewidth=1.0, drawstyle="steps-post", label="Needed")
        (self._before,) = ax.plot(hours, zero, color=style.OUTDOOR, linewidth=1.1, linestyle=(0, (4, 2)))
        (self._room,) = ax.plot(hours, zero, color=style.ROOM, linewidth=1.9)
        low = min(float(effect.needed_c.min()), float(effect.room_before_c.min()), float(effect.room_c.min()))
        high = max(float(effect.needed_c.max()), float(effect.room_before_c.max()), float(effect.room_c.max()))
        ax.set_ylim(np.floor(low) - 2 * ROOM_STEP_C, np.ceil(high) + ROOM_STEP_C)
        ax.set_xlim(0, len(hours) - 1)
        midnights = np.flatnonzero((effect.times.hour == 0) & (effect.times.minute == 0))
        ax.set_xticks(midnights, labels=[""] * len(midnights))
        days = style.day_names(effect.times[midnights])
        ends = np.append(midnights[1:], len(hours))
        ax.set_xticks((midnights + ends) / 2, labels=days, minor=True)
        style.dress(ax, effect.notation, grid="both")
        ax.locator_params(axis="y", nbins=4)
        style.head(ax, "Room on the coldest days [°C]")
        _stand(ax.get_xticklabels(minor=True))
        self._room.set_label(effect.names[0])
        self._before.set_label(effect.names[1])
        style.key(ax, [self._room, self._before, self._needed], **BESIDE)
        self.moving += [self._short, self._room]

    def _months(self, effect: Effect) -> None:
        from matplotlib.collections import LineCollection, PolyCollection

        ax = self.axes[2]
        self._month_bars = PolyCollection([], facecolors=style.MONEY, edgecolors=style.INK, linewidths=0.5)
        ax.add_collection(self._month_bars, autolim=False)
        self._month_marks = LineCollection([], colors=style.OUTDOOR, linewidths=1.8)
        ax.add_collection(self._month_marks, autolim=False)
        ax.set_xlim(-0.6, 11.6)
        ax.set_ylim(0, COST_STEPS * max(float(effect.months.max()), float(effect.months_before.max())))
        ax.set_xticks(range(12), labels=[calendar.month_abbr[k][0] for k in range(1, 13)])
        style.dress(ax, effect.notation, grid="y")
        ax.locator_params(axis="y", nbins=4)
        style.head(ax, effect.notation.axis("month_cost"))
        _stand(ax.get_xticklabels())
        self._month_bars.set_label(effect.names[0])
        self._month_marks.set_label(effect.names[1])
        style.key(ax, [self._month_bars, self._month_marks], **BESIDE)
        self.moving += [self._month_bars, self._month_marks]


def _boxes(heights: Floats, width: float) -> Floats:
    """Corners of a row of bars that stand on zero, (bars, 4, 2): left foot, left and right top, right foot."""
    places, zero = np.arange(len(heights)), np.zeros(len(heights))
    left, right = places - width / 2, places + width / 2
    x, y = np.array([left, left, right, right]), np.array([zero, heights, heights, zero])
    corners: Floats = np.stack([x.T, y.T], axis=2)
    return corners


def _stand(labels: Sequence[Text]) -> None:
    """Set tick labels on one base line, whatever letters they hold."""
    for label in labels:
        label.set_verticalalignment("baseline")
        label.set_y(-0.13)
