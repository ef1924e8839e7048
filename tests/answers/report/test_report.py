"""A report says what its sections say: first page, sections by name, inputs, words and details."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest
from homes import sample
from reported import FUTURES, OPTIONS, small_home, small_report

from answers.stubs import stub_year
from simkit.answers.report import words as words_module
from simkit.answers.report.basis import Basis
from simkit.answers.report.decision import _decision, _pays_back
from simkit.answers.report.details import details_from, read_details
from simkit.answers.report.report import in_notation_of
from simkit.answers.report.sections import AS_DESCRIBED, SECTIONS, chosen_sections
from simkit.answers.report.words import Words, catalogue, languages
from simkit.case.build import vary
from simkit.errors import CaseError
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range

FIELD = re.compile(r"\{(\w*)\}")


def test_the_first_page_decides_in_five_sentences_with_the_figures_of_the_sections() -> None:
    made = small_report()
    first, year = made.first, made.year
    assert len(first.sentences) == 5
    assert first.data["advised"] == year.case.name == "Cheap-night tariff"
    cost = made.notation.estimate(year.bill.total, year.range())
    assert cost in first.sentences[2]
    rows = {row[0]: row for row in made.section("options").tables[0].cells(made.notation)}
    assert any(cell.startswith(cost) for cell in rows[year.case.name])
    assert [fact.name for fact in first.facts] == ["now", "a_year", "rooms"]
    assert first.facts[0].value == "€0"  # what is left to pay of it: the offer of the sample is paid
    assert first.facts[0].note == "€7,730 in all, grants and discounts taken off, all of it spent already"
    assert first.facts[1].value == cost
    assert len(first.deciding) == 3
    assert {step.who for step in first.steps} <= {"you", "a handy person", "a licensed trade", ""}


def test_it_holds_the_sections_in_one_order_and_leaves_out_what_the_home_lacks() -> None:
    names = [section.name for section in small_report().sections]
    assert names == [name for name in SECTIONS if name in names]
    assert set(SECTIONS) - set(names) == {"rooms", "schedule", "control", "battery", "offers", "readings", "changes"}


def test_readings_say_how_well_they_would_have_predicted_and_that_no_year_is_theirs() -> None:
    case = sample("estuary_bungalow")
    basis = Basis(case, details_from({}), readings=case.folder / "readings.csv")
    made = SECTIONS["readings"](basis)
    assert made is not None
    assert made.sentences[-1] == AS_DESCRIBED
    assert any(said.startswith("Tried on its own days, each third of them predicted") for said in made.sentences)
    assert {"sums", "held", "unknowns"} <= {table.name for table in made.tables}


def test_sections_are_chosen_by_name() -> None:
    assert chosen_sections(["year", "options"]) == ("options", "year")
    assert "schedule" in chosen_sections(["+schedule"])
    assert "year" in chosen_sections(["+schedule"])
    assert "worth" not in chosen_sections(None, ["worth"])
    with pytest.raises(CaseError) as caught:
        chosen_sections(["yearr"], ["nothing"])
    assert 'section "yearr" is none of a report. Perhaps "year" is meant.' in str(caught.value)
    assert len(caught.value.faults) == 2


def test_inputs_are_ranked_and_each_has_unit_source_and_quality() -> None:
    ranked, small, stated = small_report().section("inputs").tables
    moved = ranked.frame["moved_cost"]
    assert moved.is_monotonic_decreasing
    assert moved.min() >= small.frame["moved_cost"].max()
    assert set(ranked.frame["quality_words"]) <= {"published", "common practice", "own estimate", "from memory"}
    assert stated.frame.at["[site] design_outdoor_c", "unit_words"] == "°C"
    assert stated.frame.at["[home] floor_area_m2", "value_words"] == "128"


def test_the_answer_holds_every_section_as_data() -> None:
    data = small_report().answer().as_object
    assert data["advised"]["cost"] == small_report().year.bill.total
    assert isinstance(data["advised"]["range"], Range)
    assert set(data["sections"]) == {section.name for section in small_report().sections}
    assert data["provenance"]["samples"] == FUTURES


@pytest.mark.parametrize("language", languages())
def test_a_catalogue_says_what_english_says_with_the_same_parts(language: str) -> None:
    english, own = catalogue("en"), catalogue(language)
    assert set(own) <= set(english)
    for key, text in own.items():
        forms, others = (each if isinstance(each, dict) else {"other": each} for each in (text, english[key]))
        parts = {part for form in forms.values() for part in FIELD.findall(str(form))}
        assert parts == {part for form in others.values() for part in FIELD.findall(str(form))}, key
        if isinstance(english[key], list):
            assert len(text) == len(english[key]), key


def test_words_count_in_the_plural_of_their_language_and_in_the_notation() -> None:
    words = Words("en", Notation("en_IE", "EUR"))
    assert words("cover.cautions", 1).startswith("1 caution belongs")
    assert words("cover.cautions", 1200).startswith("1,200 cautions belong")
    assert words.date(dt.date(2026, 2, 3)) == "3 February 2026"
    german = Words("de", Notation("de_DE", "EUR"))
    assert german("cover.cautions", 1).startswith("Dazu gehört 1 Warnung.")
    assert german("cover.cautions", 1200).startswith("Dazu gehören 1.200 Warnungen.")
    assert german.date(dt.date(2026, 2, 3)) == "3. Februar 2026"
    assert german.range(Range(1234.0, 1500.0, 1934.0)) == "1.230\u00a0€ bis 1.930\u00a0€"
    assert german.more_range(Range(-300.0, -200.0, -100.0)) == "100\u00a0€ bis 300\u00a0€ weniger"
    assert german.more_range(Range(-300.0, 0.0, 100.0)) == "300\u00a0€ weniger bis 100\u00a0€ mehr"


def test_every_word_that_the_code_asks_for_is_in_the_catalogue() -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in Path(words_module.__file__).parent.glob("*.py"))
    asked = set(re.findall(r'words(?:\.lines)?\(\s*"([a-z_]+\.[a-z_]+)"', source))
    assert len(asked) > 50
    assert asked <= set(catalogue("en"))


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ('language = "xx"', 'details.toml: language = "xx" has no catalogue of words.'),
        ('locale = "zz_ZZ"', 'details.toml: locale = "zz_ZZ" is not a locale of the Unicode data.'),
        ('logo = "none.png"', 'details.toml: logo = "none.png" can\'t be read (no such file or directory).'),
        ('logo = "details.toml"', 'details.toml: logo = "details.toml" is not a picture that can be read. Save it as PNG or JPEG.'),
        ('accent = "red"', "accent"),
        ('autor = "A"', "Perhaps author is meant"),
        ("notes = 3", "notes"),
    ],
)  # fmt: skip
def test_bad_details_are_told_in_one_sentence_each(tmp_path: Path, text: str, fault: str) -> None:
    path = tmp_path / "details.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_details(path)
    assert fault in str(caught.value)
    assert len(caught.value.faults) == 1


def test_details_hold_what_they_say() -> None:
    table = tomllib.loads('author = "A"\ndate = 2026-02-03\nwithout = ["worth"]')
    assert details_from(table).date.isoformat() == "2026-02-03"


def test_what_changed_since_the_last_report_is_told_with_its_inputs(tmp_path: Path) -> None:
    import json

    from simkit.answers.report.since import changes, read_since
    from simkit.reporting.as_data import answer_json

    path = tmp_path / "old.json"
    path.write_text(answer_json(small_report().answer()), encoding="utf-8")
    same = changes(Basis(small_home(), small_report().details, since=read_since(path)))
    assert same is not None
    assert "None of the inputs differs." in same.sentences
    assert len(same.tables) == 1
    warmer = vary(small_home(), {"controls.design_flow_c": 57.0})
    told = changes(Basis(warmer, small_report().details, since=json.loads(path.read_text(encoding="utf-8"))))
    assert told is not None
    assert "1 input differs" in told.sentence
    assert told.tables[1].frame.loc["[controls] design_flow_c"].tolist() == ["55", "57"]
    assert (told.tables[0].frame["more_cost"].dropna() != 0.0).any()


def test_numbers_are_written_as_the_case_writes_them_unless_the_details_ask_otherwise() -> None:
    german = vary(small_home(), {"site.locale": "de_DE"})
    assert in_notation_of(details_from({}), german) is german
    assert in_notation_of(details_from({"language": "de"}), german) is german
    assert in_notation_of(details_from({"language": "en"}), german).notation.locale == "en_IE"
    assert in_notation_of(details_from({"locale": "fr_FR", "language": "de"}), german).notation.locale == "fr_FR"


def test_nothing_is_said_to_pay_back_by_being_colder() -> None:
    cold, warm = stub_year("Pump", 2000.0, cold_h=900.0), stub_year("Boiler", 3000.0, heated_by="boiler")
    weighed = SimpleNamespace(worth=SimpleNamespace(option=lambda name: name))
    words = Words("en", Notation("en_IE", "EUR"))
    said = _pays_back(SimpleNamespace(words=words, weighed=weighed, chosen=cold, kept=warm))  # type: ignore[arg-type]
    assert said.startswith("Whether it pays for itself is not said: it keeps less comfort than “Boiler”")


def test_without_prices_nothing_is_chosen() -> None:
    home = vary(small_home(), {"money": None, "option": small_home().stated["option"][1:], "baseline": OPTIONS[1]})
    bare = vary(home, {"option": [{k: v for k, v in one.items() if k != "without"} for one in home.stated["option"]]})
    said = _decision(Basis(vary(bare, {"ledger": None}), small_report().details))
    assert said.startswith("To run, “Cheap-night tariff” costs least")
    assert said.endswith("what it costs to buy is not weighed, so that nothing is decided.")
