"""What is said of a result, in one shape that every face shows: question, sentences, tables, pictures, cautions, notes.

An answer holds values, not layout: a face (terminal, page, JSON, CSV, notebook) writes each of them once, in the
answer's own notation, and decides nothing about what is said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from importlib import import_module
from typing import TYPE_CHECKING, Any, NamedTuple

import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.notation import Notation, in_notation
from simkit.uncertainty.ranges import Range

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Column:
    """What one column of a shown table holds.

    Parameters
    ----------
    name
        Column of the frame; its words stand in `simkit.quantities`.
    low, high
        Columns of its 10th and 90th percentile: the value is then rounded to what that range allows, and the range
        stands in the cell's second line.
    title
        Instead of the label of the quantity.
    as_difference
        Whether it is worded as more or less: ``€60 less``.
    """

    name: str
    low: str | None = None
    high: str | None = None
    title: str | None = None
    as_difference: bool = False

    def text(self, row: Mapping[str, Any], notation: Notation) -> str:
        """The cell of one row."""
        value = row[self.name]
        if isinstance(value, str) or value is None or pd.isna(value):
            return notation.cell(self.name, value)
        if not (self.low and self.high) or pd.isna(row[self.low]) or pd.isna(row[self.high]):  # nothing was sampled
            return notation.more_or_less(float(value)) if self.as_difference else notation.cell(self.name, value)
        found = Range(row[self.low], value, row[self.high])
        if self.as_difference:
            return f"{notation.more_or_less(float(value), found)}\n{notation.span_more_or_less(found)}"
        return f"{notation.estimate(float(value), found)}\n{notation.span(found)}"

    def heading(self, notation: Notation) -> str:
        """The head of the column."""
        return notation.title(self.name) if self.title is None else self.title


@dataclass(frozen=True, eq=False)
class Table:
    """A table of an answer.

    Attributes
    ----------
    name
        Short name, for files and JSON.
    title
        What it shows.
    frame
        Its values, unrounded; the index names the rows.
    columns
        What is shown of it, in order; all of the frame where it is empty.
    note
        One sentence under it.
    total
        Whether the last row is a total.
    first
        What the rows are: the head of the first column.
    brief
        Places of the rows that a report shows on paper, where the table is long; all of them where it is empty.
    """

    name: str
    title: str
    frame: pd.DataFrame
    columns: tuple[Column, ...] = ()
    note: str = ""
    total: bool = False
    first: str = ""
    brief: tuple[int, ...] = ()

    @property
    def on_paper(self) -> Table:
        """The table with the rows that a report shows on paper."""
        if not self.brief:
            return self
        return replace(self, frame=self.frame.iloc[list(self.brief)], note=f"{SOME_ROWS} {self.note}")

    def shown(self) -> tuple[Column, ...]:
        """The columns that are shown."""
        return self.columns or tuple(Column(str(name)) for name in self.frame.columns)

    def heads(self, notation: Notation) -> list[str]:
        """The heads, that of the rows first."""
        return [self.first, *(column.heading(notation) for column in self.shown())]

    def cells(self, notation: Notation) -> list[list[str]]:
        """Every row as text, its name first."""
        columns = self.shown()
        return [
            [str(name), *(column.text(row, notation) for column in columns)]
            for name, row in zip(self.frame.index, self.frame.to_dict("records"), strict=True)
        ]

    def wordy(self, place: int) -> bool:
        """Whether a shown column, counted from 0 after the names, holds words."""
        column = self.shown()[place]
        values = self.frame[column.name]
        return not column.as_difference and values.dtype.kind not in "fiub" and values.map(_is_text).any()


def _is_text(value: object) -> bool:
    return isinstance(value, str)


SOME_ROWS = "Some of the rows: the workbook holds them all."


class Drawn(NamedTuple):
    """A picture that was drawn already."""

    svg: bytes


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture of an answer: drawn when a face asks for it.

    Attributes
    ----------
    name
        Short name, for files.
    draw
        Draws on a figure of matplotlib; or what it drew, where that was kept.
    sentence
        What it shows, for those who can't see it.
    """

    name: str
    draw: Callable[[Figure], object] | Drawn
    sentence: str


@dataclass(frozen=True, eq=False, repr=False)
class Answer:
    """What is said of a result.

    Attributes
    ----------
    title
        What it is about: the name of the home.
    question
        As a person would ask it.
    sentences
        The answer first, with its range and with what stands against it; then what else belongs to it.
    tables
        The first is the main one.
    pictures
        The first is the main one.
    cautions
        What may hurt, and who to ask; the last defers to local codes and licensed practice.
    notes
        What was assumed, and how it was worked out.
    provenance
        Version, digest of the case and of the files it names, samples and their seed.
    data
        The object that `--json` prints, besides what every answer holds.
    notation
        How numbers are written.
    in_full
        Whether a terminal lists all notes, and not only the first.
    notes_of_case
        Whether its notes are the assumptions of the case and nothing else, so that `simkit check` lists them.
    """

    title: str
    question: str
    sentences: tuple[str, ...]
    notation: Notation
    tables: tuple[Table, ...] = ()
    pictures: tuple[Picture, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    provenance: Mapping[str, Any] = field(default_factory=dict)
    data: Mapping[str, Any] = field(default_factory=dict)
    in_full: bool = False
    notes_of_case: bool = False

    def __post_init__(self) -> None:
        """Notes of what knew no place are written as all else is."""
        object.__setattr__(self, "notes", tuple(in_notation(note, self.notation) for note in self.notes))

    @property
    def sentence(self) -> str:
        """All that is said, in one text."""
        return " ".join(self.sentences)

    @property
    def as_object(self) -> dict[str, Any]:
        """Everything that it says and holds, unrounded, by name: what JSON shows."""
        frames = {one.name: one.frame.reset_index() if one.frame.index.name else one.frame for one in self.tables}
        return {
            **self.data,
            "question": self.question,
            "answer": list(self.sentences),
            "tables": {name: frame.to_dict("records") for name, frame in frames.items()},
            "cautions": list(self.cautions),
            "notes": list(self.notes),
            "provenance": dict(self.provenance),
        }

    def part(self, *names: str) -> Answer:
        """Some of its tables and pictures by their names, without what is said of the whole.

        Raises
        ------
        CaseError
            Where it has none of that name.
        """
        known = [table.name for table in self.tables] + [picture.name for picture in self.pictures]
        for name in names:
            if name not in known:
                remedy = f"Choose from {', '.join(dict.fromkeys(known))}"
                raise CaseError(Fault(self.title, f'part "{name}"', "is not in this answer", remedy))
        return replace(
            self, sentences=(), notes=(), cautions=(),
            tables=tuple(table for table in self.tables if table.name in names),
            pictures=tuple(picture for picture in self.pictures if picture.name in names),
        )  # fmt: skip

    def without_tables(self) -> Answer:
        """What it says and its pictures, for a place where the tables follow one by one."""
        return replace(self, tables=())

    def __repr__(self) -> str:
        return "\n".join([self.question, *self.sentences, *(f"Caution: {said}" for said in self.cautions)])

    def _repr_html_(self) -> str:
        # faces stand above answers, so that this one is named and loaded when a notebook asks for it
        return str(import_module("simkit.reporting.on_page").answer_html(self))

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        text = import_module("simkit.reporting.on_terminal").answer_text(self)
        return {"text/plain": text, "text/html": self._repr_html_()}
