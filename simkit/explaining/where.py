"""What reports say in; the places in which a number stands, with what it is there, out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from simkit.answered import Answered
from simkit.answers.answer import Table
from simkit.explaining.reads import number_of, numbers_in
from simkit.notation import Notation
from simkit.quantities import QUANTITIES

if TYPE_CHECKING:
    from simkit.answers.report.report import Content
    from simkit.answers.report.sections import Section

# Families of figures that a section shows; of a section that isn't named here any may be meant.
FAMILIES_OF: Mapping[str, Sequence[str]] = MappingProxyType(
    {
        "first_page": (), "options": ("worth", "range", "cause"), "why": ("cause",), "year": ("range",),
        "flow": ("flow",), "tariffs": ("tariff", "spread"), "worth": ("worth", "spread"), "offers": ("worth",),
        "measures": ("measure", "spread"), "inputs": ("input", "moved"), "performance": ("season",),
        "coldest_week": ("week",), "settings": ("input",), "method": (), "limits": (), "rooms": (), "battery": (),
        "changes": (), "readings": (), "schedule": (), "control": (),
    }
)  # fmt: skip


class Place(NamedTuple):
    """Where a number stands in a report.

    Attributes
    ----------
    section, heading
        Name and heading of the section.
    where
        Row and column of a table, or what kind of text it is.
    text
        What stands there.
    means
        What it is; empty where the text itself says it.
    """

    section: str
    heading: str
    where: str
    text: str
    means: str


@dataclass(frozen=True, eq=False, repr=False)
class Standing(Answered):
    """A number that a report shows and of which no chain is kept: where it stands, and what it is there.

    Attributes
    ----------
    asked
        The number.
    places
        Where it stands.
    notation, name
        How numbers are written, and of which home.
    """

    answered_by = "simkit.explaining.answer:standing_answer"
    asked: str
    places: tuple[Place, ...]
    notation: Notation = field(repr=False)
    name: str

    def __repr__(self) -> str:
        return "\n".join(f"{place.heading}, {place.where}: {place.text}" for place in self.places)


def places(contents: Sequence[Content], what: str) -> tuple[Place, ...]:
    """Every place of some reports in which a number stands, each once.

    Parameters
    ----------
    contents
        What the reports say.
    what
        The number, as it is written there.
    """
    wanted = number_of(what)
    every = (place for content in contents for place in _places(content))
    return tuple(dict.fromkeys(place for place in every if wanted in numbers_in(place.text)))


def _places(content: Content) -> Iterator[Place]:
    first = content.first
    for said in (*first.sentences, *first.deciding):
        yield Place("first_page", FIRST, "sentence", said, "")
    for fact in first.facts:
        yield Place("first_page", FIRST, fact.label, f"{fact.value} {fact.note}".strip(), "")
    for step in first.steps:
        yield Place("first_page", FIRST, step.what, step.comes_to, "")
    for section in content.sections:
        yield from _of_section(section)


FIRST = "First page"


def _of_section(section: Section) -> Iterator[Place]:
    answer = section.answer
    for table in answer.tables:
        yield from _of_table(section, table, answer.notation)
    texts = {"sentence": answer.sentences, "note": answer.notes, "caution": answer.cautions}
    pictures = [picture.sentence for picture in answer.pictures]
    for kind, said in {**texts, "picture": pictures, "under a table": [one.note for one in answer.tables]}.items():
        for text in said:
            yield Place(section.name, section.heading, kind, text, "")


def _of_table(section: Section, table: Table, notation: Notation) -> Iterator[Place]:
    columns = table.shown()
    for row in table.cells(notation):
        for column, cell in zip(columns, row[1:], strict=True):
            means = QUANTITIES[column.name].meaning if column.name in QUANTITIES else ""
            where = f"{table.title}: {row[0]}, {column.heading(notation)}"
            yield Place(section.name, section.heading, where, cell, means)
