"""A table of text in; the same on a page, or in a terminal of any width without ever cutting a figure, out.

Words fold at their spaces; figures never do. Where the columns don't fit beside each other each row becomes a block:
its name, and under it each title with its cell.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rich.cells import cell_len
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType

FAINT, STRONG = "dim", "bold"
GAPS = (2, 1)  # blanks between columns: two, and one before a table is turned into blocks
INDENT = 2
LEAST_WORDS = 16  # a column of words is no narrower, unless all it holds is


@dataclass(frozen=True)
class Grid:
    """A table of text.

    Attributes
    ----------
    titles
        One for each column; the first column names the rows.
    rows
        Cells, as many as titles; a cell may have several lines.
    total
        Whether the last row is a total.
    words
        Which columns hold words, flush left and free to fold; the others hold figures.
    """

    titles: tuple[str, ...]
    rows: tuple[tuple[str | Text, ...], ...]
    total: bool = False
    words: tuple[int, ...] = (0,)

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Show it as a table where the window is wide enough, else as one block for each row."""
        for gap in GAPS:
            widths = column_widths(self, options.max_width, gap)
            if widths:
                yield _as_table(self, widths, gap)
                return
        yield from _as_blocks(self)


def column_widths(grid: Grid, width: int, gap: int) -> list[int]:
    """Width of each column beside the others [characters]; none where they don't fit."""
    columns = list(zip(grid.titles, *grid.rows, strict=True))
    whole = [max(_longest(str(cell).split("\n")) for cell in column) for column in columns]
    widths = [_least(column, place in grid.words) for place, column in enumerate(columns)]
    for _ in range(width - sum(widths) - gap * (len(columns) - 1)):  # to the column that lacks most
        lacks = [most - now for most, now in zip(whole, widths, strict=True)]
        if max(lacks) > 0:
            widths[lacks.index(max(lacks))] += 1
    return widths if sum(widths) + gap * (len(columns) - 1) <= width else []


def _least(column: Sequence[str | Text], words: bool) -> int:
    """Least width of a column: a title folds at its spaces, words fold down to `LEAST_WORDS`, figures not at all."""
    title, *cells = column
    fixed = [cell for cell in cells if not words or (isinstance(cell, Text) and cell.no_wrap)]
    free = [cell for cell in cells if words]
    folded = min(_longest([line for cell in free for line in str(cell).split("\n")]), LEAST_WORDS)
    folded = max(folded, _longest([word for cell in free for word in str(cell).split()]))
    return max(
        _longest(str(title).split()), folded, _longest([line for cell in fixed for line in str(cell).split("\n")]), 1
    )


def _longest(texts: Iterable[str]) -> int:
    return max((cell_len(text) for text in texts), default=0)


def _as_table(grid: Grid, widths: Sequence[int], gap: int) -> Table:
    table = Table(box=None, padding=(0, gap, 0, 0), pad_edge=False, header_style=FAINT)
    table.show_header = any(grid.titles)
    for place, (title, width) in enumerate(zip(grid.titles, widths, strict=True)):
        side: Literal["left", "right"] = "left" if place in grid.words else "right"
        table.add_column(Text(title), justify=side, overflow="fold", width=width)
    apart = any("\n" in str(cell) for row in grid.rows for cell in row)
    for number, row in enumerate(grid.rows):
        if apart and number:
            table.add_row()
        strong = grid.total and row is grid.rows[-1]
        table.add_row(*(_text(cell) for cell in row), style=STRONG if strong else "")
    return table


def _as_blocks(grid: Grid) -> Iterator[RenderableType]:
    for name, *cells in grid.rows:
        yield _text(name, STRONG)
        for title, cell in zip(grid.titles[1:], cells, strict=True):
            line = Text(", ").join(_text(cell).split("\n"))
            if line:
                yield Padding(Text.assemble((f"{title}: " if title else "", FAINT), line), (0, 0, 0, INDENT))


def _text(cell: str | Text, style: str = "") -> Text:
    return cell if isinstance(cell, Text) else Text(cell, style=style)
