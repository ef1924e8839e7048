"""Settings to try in; sliders, number boxes, one picture and the answer that follow them out."""

from __future__ import annotations

from simkit.answers.answer import Answer
from simkit.figures.decide.effect import HEIGHT, WIDTH, EffectArt
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.picture import Picture
from simkit.panels.settings_view import SettingsView


class TrialView(SettingsView[Trial]):
    """The widgets of settings to try."""

    _names: tuple[str, ...] = ()

    def _picture(self, answer: Answer) -> bytes:
        effect = self.model.effect
        if effect.names != self._names:  # another home: the bars have other names
            self._drawn = Picture(WIDTH, HEIGHT, lambda figure: EffectArt(figure, effect))
            self._names = effect.names
        return self._drawn.png(effect)
