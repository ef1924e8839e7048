"""One effect after another in, a PNG of each out: one figure is made once, and only what moves is drawn again.

Axes, grids and labels are drawn into a background that is kept; a redraw restores it and draws the moving artists over
it. In a trial of 850 × 375 pixels that took a third of drawing the whole figure.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np

from simkit.figures.decide.effect import Effect, EffectArt

DOTS_PER_INCH = 112
# A palette makes the picture 17 instead of 40 kB, and is ready in 3 instead of 5 ms; no shade moves by more than 14 of
# 255 (measured). More compression takes longer than it saves on the way to a browser next door.
SHADES, COMPRESSION = 256, 1


class Picture:
    """A figure of a setting's effect that is redrawn as often as it is asked for.

    Parameters
    ----------
    effect
        What is drawn first.
    """

    def __init__(self, effect: Effect) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        from simkit.figures.decide.effect import HEIGHT, WIDTH

        figure = Figure(figsize=(WIDTH, HEIGHT), dpi=DOTS_PER_INCH)
        self._canvas: Any = FigureCanvasAgg(figure)
        self._art = EffectArt(figure, effect)
        for artist in self._art.moving:
            artist.set_animated(True)
        self._names, self._background = effect.names, None

    def png(self, effect: Effect) -> bytes:
        """Draw an effect."""
        if effect.names != self._names:
            raise ValueError("a picture keeps the names that it was made with")
        if self._art.replace(effect) or self._background is None:
            self._canvas.draw()
            self._background = self._canvas.copy_from_bbox(self._canvas.figure.bbox)
        self._canvas.restore_region(self._background)
        for artist in self._art.moving:
            self._draw(artist)
        return self._encoded()

    @staticmethod
    def _draw(artist: Any) -> None:
        artist.axes.draw_artist(artist)

    def _encoded(self) -> bytes:
        from PIL import Image

        buffer = BytesIO()
        pixels = np.ascontiguousarray(np.asarray(self._canvas.buffer_rgba())[:, :, :3])
        image = Image.fromarray(pixels).quantize(SHADES, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        image.save(buffer, "png", compress_level=COMPRESSION)
        return buffer.getvalue()
