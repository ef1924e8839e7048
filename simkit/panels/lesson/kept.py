"""What a pupil typed in; the file beside the notebook that keeps it when all cells run anew, out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from simkit.panels.fields import Value

FILE = "my_lesson.json"


class Kept:
    """What stands in the boxes of a notebook, by pupil.

    Parameters
    ----------
    folder
        Where the file is.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        self._held: dict[str, Any] = self._read()

    def of(self, pupil: str) -> dict[str, Value]:
        """What a pupil typed, by key of the exercise."""
        held = self._held.get(pupil)
        return {
            key: one
            for key, one in (held if isinstance(held, dict) else {}).items()
            if isinstance(one, int | float | str)
        }

    def keep(self, pupil: str, values: dict[str, Value | None]) -> None:
        """Keep values of a pupil beside those that are there; a folder that can't be written in keeps none."""
        together = self.of(pupil) | values
        self._held[pupil] = {key: one for key, one in together.items() if one is not None}
        try:
            self.path.write_text(json.dumps(self._held, indent=1), encoding="utf-8")
        except OSError:
            return

    def _read(self) -> dict[str, Any]:
        """The file; nothing where there is none, or where it was broken by hand."""
        try:
            held = json.loads(self.path.read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return {}
        return held if isinstance(held, dict) else {}
