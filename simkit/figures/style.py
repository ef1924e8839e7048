"""A role (what is drawn) in; its colour, and the dress of every figure, out: the one place that knows how things look.

Three rules. Text has a contrast of 4.5 or more against what it stands on (WCAG 2.1, success criterion 1.4.3). Lines are
told apart by weight and dash as well as by colour, and named where they end. Fills climb a ladder of lightness, so that
a grey print and colour-blind eyes see the same steps. Nothing here changes matplotlib's own settings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from simkit.figures.spread import spread
from simkit.notation import Notation

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAPER = "#ffffff"
INK = "#16262e"  # text, frames, capacity
MUTED = "#55646d"  # second voice: units, notes, ticks
RULE = "#d8dee1"  # grid and base lines

# Lines, all readable as text on paper.
OUTDOOR = "#2067a6"
ROOM = "#b23a1c"
TAP = "#1d7074"
PRICE = "#6b4a8a"

# Fills, from dark to light.
MONEY = "#48606d"  # cost that is not told apart
DIRECT = "#43170c"  # back-up heater, immersion, fuel
HEAT = "#b8472a"  # heat pump, space heat
WATER = "#69a3bd"  # hot water
AIDS = "#97a1b7"  # pumps, standby, controls
CAR = "#b4be7e"
HOUSE = "#e0cb9b"
SUN = "#f3d35b"  # solar, export
STANDING = "#ebe7dc"

# Price by rank; every shade carries ink or paper text.
CHEAP_TO_EXPENSIVE = ("#efeaf4", "#d6cae4", "#b7a3cf", "#6b4a8a", "#3d2658")

# A window of 1,000 pixels shows a figure in a notebook 770 wide: ten points are then 14 pixels, as the text beside it.
NAME_POINTS = 11.0
TEXT_POINTS = 10.0
NOTE_POINTS = 10.0

LINE_INCHES = 0.2  # from one line of text to the next
KEY_INCHES = 0.42  # what a key takes beside each name

# Voices of text: a name, a label, a number in a figure, a note.
NAME: dict[str, Any] = {"color": INK, "fontsize": NAME_POINTS, "fontweight": "bold"}
LABEL: dict[str, Any] = {"color": INK, "fontsize": TEXT_POINTS, "fontweight": "bold"}
FIGURE: dict[str, Any] = {"color": INK, "fontsize": NOTE_POINTS}
NOTE: dict[str, Any] = {"color": MUTED, "fontsize": NOTE_POINTS}


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#rrggbb``, 0 to 1 (WCAG 2.1)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.1)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def text_on(fill: str) -> str:
    """Return ink or paper, whichever reads better on `fill`."""
    return max((INK, PAPER), key=lambda colour: contrast(colour, fill))


def within(name: str) -> str:
    """A name as it stands within a sentence: "Oil boiler" gives "oil boiler", "LPG boiler" stays."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


@dataclass(frozen=True)
class Sheet:
    """A figure measured in inches, so that type and white space are the same in every figure.

    Parameters
    ----------
    width, left, right
        Width of the whole, and the white space at either side [in].
    top, bottom, gap
        White space above the first strip, below the last, and between two [in].
    """

    width: float = 7.6
    left: float = 0.7
    right: float = 1.75
    top: float = 0.95
    bottom: float = 0.58
    gap: float = 0.52

    def axes(self, heights: Sequence[float], *, figure: Figure | None = None) -> list[Axes]:
        """Return one Axes for each height [in], top to bottom, on a new figure or on `figure`, cleared and resized."""
        total = self.top + sum(heights) + self.gap * (len(heights) - 1) + self.bottom
        figure = blank(self.width, total, figure)
        found, upper = [], total - self.top
        for height in heights:
            box = (self.left / self.width, (upper - height) / total, 1 - (self.left + self.right) / self.width)
            found.append(figure.add_axes((box[0], box[1], box[2], height / total)))
            upper -= height + self.gap
        return found


def blank(width: float, height: float, figure: Figure | None = None) -> Figure:
    """Return a new figure of this size [in], or `figure`, cleared and resized."""
    if figure is None:
        from matplotlib import pyplot

        figure = pyplot.figure(figsize=(width, height))
    else:
        figure.clear()
        figure.set_size_inches(width, height)
    figure.set_facecolor(PAPER)
    return figure


def dress(ax: Axes, notation: Notation, *, grid: Literal["x", "y", "both", ""] = "y") -> None:
    """Take away the box, keep a base line, lay a faint grid under the data; ticks in the second voice and notation."""
    for side, spine in ax.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(MUTED)
        spine.set_linewidth(0.8)
    ax.set_facecolor(PAPER)
    ax.set_axisbelow(True)
    ax.tick_params(which="both", length=0, pad=4, labelsize=NOTE_POINTS, labelcolor=MUTED)
    for axis in (ax.xaxis, ax.yaxis):
        write_ticks(axis, notation)
    ax.grid(visible=False)
    if grid:
        ax.grid(visible=True, axis=grid, color=RULE, linewidth=0.7)


def write_ticks(axis: Any, notation: Notation) -> None:
    """Write the ticks of an axis of plain numbers in a notation, with as many decimals as tell them apart."""
    from matplotlib.ticker import ScalarFormatter

    if not isinstance(axis.get_major_formatter(), ScalarFormatter):
        return  # words, times and what is written already
    plain = ScalarFormatter(useOffset=False)
    plain.set_scientific(False)
    plain.set_axis(axis)

    def written(value: float, _: object) -> str:
        plain.set_locs(axis.get_majorticklocs())
        return notation.number(value, len(plain(value).partition(".")[2]))

    axis.set_major_formatter(written)


def key(ax: Axes, handles: Sequence[Any], *, across: int = 0, **place: Any) -> int:
    """Name what is drawn above `ax`, in as many lines as it takes, or where `place` says; return how many lines."""
    figure: Any = ax.figure
    size = ax.get_position()
    wide = figure.get_figwidth() * (1 - size.x0)
    named = [KEY_INCHES + inches(str(handle.get_label()), NOTE_POINTS) for handle in handles]
    most = max(len(named), 1)
    across = across or next((n for n in range(most, 1, -1) if _across(named, n) < wide), 1)
    low = 1 + 0.2 / (figure.get_figheight() * size.height)
    look: Any = {"handlelength": 1.2, "handletextpad": 0.5, "columnspacing": 1.4, "borderpad": 0, "borderaxespad": 0}
    look |= {"frameon": False, "fontsize": NOTE_POINTS, "labelcolor": INK, "ncols": across}
    ax.legend(handles=handles, **({"loc": "lower left", "bbox_to_anchor": (0, low)} | look | place))
    return -(-most // across)


def _across(named: Sequence[float], columns: int) -> float:
    """Width of a key of so many columns, which fills them one after the other [in]."""
    rows = -(-len(named) // columns)
    return sum(max(named[first : first + rows]) for first in range(0, len(named), rows))


def inches(text: str, points: float, *, bold: bool = False) -> float:
    """About how wide a text is [in]: no figure has to be drawn to know."""
    return len(text) * points * (0.0088 if bold else 0.0078)


def patch(fill: str, label: str, **look: Any) -> Any:
    """A sample of a fill, for a key."""
    from matplotlib.patches import Patch

    drawn: dict[str, Any] = {"facecolor": fill, "edgecolor": INK, "linewidth": 0.5, "label": label}
    return Patch(**(drawn | look))


def rail(ax: Axes, at: float, low: float, middle: float, high: float) -> None:
    """Draw a likely range at height `at`, with a mark at the central figure."""
    ax.plot([low, high], [at, at], color=INK, linewidth=1.3, marker="|", markersize=6, markeredgewidth=1.3, gid="range")
    ax.plot([middle], [at], color=INK, linestyle="", marker="o", markersize=3.6)


def month_days(ax: Axes, count: int) -> None:
    """Write half a dozen dates along the x axis of `count` days."""
    from matplotlib.dates import DateFormatter, DayLocator

    ax.xaxis.set_major_locator(DayLocator(interval=max(1, count // 6)))
    ax.xaxis.set_major_formatter(DateFormatter("%d %b"))


def day_names(days: pd.DatetimeIndex) -> list[str]:
    """Names of days in a row, the month where it is new: ``Sat 8 Feb``, ``Sun 9``."""
    first = [True, *(days.month[1:] != days.month[:-1])]
    return [f"{day:%a} {day.day}{f' {day:%b}' if new else ''}" for day, new in zip(days, first, strict=True)]


def head(ax: Axes, label: str) -> None:
    """Write the y-axis label, which carries the unit, level above the axis instead of upright beside it."""
    ax.set_ylabel(label, rotation=0, ha="left", va="bottom", **LABEL)
    figure: Any = ax.figure
    ax.yaxis.set_label_coords(0.0, 1 + 0.07 / (figure.get_figheight() * ax.get_position().height))


def foot(ax: Axes, label: str, *, side: Literal["left", "right"] = "left") -> None:
    """Write the x-axis label, which carries the unit, in the second voice."""
    ax.set_xlabel(label, loc=side, **NOTE)


def title(ax: Axes, text: str, note: str = "", *, up: float = 0.48, note_at: float = 1.0) -> None:
    """Write a headline `up` inches above the top left corner of `ax`, and a note that ends at `note_at` widths.

    Where both have no room on one line, the note stands below the headline.
    """
    from matplotlib.transforms import ScaledTranslation

    figure: Any = ax.figure
    room = note_at * figure.get_figwidth() * ax.get_position().width
    if note and inches(text, NAME_POINTS, bold=True) + inches(note, NOTE_POINTS) + 0.15 > room:
        below = ax.transAxes + ScaledTranslation(0, up, figure.dpi_scale_trans)
        ax.text(0, 1, note, transform=below, va="bottom", gid="note", **NOTE)
        note, up = "", up + LINE_INCHES
    at = ax.transAxes + ScaledTranslation(0, up, figure.dpi_scale_trans)
    ax.text(0, 1, text, transform=at, va="bottom", gid="title", **NAME)
    if note:
        ax.text(note_at, 1, note, transform=at, va="bottom", ha="right", gid="note", **NOTE)


@dataclass(frozen=True)
class EndLabel:
    """A name that stands beside the end of what it names.

    Parameters
    ----------
    at
        Height of the end, in the units of the y axis.
    text
        The name.
    colour
        Colour of the line, or of the fill.
    fill
        Whether it names a fill: then a swatch carries the colour and the text is ink.
    """

    at: float
    text: str
    colour: str
    fill: bool = False


def label_ends(ax: Axes, labels: Sequence[EndLabel]) -> None:
    """Name lines and fills at the right edge of `ax`, moved apart where they would overlap."""
    from matplotlib.patches import Rectangle

    figure: Any = ax.figure
    size = ax.get_position()
    height = figure.get_figheight() * size.height
    width = figure.get_figwidth() * size.width
    low, high = ax.get_ylim()
    wanted = [min(max((label.at - low) / (high - low), 0.0), 1.0) for label in labels]
    for place, label in zip(spread(wanted, 0.19 / height, 0.0, 1.0), labels, strict=True):
        start = 1 + 0.1 / width
        if label.fill:
            swatch = (0.1 / width, 0.1 / height)
            box = Rectangle((start, place - swatch[1] / 2), *swatch, transform=ax.transAxes, clip_on=False)
            box.set(facecolor=label.colour, edgecolor=INK, linewidth=0.5)
            ax.add_artist(box)
            start += 0.16 / width
        colour = INK if label.fill else label.colour
        ax.text(
            start, place, label.text, transform=ax.transAxes, color=colour, fontsize=TEXT_POINTS, va="center", gid="end"
        )
