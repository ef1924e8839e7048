"""A case and who writes of it in; the report on it, the same for every face, out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from simkit.answers.answer import Answer
from simkit.answers.report.basis import Basis
from simkit.answers.report.decision import FirstPage, first_page
from simkit.answers.report.details import Details, details_from, read_details
from simkit.answers.report.sections import Section, chosen_sections, made_sections
from simkit.answers.report.words import Words
from simkit.answers.wording import provenance_of
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault, perhaps
from simkit.notation import Notation
from simkit.year.year import Year


@dataclass(frozen=True, eq=False, repr=False)
class Report:
    """A report, as every face shows it.

    Attributes
    ----------
    case
        The home, in the notation of the report.
    year
        The year of what is advised.
    details, logo
        Who writes it, and how it looks; the picture of a letterhead, or None.
    words
        Its own words.
    first
        Its first page.
    sections
        Its sections, in order.
    """

    case: Case
    year: Year
    details: Details
    logo: bytes | None
    words: Words
    first: FirstPage
    sections: tuple[Section, ...]

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
        return tuple(dict.fromkeys(said for section in self.sections for said in section.answer.cautions))

    @property
    def data(self) -> Mapping[str, Any]:
        """First page and sections as plain data, by the names of the sections."""
        return {
            "report": self.title, "home": self.case.name, "language": self.words.language,
            "currency": self.case.currency, "first_page": dict(self.first.data),
            "year": {"name": self.year.case.name, "cost": self.year.bill.total, "range": self.year.range()},
            "provenance": provenance_of(self),
        }  # fmt: skip

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

    def write(self, path: str | Path) -> Path:
        """Write it as a page, a PDF or a workbook, by what the name ends in; a file that is there is not overwritten."""
        path = Path(path)
        if path.exists():
            raise CaseError(Fault("", str(path), "is there already, and nothing is overwritten", "Choose a new name"))
        return Path(import_module("simkit.reporting.report.written").write_report(self, path))

    def __repr__(self) -> str:
        return "\n".join([self.title, self.case.name, *self.first.sentences])

    def _repr_html_(self) -> str:
        return str(import_module("simkit.reporting.report.as_page").first_page_html(self))


def report(
    case: Case, *, details: Details | Mapping[str, Any] | str | Path | None = None,
    sections: Sequence[str] | None = None, without: Sequence[str] = (), readings: str | Path | None = None,
    command: str = "", before_each: Callable[[str], None] = lambda _: None,
) -> Report:  # fmt: skip
    """Make the report on a home.

    Parameters
    ----------
    case
        The home with its options.
    details
        Who writes it and how it looks: a TOML file, or the same as a table.
    sections
        Names of the sections; None takes all but those that take their own time. A name with a plus sign before it is
        added to these.
    without
        Names of sections that are left out.
    readings
        A file of meter readings of the home.
    command
        How it is made again, as its provenance tells.
    before_each
        Told the name of each step.

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
    locale = made.locale or _locale_of(made.spoken, case)
    spoken = case if locale is None else vary(case, {"site.locale": locale})
    again = command or f'sk.report(sk.read_case("{case.label}"))'
    basis = Basis(spoken, made, None if readings is None else Path(readings), again, before_each)
    page = first_page(basis)
    return Report(spoken, basis.chosen, made, logo, basis.words, page, made_sections(basis, names))


def _details(given: Details | Mapping[str, Any] | str | Path | None) -> tuple[Details, bytes | None]:
    """Details and logo, however they were given."""
    if isinstance(given, str | Path):
        return read_details(given)
    return (given if isinstance(given, Details) else details_from(given or {})), None


def _locale_of(language: str, case: Case) -> str | None:
    """A locale that writes numbers as a language does in the country of a case; None where the case's own does."""
    from babel.localedata import exists

    now = case.notation.locale
    if now.split("_")[0] == language:
        return None
    here = f"{language}_{case.site.country}"
    return here if exists(here) else language
