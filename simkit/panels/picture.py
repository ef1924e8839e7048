"""One state after another in, a PNG of each out: one figure is made once, and only what moves is drawn again.

Axes, grids and labels are drawn into a background that is kept; a redraw restores it and draws the moving artists over
it. In a trial of 850 × 375 pixels that took a third of drawing the whole figure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 112
# A palette makes the picture 17 instead of 40 kB, and is ready in 3 instead of 5 ms; no shade moves by more than 14 of
# 255 (measured). More compression takes longer than it saves on the way to a browser next door.
SHADES, COMPRESSION = 256, 1


@dataclass(frozen=True, eq=False)
class Moving:
    """What a panel draws anew with every change.

    Attributes
    ----------
    width, height
        Size [in].
    make
        Makes every artist on an empty figure; see `Picture`.
    state
        What is to be drawn now.
    key
        What the artists were made for: another key needs other artists.
    """

    width: float
    height: float
    make: Callable[[Figure], Any]
    state: Any
    key: object = None


class Picture:
    """A figure that is redrawn as often as it is asked for.

    Parameters
    ----------
    width, height
        Size of the figure [in].
    art
        Given the empty figure, makes every artist of it; its `moving` are the artists that its `replace` changes, which
        says whether a scale had to move as well.
    """

    def __init__(self, width: float, height: float, art: Callable[[Figure], Any]) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        figure = Figure(figsize=(width, height), dpi=DOTS_PER_INCH)
        self._canvas: Any = FigureCanvasAgg(figure)
        self._art = art(figure)
        for artist in self._art.moving:
            artist.set_animated(True)
        self._background: Any = None

    def png(self, state: Any) -> bytes:
        """Draw a state."""
        from PIL import Image

        if self._art.replace(state) or self._background is None:
            self._canvas.draw()
            self._background = self._canvas.copy_from_bbox(self._canvas.figure.bbox)
        self._canvas.restore_region(self._background)
        for artist in self._art.moving:
            artist.axes.draw_artist(artist)
        pixels = np.ascontiguousarray(np.asarray(self._canvas.buffer_rgba())[:, :, :3])
        image = Image.fromarray(pixels).quantize(SHADES, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        buffer = BytesIO()
        image.save(buffer, "png", compress_level=COMPRESSION)
        return buffer.getvalue()
