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
BATTERY_AND_PANELS = """
[battery]
usable_kwh = 5.0
charge_kw = 2.5
discharge_kw = 2.5
fill_below_price = 0.2
wear_per_kwh = 0.02
coupling = "dc"

[solar]
inverter_kw = 3.0

[[solar.array]]
kwp = 4.0
tilt_deg = 38.0
azimuth_deg = 200.0
"""


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


@pytest.mark.parametrize(("sample", "panels"), [("estuary_bungalow", False), ("canal_terrace", True)])
def test_battery(tables: Tables, homes: Path, sample: str, panels: bool) -> None:
    if panels:
        path = homes / "sample_data" / sample / "case.toml"
        path.write_text(path.read_text(encoding="utf-8") + BATTERY_AND_PANELS, encoding="utf-8")
    (sizes, week), told = tables("battery", f"sample_data/{sample}", "--no-range")
    keys = {0: "usable_kwh", 1: "saving", 2: "next_kwh", 3: "after_wear", 4: "cycles"}
    rows_are(sizes, told["alone"]["sizes"], keys)
    if panels:
        rows_are(sizes, told["beside_panels"]["sizes"], {0: "usable_kwh", 5: "saving", 6: "next_kwh", 7: "after_wear"})
    days = told["coldest_week"]
    rows_are(week, days, {1: "outdoor_c", 2: "expensive_kwh", 3: "carried_kwh", 5: "import_kwh"})
    assert [row[0] for row in week.rows] == [day["date"] for day in days]


@pytest.mark.parametrize("sample", SAMPLES)
def test_measures(tables: Tables, homes: Path, sample: str) -> None:
    (rungs, *budgets), told = tables("measures", f"sample_data/{sample}", "--no-range")
    rows_are(rungs, told["rungs"], {1: "cost", 2: "alone", 3: "adds", 4: "pays_back_years", 5: "saved_so_far"})
    for grid in budgets:
        rows_are(grid, told["budgets"], {0: "budget", 1: "cost", 2: "saved"})


def test_worth(tables: Tables, homes: Path) -> None:
    made, told = tables("worth", "sample_data/estuary_bungalow", "--no-range", "--years")
    by_title = {grid.titles[0]: grid for grid in made}
    options = told["options"]
    rows_are(by_title["Option, and its rooms"], options, {1: "net_price", 3: "cost_a_year", 4: "heat_cost_per_kwh"})
    gains = next(grid for grid in made if grid.titles[:2] == ("Option", "Gain today"))
    measured = [option["was_it_worth_it"] for option in options if "was_it_worth_it" in option]
    rows_are(gains, measured, {1: "gain_today"})
    years = [grid for grid in made if grid.titles[0] == "Year"]
    for grid, option in zip(years, options, strict=True):
        rows_are(grid, option["cash"], {len(grid.titles) - 3: "total_cost", len(grid.titles) - 2: "worth_today"})
    ledgers = [grid for grid in made if grid.titles[0] == "Ledger"]
    for grid, option in zip(ledgers, [option for option in options if option["ledger"]], strict=True):
        rows_are(grid, option["ledger"], {2: "amount", 3: "running"})


def test_schedules(tables: Tables, homes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in {"LEAD_H": (1.0,), "SET_BACK_K": (0.0, 1.0), "CURVE_K": (-3.0, 0.0), "ROUNDS": 1}.items():
        monkeypatch.setattr(schedules, name, value)
    (sheet, verdict), told = tables("schedules", "sample_data/canal_terrace")
    assert [row[1] for row in sheet.rows] == [row["winter"] for row in told["settings"]]
    keys = ("cost", "space_heat_kwh", "heat_pump_kwh", "mean_room_c", "min_room_c", "degree_hours_below")
    rows_are(verdict, told["verdict"], dict(enumerate(keys, 2)))
