"""Every table of every command: in windows of 40 to 200 characters no figure is cut, and each is the JSON's own.

Each command is answered once as text and once as JSON; its tables are caught on the way to the screen.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from reporting.read_back import stands_whole
from rich.console import Console, Group

import simkit.reporting.terminal
from commands.conftest import Ask
from simkit.decide.schedule import search as schedules
from simkit.reporting.grid import Grid

WIDTHS = (40, 48, 56, 64, 72, 79, 80, 88, 100, 112, 124, 160, 200)  # every one from 40 to 200 in the test of the writer
SAMPLES = ("estuary_bungalow", "canal_terrace")


class Screen:
    """Keeps what is printed instead of showing it."""

    width = 120

    def __init__(self) -> None:
        self.views: list[Any] = []

    def print(self, view: Any = "", **_: Any) -> None:
        self.views.append(view)


def grids(view: Any) -> Iterator[Grid]:
    """Every table in a view."""
    if isinstance(view, Grid):
        yield view
    elif isinstance(view, Group):
        for part in view.renderables:
            yield from grids(part)


Tables = Callable[..., tuple[list[Grid], dict[str, Any]]]


@pytest.fixture
def tables(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> Tables:
    """The tables of a command line, whole in every window, and its JSON object."""

    def asked(*words: object) -> tuple[list[Grid], dict[str, Any]]:
        told = json.loads(ask(*words, "--json").out)
        screen = Screen()
        monkeypatch.setattr(
            simkit.reporting.terminal, "console", lambda *, stderr=False: Console(stderr=True) if stderr else screen
        )
        assert ask(*words).code == 0
        made = [grid for view in screen.views for grid in grids(view)]
        for grid in made:
            for width in WIDTHS:
                assert stands_whole(grid, width), f"{words[0]}, {width} wide: {grid.titles}"
        return made, told

    return asked


def same(cell: object, value: float | None) -> None:
    """A shown figure is the JSON's, rounded to the digits that are shown."""
    text = str(cell).split("\n")[0]
    found = re.search(r"(\d[\d,]*)(\.\d+)?", text)
    if found is None or value is None:
        assert value is None or round(value) == 0 or text in ("at once", "is the baseline", "as much", ""), (
            text,
            value,
        )
        return
    shown = float(found.group().replace(",", "")) * (-1.0 if re.search(r"[−-]\D*\d|less$", text) else 1.0)
    size = 100.0 if "%" in text else 1.0
    half = 0.5 * 10.0 ** -(len(found.group(2) or ".") - 1)
    assert abs(shown - size * value) <= half * (1.0 + 1e-6), (text, value)


def rows_are(grid: Grid, rows: list[Mapping[str, Any]], keys: Mapping[int, str]) -> None:
    """Row by row, each of these columns holds that key."""
    assert len(grid.rows) == len(rows)
    for cells, row in zip(grid.rows, rows, strict=True):
        for column, key in keys.items():
            same(cells[column], row[key])


def test_schedules(tables: Tables, homes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {"LEAD_H": (1.0,), "SET_BACK_K": (0.0, 1.0), "CURVE_K": (-3.0, 0.0), "ROUNDS": 1}.items():
        monkeypatch.setattr(schedules, name, value)
    (sheet, verdict), told = tables("schedules", "sample_data/canal_terrace")
    assert [row[1] for row in sheet.rows] == [row["winter"] for row in told["settings"]]
    keys = ("cost", "space_heat_kwh", "heat_pump_kwh", "mean_room_c", "min_room_c", "degree_hours_below")
    rows_are(verdict, told["verdict"], dict(enumerate(keys, 2)))
