"""Texts in; lines of a terminal out: the one place that sets up rich, so that every command looks alike.

Nothing is ever read as markup: names and messages hold square brackets, and those are printed as they stand.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

WIDEST = 124  # longer lines are hard to read, however wide the window
NAME, FIGURE, NOTE, ACCENT = "bold", "", "dim", "dark_cyan"


def console(*, stderr: bool = False) -> Console:
    """Return a console that prints text as it stands, no wider than `WIDEST`."""
    made = Console(stderr=stderr, markup=False, highlight=False, emoji=False)
    made.width = min(made.width, WIDEST)
    return made


def heading(name: str, note: str = "") -> RenderableType:
    """A name over a thin line, with a note at its right end."""
    row = Table.grid(expand=True)
    row.add_column()
    row.add_column(justify="right")
    row.add_row(Text(name, style=NAME), Text(note, style=NOTE))
    return Group(row, Rule(style=NOTE, characters="─"))


def paragraph(text: str, style: str = "") -> RenderableType:
    """A paragraph, and an empty line below it."""
    return Group(Text(text, style=style), Text())


def bullets(texts: Sequence[str], style: str = "") -> RenderableType:
    """One indented paragraph for each text, its first line hung out by a dash."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    for text in texts:
        grid.add_row(Text("–", style=style), Text(text, style=style))
    return Padding(grid, (0, 0, 0, 2))


def sections(parts: Sequence[tuple[str, str, Sequence[str]]], table: RenderableType = "") -> RenderableType:
    """Each heading with its note and sentences; a table, where there is one, at the end."""
    shown: list[RenderableType] = []
    for name, note, sentences in parts:
        shown += [heading(name, note), bullets(sentences), Text()]
    return Group(*shown, table)


def rail(low: float, middle: float, high: float, *, least: float, most: float, width: int) -> str:
    """Draw a range as a rail of characters on a scale from `least` to `most`: ``   ├───●──┤ ``."""
    if width < 3 or most <= least:
        return ""

    def place(value: float) -> int:
        return min(max(round((value - least) / (most - least) * (width - 1)), 0), width - 1)

    cells = [" "] * width
    for at in range(place(low), place(high) + 1):
        cells[at] = "─"
    cells[place(low)], cells[place(high)] = "├", "┤"
    cells[place(middle)] = "●"
    return "".join(cells)
