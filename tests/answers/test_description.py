"""What `simkit check` says of a sound case: what it describes, and what was filled in, worst first."""

from __future__ import annotations

import json

import pytest
from homes import sample

from simkit.answers.answer import Answer
from simkit.answers.cautions import cautions_for
from simkit.answers.description import case_sentence, description_answer
from simkit.case.build import options_of
from simkit.decide.assumptions import Assumptions, assumptions_of
from simkit.reporting.as_data import answer_json
from simkit.year.compare import Comparison
from simkit.year.simulate import simulate


@pytest.fixture(scope="module")
def found(compared: Comparison) -> Assumptions:
    return assumptions_of(simulate(sample("estuary_bungalow")), compared.years)


@pytest.fixture(scope="module")
def answer(found: Assumptions) -> Answer:
    return description_answer(found)


def test_a_case_is_described_in_one_sentence(compared: Comparison) -> None:
    said = case_sentence(compared.years[2])
    loss = f"{compared.years[2].loss_w_per_k:.0f}"
    assert said.startswith("A home of 128 m² in Europe/Dublin, heated by a heat pump (invented 8 kW outdoor unit), ")
    assert f"losing {loss} W per kelvin; tariff Estuary flat rate; the year 2025 in 17,520 steps of 30 minutes" in said
    assert "heated by a boiler, " in case_sentence(compared.base)


def test_direct_electric_heating_is_no_boiler() -> None:
    assert "heated by electricity directly, " in case_sentence(simulate(options_of(sample("harbour_flat"))[0]))


def test_every_assumption_is_listed_once_the_worst_first(found: Assumptions, answer: Answer) -> None:
    listed = [str(name) for table in answer.tables if "assumptions" in table.name for name in table.frame.index]
    assert sorted(listed) == sorted(found.table.index)
    assert {one.key for year in (found.year, *found.options) for one in year.case.assumed} == set(listed)
    costs = answer.tables[0].frame["moved_cost"]
    assert costs.is_monotonic_decreasing
    assert not answer.tables[0].frame["settled_words"].eq("").any()
    assert f"What matters most is {costs.index[0]}, " in answer.sentences[1]


def test_its_notes_say_how_it_is_worked_out_and_its_cautions_are_those_of_every_option(
    found: Assumptions, answer: Answer
) -> None:
    assert answer.cautions == cautions_for([found.year, *found.options])
    assert not any(note.startswith("Assumed for you") for note in answer.notes)
    assert answer.in_full


def test_the_object_keeps_its_keys(found: Assumptions, answer: Answer) -> None:
    data = json.loads(answer_json(answer))
    assert data["valid"] is True
    assert data["baseline"] == "Oil boiler, as lived"
    assert [option["name"] for option in data["options"]] == [year.case.name for year in found.options]
    assert any(text.startswith("[controls] recovery_lift_k = 5 (own: ") for text in data["assumptions"])
    assert len(data["assumptions"]) == len(found.table)
