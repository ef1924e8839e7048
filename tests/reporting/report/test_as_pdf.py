"""The PDF of a report: its text is what the answers say, it is tagged, and whatever a user writes stays text."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader
from reported import LONG, NASTY, small_report, with_content

from simkit.answers.report.report import Report
from simkit.reporting.report.as_pdf import report_pdf
from simkit.reporting.report.glyphs import INSTEAD, Glyphs
from simkit.reporting.seal import sealed

pytest.importorskip("typst")
FIGURE = re.compile(r"\d[\d,.]*")


def text_of(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


@pytest.fixture(scope="module")
def brief() -> Report:
    """The report with some of its sections."""
    made = small_report()
    kept = tuple(one for one in made.sections if one.name in {"year", "settings", "limits", "sign_off"})
    return with_content(made, sections=kept)


@pytest.fixture(scope="module")
def made(brief: Report) -> bytes:
    return report_pdf(brief)


def test_it_is_tagged_bears_its_mark_and_has_a_bookmark_for_each_section(made: bytes, brief: Report) -> None:
    reader = PdfReader(BytesIO(made))
    assert reader.root_object["/MarkInfo"]["/Marked"]
    named = [entry.title for entry in reader.outline if not isinstance(entry, list)]
    assert named[1:] == [section.heading for section in brief.sections]
    assert sealed(made) == made


def test_every_figure_of_every_section_is_that_of_the_answer() -> None:
    whole = small_report()
    held = set(FIGURE.findall(text_of(report_pdf(whole))))
    for section in whole.sections:
        notation = section.answer.notation
        for table in section.answer.tables:
            for cell in (cell for row in table.on_paper.cells(notation) for cell in row):
                assert set(FIGURE.findall(cell)) <= held, cell
    for said in whole.first.sentences:
        assert set(FIGURE.findall(said)) <= held


def test_what_a_user_writes_stays_text_in_the_same_bytes_and_what_has_no_glyph_is_named(brief: Report) -> None:
    told = f"{NASTY} #let x = 1; *stars* $x$ @ref \U0001fae0 \u05e2\u05d1\u05e8\u05d9\u05ea"
    nasty = with_content(
        replace(brief, details=brief.details.model_copy(update={"notes": told, "client": LONG})), sections=()
    )
    content = report_pdf(nasty)
    text = text_of(content).replace("\n", " ")
    assert "#let x = 1; *stars* $x$ @ref" in text
    assert "u+1fae0 melting face" in text.lower()
    assert text.replace("\u200b", "").replace(" ", "").count("w" * 40) > 100
    assert report_pdf(nasty) == content


def test_characters_without_a_glyph_are_counted_and_unseen_ones_go() -> None:
    glyphs = Glyphs()
    assert glyphs.text("a\U0001fae0b\u202ec\x07€") == f"a{INSTEAD}bc€"
    assert glyphs.names() == ["U+1FAE0 melting face"]
