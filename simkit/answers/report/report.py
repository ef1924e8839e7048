"""A case and who writes of it in; the report on it, the same for every face, out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answered import Answered
from simkit.answers.answer import Answer, Column, Table
from simkit.answers.report.basis import Basis
from simkit.answers.report.decision import FirstPage, first_page
from simkit.answers.report.details import Details, details_from, read_details
from simkit.answers.report.sections import Section, chosen_sections, made_sections
from simkit.answers.report.since import read_since
from simkit.answers.report.speech import Speech, given_names
from simkit.answers.report.words import Words
from simkit.answers.wording import covers, provenance_of
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault, perhaps
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort
from simkit.year.simulate import simulate
from simkit.year.year import Year

Given = Mapping[str, Any] | str | Path | tuple[Details, bytes | None] | None


@dataclass(frozen=True)
class Asked:
    """What is worked out for a report, besides its home.

    Attributes
    ----------
    language
        In which it is said.
    sections
        Names of the sections.
    files
        Files that it is made from, by what they are: meter readings, an earlier report.
    """

    language: str
    sections: tuple[str, ...]
    files: tuple[tuple[str, Path], ...] = ()


@dataclass(frozen=True, eq=False)
class Content:
    """What was worked out for a report.

    Attributes
    ----------
    advised, cost, range
        Name of the option that is advised, and what a year of it costs [currency].
    comfort
        How warm it is with it.
    first
        The first page.
    sections
        The sections, in order.
    """

    advised: str
    cost: float
    range: Range
    comfort: YearComfort
    first: FirstPage
    sections: tuple[Section, ...]


OF_THE_WRITER = ("sign_off", "provenance")  # sections of who writes it, and by which command; made each time
Source = Callable[[Case, Asked, Callable[[], Content]], Content]


@dataclass(frozen=True, eq=False, repr=False)
class Report(Answered):
    """A report, as every face shows it.

    Attributes
    ----------
    case
        The home, in the notation of the report.
    details, logo
        Who writes it, and how it looks; the picture of a letterhead, or None.
    words
        Its own words.
    content
        What was worked out.
    """

    answered_by = "simkit.answers.report.report:report_answer"
    case: Case
    details: Details
    logo: bytes | None
    words: Words
    content: Content

    @cached_property
    def year(self) -> Year:
        """The year of what is advised."""
        return simulate(next(case for name, _, case in self.case.options() if name == self.content.advised))

    @cached_property
    def speech(self) -> Speech:
        """Says what the answers of its sections say in its language."""
        return Speech(self.words, frozenset(given_names(self.case.stated)))

    @cached_property
    def first(self) -> FirstPage:
        """Its first page; what the kit calls a measure is said in its language."""
        page, say = self.content.first, self.speech
        steps = (replace(step, what=say(step.what), heed=say(step.heed)) for step in page.steps)
        return replace(page, steps=tuple(steps))

    @property
    def sections(self) -> tuple[Section, ...]:
        """Its sections, in order."""
        return self.content.sections

    @property
    def notation(self) -> Notation:
        """How its numbers are written."""
        return self.words.notation

    @property
    def title(self) -> str:
        """What stands on the cover."""
        return self.details.title or self.words("cover.title")

    @property
    def cautions(self) -> tuple[str, ...]:
        """Every caution of its sections, once, in the order in which they are first said."""
        return tuple(self.caution_numbers[0])

    @cached_property
    def caution_numbers(self) -> tuple[tuple[str, ...], Mapping[str, int]]:
        """The same cautions; and under which number, from 1, each caution of a section stands among them."""
        first, numbers = list[str](), dict[str, int]()
        for said in (said for section in self.sections for said in section.answer.cautions):
            place = next((at for at, known in enumerate(first) if covers(known, said)), len(first))
            if place == len(first):
                first.append(said)
            numbers[said] = place + 1
        return tuple(first), numbers

    def section(self, name: str) -> Answer:
        """What one of its sections says.

        Raises
        ------
        CaseError
            Where it has none of that name.
        """
        held = {section.name: section.answer for section in self.sections}
        if name not in held:
            remedy = perhaps(name, held, f"Choose from {', '.join(held)}")
            raise CaseError(Fault(self.case.name, f'section "{name}"', "is not in this report", remedy))
        return held[name]

    def write(self, path: str | Path, *, force: bool = False) -> Path:
        """Write it as a page (.html), a PDF or a workbook (.xlsx).

        Parameters
        ----------
        path
            The file; what is there already and may have been changed by hand is not overwritten.
        force
            Whether it is overwritten all the same.

        Raises
        ------
        CaseError
            Where the file can't be written, or would be lost.
        """
        # faces stand above answers, so that this one is named and loaded when it is asked for
        import_module("simkit.reporting.report.written").write_new(self, Path(path), force=force)
        return Path(path)

    def __repr__(self) -> str:
        return "\n".join([self.title, self.case.name, *self.first.sentences])


def report_answer(made: Report) -> Answer:
    """Say what a report comes to: its first page, and everything else as data."""
    words, first = made.words, made.first
    facts = pd.DataFrame(
        {"value_words": [fact.value for fact in first.facts], "note_words": [fact.note for fact in first.facts]},
        index=pd.Index([fact.label for fact in first.facts], name="fact"),
    )
    steps = pd.DataFrame(
        {"saves_words": [step.comes_to for step in first.steps], "who_words": [step.who for step in first.steps]},
        index=pd.Index([step.what for step in first.steps], name="step"),
    )
    heads = [("value_words", ""), ("note_words", ""), ("saves_words", ""), ("who_words", words("first.who"))]
    value, note, saves, who = (Column(name, title=title) for name, title in heads)
    return Answer(
        made.case.name, words("ask.report"), first.sentences, made.notation,
        tables=(
            Table("facts", words("first.title"), facts, (value, note)),
            Table("steps", words("first.steps"), steps, (saves, who)),
        ),
        cautions=tuple(map(made.speech, made.cautions)), notes=first.deciding, in_full=True,
        provenance=provenance_of(made),
        data={
            "report": made.title, "home": made.case.name, "language": words.language, "currency": made.case.currency,
            "advised": {"name": made.content.advised, "cost": made.content.cost, "range": made.content.range},
            "first_page": dict(first.data),
            "sections": {section.name: section.answer.as_object for section in made.sections},
        },
    )  # fmt: skip


def report(
    case: Case, *, details: Given = None,
    sections: Sequence[str] | None = None, without: Sequence[str] = (), readings: str | Path | None = None,
    since: str | Path | None = None, command: str = "", before_each: Callable[[str], None] = lambda _: None,
    source: Source = lambda _case, _asked, make: make(),
) -> Report:  # fmt: skip
    """Make the report on a home.

    Parameters
    ----------
    case
        The home with its options.
    details
        Who writes it and how it looks: a TOML file, the same as a table, or what `read_details` gave.
    sections
        Names of the sections; None takes all but those that take their own time. A name with a plus sign before it is
        added to these.
    without
        Names of sections that are left out.
    readings
        A file of meter readings of the home.
    since
        What `simkit report --json` printed of an earlier report: what changed is told.
    command
        How it is made again, as its provenance tells.
    before_each
        Told the name of each step.
    source
        Where its content comes from: what it is made from and what makes it in, content out.

    Returns
    -------
    Report
        Its `write` makes a page, a PDF or a workbook.

    Raises
    ------
    CaseError
        With one sentence for each thing that is wrong.
    """
    made, logo = _details(details)
    names = chosen_sections(sections or made.sections, (*without, *(made.without or ())))
    spoken, again = in_notation_of(made, case), command or f'sk.report(sk.read_case("{case.label}"))'
    files = {name: Path(path) for name, path in (("readings", readings), ("since", since)) if path is not None}
    basis = Basis(
        spoken, made, files.get("readings"), again, read_since(files["since"]) if "since" in files else None,
        before_each,
    )  # fmt: skip
    worked_out = tuple(name for name in names if name not in OF_THE_WRITER)
    content = source(spoken, Asked(made.spoken, worked_out, tuple(files.items())), lambda: _content(basis, worked_out))
    of_the_writer = made_sections(basis, [name for name in names if name in OF_THE_WRITER])
    held = {one.name: one for one in (*content.sections, *of_the_writer)}
    ordered = tuple(held[name] for name in names if name in held)
    return Report(spoken, made, logo, basis.words, replace(content, sections=ordered))


def _content(basis: Basis, names: Sequence[str]) -> Content:
    page, year = first_page(basis), basis.chosen
    return Content(year.case.name, year.bill.total, year.range(), year.comfort, page, made_sections(basis, names))


def _details(given: Given) -> tuple[Details, bytes | None]:
    """Details and logo, however they were given."""
    if isinstance(given, str | Path):
        return read_details(given)
    return given if isinstance(given, tuple) else (details_from(given or {}), None)


def in_notation_of(details: Details, case: Case) -> Case:
    """A case whose numbers are written as details ask: in their locale, else as their language does in its country.

    Where they ask for neither, or the case's own locale writes so, it stays as it is.
    """
    from babel.localedata import exists

    locale, language = details.locale, details.language
    if locale is None and language is not None and case.notation.locale.split("_")[0] != language:
        here = f"{language}_{case.site.country}"
        locale = here if exists(here) else language
    return case if locale is None else vary(case, {"site.locale": locale})
