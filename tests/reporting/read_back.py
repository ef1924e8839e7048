"""A table as a terminal printed it and what it should say in; whether every cell stands whole in its row and column out.

It knows nothing of how widths are chosen: columns are told by the blanks that run down between them.
"""

from __future__ import annotations

import io
import re

from rich.console import Console

from simkit.reporting.grid import Grid


def printed(view: object, width: int) -> str:
    """What a window of that width shows."""
    out = io.StringIO()
    Console(file=out, width=width, markup=False, highlight=False, emoji=False).print(view)
    return out.getvalue()


def stands_whole(grid: Grid, width: int) -> bool:
    """Whether each cell can be read back in its own row under its own title, as one table, two or blocks."""
    text = printed(grid, width)
    lines = text.splitlines()
    whole = as_table(grid, lines) or _as_blocks(grid, text) or _as_two(grid, lines)
    return max(map(len, lines), default=0) <= width and whole


def _bare(text: object) -> str:
    return "".join(str(text).split())


def as_table(grid: Grid, lines: list[str]) -> bool:
    """Whether the lines are a table of these cells, each in its row and column."""
    expected = [[_bare(cell) for cell in row] for row in (grid.titles, *grid.rows) if any(map(str, row))]
    longest = max(map(len, lines), default=0)
    padded = [line.ljust(longest + 1) for line in lines]
    clear = [at for at in range(longest + 1) if all(line[at] == " " for line in padded)]
    edges = [0]
    for column in zip(*expected, strict=True):
        ends = [
            at
            for at in clear
            if at >= edges[-1] and _bare("".join(line[edges[-1] : at] for line in padded)) == "".join(column)
        ]
        if not ends:
            return False
        edges.append(ends[0])
    waiting, seen = list(expected), [""] * len(grid.titles)
    for line in padded:
        seen = [had + _bare(line[a:b]) for had, a, b in zip(seen, edges, edges[1:], strict=False)]
        if waiting and seen == waiting[0]:
            waiting, seen = waiting[1:], [""] * len(grid.titles)
    return not waiting and not any(seen)


def _as_two(grid: Grid, lines: list[str]) -> bool:
    """Whether the lines are a table of the figures and, below an empty line, one of the words."""
    figures = grid.only([0, *(place for place in range(len(grid.titles)) if place not in grid.words)])
    words = grid.only([0, *(place for place in grid.words if place)])
    ends = [at for at, line in enumerate(lines) if not line.strip()]
    return any(as_table(figures, lines[:at]) and as_table(words, lines[at + 1 :]) for at in ends)


def _as_blocks(grid: Grid, text: str) -> bool:
    said = ""
    for name, *cells in grid.rows:
        said += _bare(name)
        for title, cell in zip(grid.titles[1:], cells, strict=True):
            if str(cell):
                said += _bare(f"{title}: " if title else "") + _bare(", ".join(str(cell).split("\n")))
    words = {word.rstrip(",") for word in text.split()}
    figures = (word for row in grid.rows for cell in row[1:] for word in str(cell).split() if re.search(r"\d", word))
    return _bare(text) == said and all(figure.rstrip(",") in words for figure in figures)
