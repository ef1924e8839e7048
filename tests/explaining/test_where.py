"""A number of a report is found where it stands, and one that stands nowhere is refused without a search."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from homes import sample
from reported import small_report

from simkit.answers.report.report import Content
from simkit.errors import CaseError
from simkit.explaining import further
from simkit.explaining.chain import Explanation
from simkit.explaining.explain import explain
from simkit.explaining.reads import number_of, numbers_in
from simkit.explaining.where import Standing, places
from simkit.reporting.on_terminal import answer_text


@cache
def content() -> Content:
    return small_report().content


def test_numbers_in_a_text() -> None:
    text = "Saves €1,234 (likely 1.230,50 to 1\u202f300), 12.5 % in 3 of 10; at 07:30."
    assert list(numbers_in(text)) == [
        ("1234", 0), ("123050", 2), ("1300", 0), ("125", 1), ("3", 0), ("10", 0), ("07", 0), ("30", 0)
    ]  # fmt: skip
    assert number_of("€412.00") == ("41200", 2)


def test_every_number_of_a_report_has_its_place() -> None:
    whole = places((content(),), "18 °C")
    assert {place.section for place in whole} >= {"flow", "inputs", "year"}
    first = content().first.facts[0]
    number = next(text for text in first.value.split() if text[-1].isdigit())
    found = places((content(),), number)
    assert any(place.section == "first_page" and number in place.text for place in found)


def test_a_number_that_stands_nowhere_ends_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def searched(_: object) -> None:
        raise AssertionError

    monkeypatch.setattr(further, "FAMILIES", dict.fromkeys(further.FAMILIES, searched) | {"input": further.inputs})
    with pytest.raises(CaseError, match=r"987654.*is no figure that is shown.*tariff 987654"):
        explain(sample("harbour_flat"), "987654", contents=(content(),))


def test_a_number_without_a_chain_is_told_with_its_place() -> None:
    made = content()
    limits = next(section for section in made.sections if section.name == "limits")
    said = replace(limits, answer=replace(limits.answer, sentences=("Ask again after 987,654 hours.",)))
    found = explain(sample("harbour_flat"), "987,654", contents=(replace(made, sections=(said,)),))
    assert isinstance(found, Standing)
    assert [place.heading for place in found.places] == [limits.heading]
    text = " ".join(answer_text(found.answer()).split())
    assert "Ask again after 987,654 hours." in text
    assert "no chain is kept for it" in text


def test_what_is_in_a_year_is_explained_as_before() -> None:
    assert isinstance(explain(sample("harbour_flat"), "spf.h4", contents=(content(),)), Explanation)
