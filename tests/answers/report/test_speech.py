"""What answers say in English, said in German: by the catalogue alone, and nothing else of a text touched."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Mapping

import pandas as pd
import pytest
from reported import small_report

from simkit.answers.answer import Column, Table
from simkit.answers.report.speech import Said, Speech, given_names, phrases
from simkit.answers.report.words import Words, languages
from simkit.notation import Notation
from simkit.reporting.report.laid_out import told_notes
from simkit.uncertainty.ranges import Range

EUROS = Notation("de_DE", "EUR")
BY_ITSELF = {"inputs", "method", "limits", "coldest_week", "sign_off", "provenance"}  # said by the catalogue of words
AS_IT_IS = re.compile(r"\[[\w.' ]+\].*|[\w.]+|EN \d+|H\d.*", re.DOTALL)  # keys, values, machines


@pytest.fixture
def german() -> Speech:
    return Speech(Words("de", EUROS))


def forms(said: Said) -> Iterator[str]:
    yield from (said,) if isinstance(said, str) else said.values()


def places(text: str) -> list[str]:
    return sorted(name for _, name, _, _ in string.Formatter().parse(text) if name is not None)


@pytest.mark.parametrize("language", languages())
def test_every_entry_says_what_stands_in_the_places_of_its_english(language: str) -> None:
    bare, placed = phrases(language)
    for english, said in bare.items():
        assert all(places(form) == [] for form in forms(said)), english
    for phrase in placed:
        for form in forms(phrase.said):
            assert places(form) == sorted(phrase.parts[1::2]), phrase


@pytest.mark.parametrize(
    ("english", "said"),
    [
        ("A year costs about 2.180\u00a0€ (likely 1.900\u00a0€ to 2.400\u00a0€), all electricity and fuel included; "
         "rooms are warm enough and hot water comes.",
         "Ein Jahr kostet etwa 2.180\u00a0€ (wahrscheinlich 1.900\u00a0€ bis 2.400\u00a0€), Strom und Brennstoff "
         "eingeschlossen; die Räume sind warm genug, und Warmwasser kommt."),
        ("“A and B, old” leaves out: “C, and D”, “E”.", "In „A and B, old“ fehlt: „C, and D“, „E“."),
        ("With “A” the home is too cold: 3 h under 18 °C, up to 1,5 K below. “A” costs as much as “B”.",
         "Mit „A“ ist das Haus zu kalt: 3 h unter 18 °C, bis zu 1,5 K unter dem Verlangten. „A“ kostet so viel wie "
         "„B“."),
        ("“A” could be accepted until 3 February 2026, before the years begin: ask for it anew.",
         "„A“ konnte bis 3. Februar 2026 angenommen werden, bevor die Jahre beginnen: Lassen Sie es erneuern."),
        ("Do what is free first: “curve 2 K lower”, “my idea”. It saves 60\u00a0€ a year.",
         "Tun Sie zuerst, was nichts kostet: „Heizkurve 2 K tiefer“, „my idea“. Das spart 60\u00a0€ im Jahr."),
        ("An outdoor unit is heard: limits at the neighbour's window, and distances, are set locally (with “A” worst, "
         "and “B”). Ask the building authority. Source: common practice.",
         "Ein Außengerät ist zu hören: Grenzwerte am Fenster der Nachbarn und Abstände sind örtlich geregelt (am "
         "stärksten mit „A“, auch mit „B“). Fragen Sie die Bauaufsicht. Quelle: übliche Praxis."),
    ],
)  # fmt: skip
def test_sentences_are_said_whole(german: Speech, english: str, said: str) -> None:
    assert german(english) == said
    assert not german.unsaid


def test_a_sentence_without_an_entry_stays_and_is_named(german: Speech) -> None:
    own = "Nobody ever says this {to} <b>anyone</b>."
    assert german(f"{own} Source: common practice.") == f"{own} Quelle: übliche Praxis."
    assert list(german.unsaid) == [own]


def test_what_somebody_wrote_stays(german: Speech) -> None:
    for own in ("x" * 5000, "; ".join("a" * 300), "“" * 99 + ": , and " * 99):
        assert german(own) == own


def test_a_name_that_is_also_an_entry_stays() -> None:
    stated = {"name": "Fuel", "option": [{"name": "Heat pump"}], "ledger": [{"label": "Price"}], "kind": "floor"}
    say = Speech(Words("de", EUROS), frozenset(given_names(stated)))
    assert [say(text) for text in ("Fuel", "Heat pump", "Price")] == ["Fuel", "Heat pump", "Price"]
    assert say("“Heat pump” costs as much as “set-back”.") == "„Heat pump“ kostet so viel wie „Absenkung“."
    assert say("floor") == "Fußbodenheizung"


def test_a_number_is_never_taken_for_words(german: Speech) -> None:
    assert german("no money a year") == "no money a year"
    assert german("−1.200,5\u00a0€ a year") == "−1.200,5\u00a0€ im Jahr"


def test_a_table_is_said_with_its_ranges(german: Speech) -> None:
    columns = {"more_cost": [-60.0], "more_cost_low": [-250.0], "more_cost_high": [110.0], "comfort": ["warm enough"]}
    frame = pd.DataFrame(columns, index=pd.Index(["Set back"], name="option"))
    shown = (Column("comfort"), Column("more_cost", "more_cost_low", "more_cost_high", as_difference=True))
    said = german.table(Table("options", "The options", frame, shown, first="Option"), EUROS)
    assert (said.title, said.heads(EUROS)) == (
        "Die Möglichkeiten", ["Möglichkeit", "Räume und Warmwasser", "Gegen die Grundlage"],
    )  # fmt: skip
    assert said.cells(german.notation(EUROS)) == [
        ["Set back", "warm genug", "60\u00a0€\u00a0weniger\n250\u00a0€\u00a0weniger bis 110\u00a0€\u00a0mehr"]
    ]
    assert german.notation(EUROS).span(Range(10.0, 20.0, 30.0)) == "10\u00a0€ bis 30\u00a0€"
    assert german.notation(EUROS).money(float("nan")) == "nicht bekannt"


def test_english_is_left_as_it_is() -> None:
    english = Speech(Words("en", EUROS))
    table = Table("options", "The options", pd.DataFrame({"comfort": ["warm enough"]}))
    assert english("A year costs about €9.") == "A year costs about €9."
    assert english.table(table, EUROS) is table
    assert english.notation(EUROS) is EUROS


def test_nothing_that_a_report_of_a_sample_says_stays_english() -> None:
    made = small_report()
    say = Speech(Words("de", made.notation), made.speech.own)
    for section in made.sections:
        if section.name not in BY_ITSELF:
            answer = section.answer
            for text in (answer.question, *answer.sentences, *answer.cautions, *told_notes(made, answer)[0]):
                say(text)
            for picture in answer.pictures:
                say(picture.sentence)
            for table in answer.tables:
                say.table(table, answer.notation).cells(say.notation(answer.notation))
    wrote = {str(one) for one in written(made.case.stated)}
    wrote.add(made.words("first.measures_of", option=made.words.quoted(made.case.name)))
    for *_, case in made.case.options():
        wrote |= {case.tariff.name, *map(str, written(case.tariff.model_dump()))}
    left = [text for text in say.unsaid if text not in wrote and not AS_IT_IS.fullmatch(text)]
    assert left == [], left


def written(held: object) -> Iterator[object]:
    """Everything that a case states, names of its options first."""
    if isinstance(held, Mapping | list | tuple):
        for one in held.values() if isinstance(held, Mapping) else held:
            yield from written(one)
    else:
        yield held
