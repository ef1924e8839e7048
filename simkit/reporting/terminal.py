"""Texts in; lines of a terminal out: the one place that sets up rich, so that every command looks alike.

Nothing is ever read as markup: names and messages hold square brackets, and those are printed as they stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import IO

from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from simkit.notation import UNIT

NARROWEST = 40  # a window that says it is narrower (COLUMNS=0) is told in lines of this width
WIDEST = 124  # longer lines are hard to read, however wide the window
NAME, NOTE = "bold", "dim"
HELD = "\ue000"  # stands for such a space while lines are broken


@dataclass(frozen=True)
class Prose:
    """A text that breaks at plain spaces only, never between a number and its unit."""

    text: str
    style: str = ""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Show it as wide as the window."""
        yield Text(folded(self.text, options.max_width), style=self.style)


def console(*, stderr: bool = False, file: IO[str] | None = None) -> Console:
    """Return a console that prints text as it stands, no wider than `WIDEST`; into a file without any styles."""
    plain = None if file is None else False  # a notebook asks for colours that a text must not hold
    made = Console(
        stderr=stderr, file=file, markup=False, highlight=False, emoji=False, force_jupyter=plain, force_terminal=plain
    )
    made.width = max(NARROWEST, min(made.width, WIDEST))
    return made


def bullets(texts: Sequence[str], style: str = "") -> RenderableType:
    """One indented paragraph for each text, its first line hung out by a dash."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    for text in texts:
        grid.add_row(Text("–", style=style), Prose(text, style))
    return Padding(grid, (0, 0, 0, 2))


def words_of(text: str) -> list[str]:
    """The pieces of a text that no line may break, a number with its unit as one."""
    return [word.replace(HELD, " ") for word in UNIT.sub(HELD, text).split(" ")]


def folded(text: str, width: int) -> str:
    """A text in lines of at most `width` characters, broken between `words_of` it."""
    lines = [line for part in text.split("\n") for line in wrap(UNIT.sub(HELD, part), width, break_on_hyphens=False)]
    return "\n".join(lines).replace(HELD, " ")
