"""A case or a panel that makes one in; settings to try, the year that each makes, its table and sentence out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from simkit.answers.answer import Answer, Picture
from simkit.answers.setting import BEFORE, THIS, setting_answer
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.figures.decide.effect import HEIGHT, WIDTH, Effect, EffectArt, setting_effect, setting_effect_sentence
from simkit.panels.beside import Beside
from simkit.panels.fields import Choice, Field
from simkit.panels.flow_and_times.fields import first_settings, one_window, trial_fields
from simkit.panels.form.case import made_whole
from simkit.panels.machine import machine_picture
from simkit.panels.picture import Moving
from simkit.panels.settings import Settings, Values
from simkit.year.simulate import simulate
from simkit.year.year import Year

MOST_OTHERS = 2
PATHS = {"flow_c": "controls.design_flow_c", "night_c": "controls.setback_c", "tariff": "tariff"}


class Trial(Settings):
    """Settings of a controller that are tried on a home: flow, set-back, water heating and tariff.

    Parameters
    ----------
    start
        The case to try them on, or a panel such as the home form, whose changes are then followed.
    folder
        Beside which sample tariffs are looked for, and where a file is written; None for that of the form, or the
        current one.

    Attributes
    ----------
    year
        Year of the home with the settings.
    beside
        What it stands beside: the case as it is, and the heating that the case replaces.
    """

    file = "my_setting.toml"
    year: Year
    beside: Beside

    def __init__(self, start: Case | Settings, folder: str | Path | None = None) -> None:
        if isinstance(start, Settings):
            super().__init__(start.folder)
            self._stand(start.case)
            start.on_change(lambda: self.begin(start.case))
        else:
            super().__init__(folder)
            self._stand(start)

    def begin(self, case: Case) -> None:
        """Try the settings on another case: those that were moved stay, where that case allows them."""
        if case == self._base:  # nothing changed, or there is a fault in the form
            return
        moved = {name: value for name, value in self.values.items() if self.differs(name)}
        self._stand(case)
        self._change(self._read(moved), news=True)

    def _stand(self, case: Case) -> None:
        self._base = made_whole(case)
        others = [option for _, _, option in self._base.options() if option.heat_source == "boiler"][:MOST_OTHERS]
        self.beside = Beside(simulate(self._base), tuple(simulate(other) for other in others))
        self._begin(self._fields(), self._first())
        self._work_out()

    def _fields(self) -> dict[str, Field]:
        """What can be tried on the home."""
        return trial_fields(self._base, self.folder)

    def _first(self) -> Values:
        """What those are in the home."""
        return dict(first_settings(self._base))

    def _changes(self) -> dict[str, object]:
        """What the settings change in the case, by dotted path; only what was moved."""
        changes: dict[str, object] = {path: self.values[name] for name, path in PATHS.items() if self.differs(name)}
        if self.differs("water_from", "water_hours"):
            changes["hot_water.windows"] = [one_window(self.values)]
        return changes

    def limits(self, name: str) -> str:
        """What a setting may be, in words, and what moving it does besides."""
        windows = self._base.hot_water.windows
        if name in ("water_from", "water_hours") and len(windows) > 1:
            spans = " and ".join(f"{span.start}–{span.end}" for span in windows)
            return f"{spans} in your home; moving this makes it one"
        return "" if isinstance(self.fields[name], Choice) else super().limits(name)

    def _work_out(self) -> None:
        """Simulate the setting; its own edges alone say on which step."""
        changes = self._changes()
        case = vary(self._base, changes) if changes else self._base
        self.year = self.beside.case if case is self._base else simulate(case)
        self.case = case  # not before: what is refused is not saved either

    @property
    def effect(self) -> Effect:
        """What the figure draws."""
        before, beside, steps = self.beside.case, self.beside, self.beside.cold_steps
        years = {THIS: self.year, BEFORE: before} | self._others
        return Effect(
            {name: year.bill.total for name, year in years.items()},
            self.case.notation, self.year.bill.months, before.bill.months,
            beside.cold_times,
            beside.cold_room_c(self.year), beside.cold_room_c(before), before.inputs.series["needed_c"][steps],
        )  # fmt: skip

    @property
    def held(self) -> bool:
        """Whether rooms and hot water are as warm as needed."""
        return self.year.comfort.held

    @property
    def moving(self) -> Moving:
        """Costs, coldest days and months, redrawn with every change."""
        effect = self.effect
        return Moving(WIDTH, HEIGHT, lambda figure: EffectArt(figure, effect), effect, effect.names)

    def _kept(self) -> Year:
        return self.year

    @property
    def _others(self) -> dict[str, Year]:
        return {year.case.name: year for year in self.beside.others} | self.pinned

    def answer(self, *, ranged: bool = False) -> Answer:
        """The setting beside the case and the heating that it replaces."""
        said = self._said(ranged=ranged)
        return replace(said, pictures=(*said.pictures, machine_picture(self.year)) if ranged else said.pictures)

    def moved(self) -> Answer:
        """The setting without cautions, notes and provenance."""
        return self._said(whole=False)

    def _said(self, *, ranged: bool = False, whole: bool = True) -> Answer:
        return setting_answer(self.year, self.beside.case, self._others, self._picture(), ranged=ranged, whole=whole)

    def _picture(self) -> Picture:
        effect = self.effect
        return Picture("effect", lambda figure: setting_effect(effect, figure=figure), setting_effect_sentence(effect))
