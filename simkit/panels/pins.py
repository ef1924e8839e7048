"""Settings in; those that somebody wants to keep beside the moving ones, with what they made, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from simkit.answers.answer import Answer
from simkit.panels.fields import Value
from simkit.panels.writing import Written

Values = dict[str, Value | None]
PIN_NAMES = ("A", "B", "C")


@dataclass(frozen=True, eq=False)
class Pin:
    """A setting that stays beside the moving one: what was moved, what it comes to in words, and what it made."""

    name: str
    told: str
    said: str
    values: Values
    made: Any


class Pinning:
    """Up to three settings stay beside the moving one.

    Attributes
    ----------
    pins
        Those that are kept.
    values
        The moving one.
    """

    pins: tuple[Pin, ...] = ()
    values: Values

    def set_all(self, given: Mapping[str, object]) -> None:
        """Take other values."""
        raise NotImplementedError

    def moved(self) -> Answer:
        """What the settings come to while they move."""
        raise NotImplementedError

    @property
    def sentences(self) -> tuple[str, ...]:
        """What they come to, in words."""
        return self.moved().sentences

    def told(self) -> str:
        """What was moved, in a few words."""
        raise NotImplementedError

    def pin(self) -> Written | None:
        """Keep the settings beside the moving ones, in the answer too; three at most."""
        free = [name for name in PIN_NAMES if name not in {pin.name for pin in self.pins}]
        if not free:
            return Written(None, f"{len(PIN_NAMES)} settings are pinned already. Drop one first.")
        self.pins = (
            *self.pins,
            Pin(free[0], self.told() or "as it is", self.sentences[0], dict(self.values), self._kept()),
        )
        return None

    def unpin(self, name: str, back: bool = False) -> None:
        """Let a pinned setting go; with `back` go back to it first."""
        for pin in self.pins:
            if pin.name == name and back:
                self.set_all({key: value for key, value in pin.values.items() if value is not None})
        self.pins = tuple(pin for pin in self.pins if pin.name != name)

    def _kept(self) -> Any:
        """What an answer needs of a setting that is pinned."""
        return None

    @property
    def pinned(self) -> dict[str, Any]:
        """What was made of every pinned setting, by the name it is called in words."""
        return {f"Pinned {pin.name}": pin.made for pin in self.pins}
