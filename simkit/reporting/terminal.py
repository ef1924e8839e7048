"""Texts in; lines of a terminal out: the one place that sets up rich, so that every command looks alike.

Nothing is ever read as markup: names and messages hold square brackets, and those are printed as they stand.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

WIDEST = 124  # longer lines are hard to read, however wide the window
NAME, NOTE = "bold", "dim"


def console(*, stderr: bool = False) -> Console:
    """Return a console that prints text as it stands, no wider than `WIDEST`."""
    made = Console(stderr=stderr, markup=False, highlight=False, emoji=False)
    made.width = min(made.width, WIDEST)
    return made


def bullets(texts: Sequence[str], style: str = "") -> RenderableType:
    """One indented paragraph for each text, its first line hung out by a dash."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    for text in texts:
        grid.add_row(Text("–", style=style), Text(text, style=style))
    return Padding(grid, (0, 0, 0, 2))
