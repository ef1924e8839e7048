"""Costs of tariffs in, a PNG of each state out: one figure is made once, and only what moves is drawn again."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
import pandas as pd

from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.panels.picture import COMPRESSION, DOTS_PER_INCH, SHADES

WIDTH_PX = round(WIDTH * DOTS_PER_INCH)


class TariffPicture:
    """A figure of tariffs that is redrawn as often as it is asked for.

    Parameters
    ----------
    table
        One row by tariff: `cost_as_is`, `cost_shifted` [currency].
    currency
        ISO 4217 code.
    own
        Name of the home's own tariff.
    """

    def __init__(self, table: pd.DataFrame, *, currency: str, own: str) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        figure = Figure(figsize=(WIDTH, figure_height(len(table))), dpi=DOTS_PER_INCH)
        self._canvas: Any = FigureCanvasAgg(figure)
        self._art = TariffArt(figure, table, currency=currency, own=own)
        for artist in self._art.moving:
            artist.set_animated(True)
        self._background: Any = None

    def png(self, table: pd.DataFrame) -> bytes:
        """Draw the costs of a table with the same tariffs."""
        from PIL import Image

        if self._art.replace(table) or self._background is None:
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
