"""A flow and emitters to try in; a slider, a list for each room and the answer that follow them out."""

from __future__ import annotations

from typing import Any

from simkit.panels.rooms.model import RoomTrial
from simkit.panels.settings_view import SettingsView


class RoomTrialView(SettingsView[RoomTrial]):
    """The widgets of rooms to try."""

    def _parts(self) -> list[Any]:
        return [self.words, self.likely, self._grid(), self.image, self.tables, self.cautions, self._foot()]
