"""A schedule to try on every tariff in; sliders, one picture and the answer that follow them out."""

from __future__ import annotations

from simkit.answers.answer import Answer
from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.panels.picture import Picture
from simkit.panels.settings_view import SettingsView
from simkit.panels.tariffs.model import TariffTrial


class TariffTrialView(SettingsView[TariffTrial]):
    """The widgets of a schedule that is tried on every tariff."""

    _drawn: Picture | None = None

    def _picture(self, answer: Answer) -> bytes:
        table, trial = self.model.costs_table(), self.model
        if self._drawn is None:
            self._drawn = Picture(
                WIDTH, figure_height(len(table)),
                lambda figure: TariffArt(figure, table, notation=answer.notation, own=trial.own),
            )  # fmt: skip
        return self._drawn.png(table)
