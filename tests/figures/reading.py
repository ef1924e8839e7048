"""Artists in; what they show, as plain values, out: the figure tests look at these and never at pixels."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import StepPatch
from matplotlib.text import Text

from simkit.figures.style import contrast

PAPER = "#ffffff"
CLOSE = 6.0  # dots of a hundredth of an inch: boxes of text hold white space above and below their letters


def texts(ax: Axes, gid: str) -> list[str]:
    """Texts of one kind, in drawing order."""
    return [text.get_text() for text in ax.texts if text.get_gid() == gid]


def steps(ax: Axes, label: str) -> Any:
    """Values, edges and baseline of a stepped series; fails when it was not drawn."""
    found = [patch for patch in ax.patches if isinstance(patch, StepPatch) and patch.get_label() == label]
    assert len(found) == 1, f"{label} was drawn {len(found)} times"
    return found[0].get_data()


def drawn(ax: Axes) -> list[str]:
    """Labels of the stepped series and lines that carry a name."""
    names = [str(artist.get_label()) for artist in [*ax.patches, *ax.lines]]
    return [name for name in dict.fromkeys(names) if name and not name.startswith("_")]


def line(ax: Axes, label: str) -> np.ndarray:
    """Heights of a named line."""
    (found,) = [artist for artist in ax.lines if artist.get_label() == label]
    return np.asarray(found.get_ydata())


def assert_legible(ax: Axes) -> None:
    """Every text that stands on paper has a contrast of 4.5 or more (WCAG 2.1, 1.4.3)."""
    on_paper = [text for text in ax.texts if text.get_gid() not in ("part", "price")]
    for text in [*on_paper, ax.xaxis.label, ax.yaxis.label]:
        if text.get_text():
            assert contrast(str(text.get_color()), PAPER) >= 4.5, text.get_text()


def clashes(figure: Any) -> list[str]:
    """Texts of a drawn figure that lie on each other or leave it; ticks outside an axis are not drawn."""
    renderer = figure.canvas.get_renderer()
    hidden = {
        id(label)
        for ax in figure.axes
        for axis in (ax.xaxis, ax.yaxis)
        for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks())
        for label in (tick.label1, tick.label2)
        if not min(axis.get_view_interval()) - 1e-9 <= tick.get_loc() <= max(axis.get_view_interval()) + 1e-9
    }
    shown = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in shown if id(text) not in hidden]
    page = figure.bbox
    found = [
        f"{text!r} is cut" for text, box in boxes
        if box.x0 < -1 or box.y0 < -1 or box.x1 > page.width + 1 or box.y1 > page.height + 1
    ]  # fmt: skip
    for (one, here), (other, there) in itertools.combinations(boxes, 2):
        across = min(here.x1, there.x1) - max(here.x0, there.x0)
        high = min(here.y1, there.y1) - max(here.y0, there.y0)
        if across > CLOSE and high > CLOSE and one != other:
            found.append(f"{one!r} lies on {other!r}")
    return found
