"""A report in; every text of it in the order in which page and PDF show it, nothing said twice, out.

A caution stands in full where it is first said, under a number; where it holds again it is named by that number.
What an earlier section said is not said again, and what was assumed of the case stands under Inputs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer
from simkit.answers.description import ASSUMED
from simkit.answers.report.details import ACCENT, SECOND
from simkit.figures.style import text_on
from simkit.reporting.on_page import picture_bytes, table_rows

if TYPE_CHECKING:
    from simkit.answers.report.report import Report
    from simkit.answers.report.sections import Section

LABELS = ("faces.cautions", "faces.notes", "faces.repeated_cautions", "cover.contents", "cover.notes", "cover.estimate",
          "first.title", "first.steps", "first.who", "first.heed", "first.range_means", "cover.page_of")  # fmt: skip

LISTED = ("method", "limits")  # what they say is a list
APART = ("settings", "sign_off")  # they begin a page: to be typed in, signed


def laid_out(report: Report) -> dict[str, Any]:
    """Every text of a report, and its pictures as SVG."""
    words, accent = report.words, report.details.accent or ACCENT
    cautions, numbers = report.caution_numbers
    said: set[str] = set()
    return {
        "language": words.language,
        "title": report.title,
        "home": report.case.name,
        "cover": list(_cover(report)),
        "cautions": words("cover.cautions", len(cautions)),
        "partly": words("cover.partly_english"),
        "author_notes": (report.details.notes or "").split("\n\n") if report.details.notes else [],
        "accent": accent,
        "on_accent": text_on(accent),
        "second": report.details.second_accent or SECOND,
        "first": _first(report),
        "sections": [_section(report, one, numbers, said) for one in report.sections],
        "labels": _labels(report),
    }


def _labels(report: Report) -> dict[str, str]:
    return {label.replace(".", "_"): report.words(label, **_parts(label)) for label in LABELS}


def _parts(label: str) -> Mapping[str, str]:
    """What a label leaves open, for a face to fill in."""
    return {"page": "{page}", "pages": "{pages}"} if label == "cover.page_of" else {}


def _cover(report: Report) -> Iterator[tuple[str, str]]:
    """What the cover says of the report, what isn't stated left out."""
    words, details = report.words, report.details
    rows = {
        "cover.home": report.case.name,
        "cover.client": details.client,
        "cover.author": ", ".join(part for part in (details.author, details.firm) if part),
        "cover.reference": details.reference,
        "cover.date": None if details.date is None else words.date(details.date),
        "cover.year": str(report.case.site.year),
    }
    for key, value in rows.items():
        if value:
            yield words(key), value


def _first(report: Report) -> dict[str, Any]:
    page = report.first
    return {
        "sentences": list(page.sentences), "facts": [vars(fact) for fact in page.facts],
        "deciding_title": page.deciding_title, "deciding": list(page.deciding),
        "steps": [vars(step) for step in page.steps],
    }  # fmt: skip


def _section(report: Report, section: Section, numbers: Mapping[str, int], said: set[str]) -> dict[str, Any]:
    """One section; what was said before is left out, and what it says is added to that."""
    answer, say = section.answer, report.speech
    shown = say.notation(answer.notation)
    known = {numbers[one] for one in said if one in numbers}
    fresh = [one for one in answer.cautions if numbers[one] not in known]
    again = dict.fromkeys(numbers[one] for one in answer.cautions if numbers[one] in known)
    notes, assumed = told_notes(report, answer)
    found = {
        "name": section.name,
        "heading": section.heading,
        "question": say(answer.question),
        "sentences": list(map(say, _unsaid(answer.sentences, said))),
        "listed": section.name in LISTED,
        "apart": section.name in APART,
        "tables": [
            {"name": table.name, **table_rows(say.table(table.on_paper, answer.notation), shown)}
            for table in answer.tables
        ],
        "pictures": [{"svg": picture_bytes(one, "svg"), "sentence": say(one.sentence)} for one in answer.pictures],
        "cautions": [(numbers[one], say(one)) for one in fresh],
        "again": ", ".join(map(str, again)),
        "notes": list(map(say, _unsaid(notes, said))),
        "assumed": "".join(assumed),
    }
    said.update(_everything(answer))
    return found


def told_notes(report: Report, answer: Answer) -> tuple[list[str], list[str]]:
    """Notes of a section without what was filled in; and where that stands, where the report has inputs."""
    notes = [note for note in answer.notes if not note.startswith(ASSUMED)]
    assumed, inputs = len(answer.notes) - len(notes), any(section.name == "inputs" for section in report.sections)
    return notes, [report.words("faces.more_notes", assumed)] if assumed and inputs else []


def _unsaid(texts: Iterable[str], said: set[str]) -> list[str]:
    return [text for text in texts if text not in said]


def _everything(answer: Answer) -> Iterator[str]:
    yield from (*answer.sentences, *answer.cautions, *answer.notes)
