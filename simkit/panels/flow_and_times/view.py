"""Settings to try in; sliders, number boxes, one picture and one table that follow them out."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as w

from simkit.figures.decide.effect import HEIGHT, WIDTH, EffectArt, setting_effect_sentence
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.look import hint_html
from simkit.panels.picture import DOTS_PER_INCH, Picture
from simkit.panels.settings_view import SettingsView


class TrialView(SettingsView[Trial]):
    """The widgets of settings to try."""

    def _parts(self) -> list[Any]:
        self.image = w.Image(format="png", width=round(WIDTH * DOTS_PER_INCH))
        self._names: tuple[str, ...] = ()
        return [self._grid(), self.image, self.words, self.likely, self._foot()]

    def _draw(self) -> None:
        """Draw the picture first, then say the same in words and figures."""
        effect = self.model.effect
        if effect.names != self._names:  # another home: the bars have other names
            self._picture = Picture(WIDTH, HEIGHT, lambda figure: EffectArt(figure, effect))
            self._names = effect.names
        self.image.value = self._picture.png(effect)
        self.words.value = f"<p>{escape(setting_effect_sentence(effect))}</p>{self.model.table_html()}"

    def _sharpen(self) -> None:
        self.likely.value = hint_html(self.model.likely())
