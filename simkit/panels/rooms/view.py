"""A flow and emitters to try in; a slider, a list for each room, the answer and one table that follow them out."""

from __future__ import annotations

from typing import Any

import ipywidgets as w

from simkit.figures.style import number
from simkit.panels.look import answer_html, hint_html
from simkit.panels.rooms.model import RoomTrial
from simkit.panels.settings_view import SettingsView


class RoomTrialView(SettingsView[RoomTrial]):
    """The widgets of rooms to try."""

    def _parts(self) -> list[Any]:
        self.answer = w.HTML()
        return [self.answer, self.likely, self._grid(), self.words, self._foot()]

    def _draw(self) -> None:
        bill = self.model.year.bill
        self.answer.value = answer_html(f"{number(bill.total)} {bill.currency} a year", "", [self.model.sentence])
        self.words.value = self.model.table_html()

    def _sharpen(self) -> None:
        self.likely.value = hint_html(self.model.likely())
