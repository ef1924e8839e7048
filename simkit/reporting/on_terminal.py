"""An answer in; what a terminal, a pipe or a file shows of it out: what is said, what is risky about it, the tables."""

from __future__ import annotations

from collections.abc import Iterator
from io import StringIO

from rich.console import RenderableType, group
from rich.text import Text

from simkit.answers.answer import Answer, Table
from simkit.notation import Notation
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import NAME, NOTE, Prose, bullets, console

TEXT_COLUMNS = 100


def answer_text(answer: Answer) -> str:
    """The same as plain text of a hundred columns, for a notebook."""
    made = console(file=StringIO())
    made.width = TEXT_COLUMNS
    with made.capture() as written:
        made.print(answer_view(answer))
    return "\n".join(line.rstrip() for line in written.get().rstrip().splitlines())


def table_grid(table: Table, notation: Notation) -> Grid:
    """A table of an answer as text; words flush left, figures flush right and never cut."""
    words = (0, *(place + 1 for place in range(len(table.shown())) if table.wordy(place)))
    return Grid(tuple(table.heads(notation)), tuple(map(tuple, table.cells(notation))), table.total, words)


@group()
def answer_view(answer: Answer) -> Iterator[RenderableType]:
    """Lay out an answer: question and answer first, then tables, cautions, and how many notes there are."""
    yield Prose(f"{answer.title}: {answer.question}", NOTE)
    for place, sentence in enumerate(answer.sentences):
        yield Prose(sentence, "" if place else NAME)
    for table in answer.tables:
        yield Text(f"\n{table.title}", style=NAME)
        yield table_grid(table, answer.notation)
        if table.note:
            yield Prose(table.note, NOTE)
    if answer.cautions:
        yield Text("\nCaution", style=NAME)
        yield bullets(answer.cautions)
    if answer.notes and answer.in_full:
        yield Text("\nHow it is worked out", style=NAME)
        yield bullets(answer.notes)
    elif answer.notes:
        yield Text()
        yield Prose(_rest(answer), NOTE)


def _rest(answer: Answer) -> str:
    """Where all notes stand; the first of them too, unless it is one of the many values of a case."""
    count = len(answer.notes)
    if answer.notes_of_case:
        one = "One thing was assumed for you" if count == 1 else f"{count} things were assumed for you"
        return f"{one}: `simkit check` lists what, and which of it matters most."
    more = f" The page (`--page`) has {count - 1} more notes." if count > 2 else ""
    return " ".join(answer.notes) if count < 3 else f"{answer.notes[0]}{more}"
