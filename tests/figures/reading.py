"""Artists in; what they show, as plain values, out: the figure tests look at these and never at pixels."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import StepPatch

from simkit.figures.style import contrast

PAPER = "#ffffff"


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
