"""A schedule to try on every tariff in; sliders, one picture and one table that follow them out."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as w

from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.panels.picture import DOTS_PER_INCH, Picture
from simkit.panels.settings_view import SettingsView
from simkit.panels.tariffs.model import TariffTrial


class TariffTrialView(SettingsView[TariffTrial]):
    """The widgets of a schedule that is tried on every tariff."""

    def _parts(self) -> list[Any]:
        trial, table = self.model, self.model.table()
        self._picture = Picture(
            WIDTH, figure_height(len(table)),
            lambda figure: TariffArt(figure, table, currency=trial.currency, own=trial.own),
        )  # fmt: skip
        self.image = w.Image(format="png", width=round(WIDTH * DOTS_PER_INCH))
        return [self._grid(), self.image, self.words, self._foot()]

    def _draw(self) -> None:
        """Draw the picture first, then say the same in words and figures."""
        self.image.value = self._picture.png(self.model.table())
        self.words.value = f"<p>{escape(self.model.sentence)}</p>{self.model.table_html()}"
