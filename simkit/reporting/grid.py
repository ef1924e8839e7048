"""A table of text in; the same on a page, or in a terminal of any width without ever cutting a figure, out.

Words fold at their spaces; figures never do, but a range may go over two lines. Where the columns don't fit beside each
other, those of words stand in a table of their own below; where that doesn't do either, each row becomes a block: its
name, and under it each title with its cell.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from rich.cells import cell_len
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from simkit.reporting.terminal import folded, words_of

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
        """Show it as a table where the window is wide enough, else as two, else as one block for each row."""
        whole = _fitted(self, options.max_width)
        yield from [whole] if whole else _apart(self, options.max_width) or _as_blocks(self)

    def only(self, places: Sequence[int]) -> Grid:
        """Some of its columns."""
        picked = [tuple(row[place] for place in places) for row in (self.titles, *self.rows)]
        words = tuple(new for new, place in enumerate(places) if place in self.words)
        return replace(self, titles=tuple(map(str, picked[0])), rows=tuple(picked[1:]), words=words)


def _fitted(grid: Grid, width: int) -> Table | None:
    """One table: with ranges on one line each, else on two; None where it is too wide."""
    broken = replace(grid, rows=tuple(tuple(_broken(grid, row)) for row in grid.rows))
    for each in (grid, broken):
        for gap in GAPS:
            widths = column_widths(each, width, gap)
            if widths:
                return _as_table(each, widths, gap)
    return None


def _broken(grid: Grid, row: Sequence[str | Text]) -> Iterator[str | Text]:
    """A row whose ranges go over two lines."""
    for place, cell in enumerate(row):
        yield cell if place in grid.words or isinstance(cell, Text) else cell.replace(" to ", " to\n")


def _apart(grid: Grid, width: int) -> list[RenderableType]:
    """Figures in one table and words in another below it; nothing where one of them is too wide."""
    figures = [place for place in range(len(grid.titles)) if place not in grid.words]
    wordy = [place for place in grid.words if place]
    if not (figures and wordy):
        return []
    upper, lower = (_fitted(grid.only([0, *places]), width) for places in (figures, wordy))
    return [upper, Text(), lower] if upper and lower else []


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
    lines = [line for cell in free for line in str(cell).split("\n")]
    least = max(min(_longest(lines), LEAST_WORDS), _longest([word for line in lines for word in words_of(line)]))
    return max(
        _longest(str(title).split()), least, _longest([line for cell in fixed for line in str(cell).split("\n")]), 1
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
        cells = [
            Text(folded(cell, width)) if place in grid.words and isinstance(cell, str) else _text(cell)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        table.add_row(*cells, style=STRONG if strong else "")
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
