"""How good a schedule could be: four numbers in order, in words that a client knows."""

from __future__ import annotations

import pytest
from decide.optimum.test_optimum import told

from simkit.answers.optimum import NOT_WORTH_IT, control_sentences, optimum_answer
from simkit.answers.report.basis import Basis
from simkit.answers.report.details import details_from
from simkit.answers.report.sections import SECTIONS, chosen_sections
from simkit.decide.optimum.foresight import BY_CLOCK, BY_DAY, BY_FORECAST, BY_YESTERDAY, Controls
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")


def test_knowing_the_day_is_worth_what_its_costs_say() -> None:
    by_hand = Controls({BY_CLOCK: 1200.0, BY_YESTERDAY: 1150.0, BY_FORECAST: 1120.0, BY_DAY: 1100.0}, 1000.0, "EUR")
    said = " ".join(control_sentences(by_hand, IRISH))
    assert said.replace("\u00a0", " ") == (
        "A controller that settles each day anew would save €80 a year over the best schedule by a forecast, €50 by "
        "what yesterday was like, and €100 if it knew every day beforehand. Is a smarter control worth it? Ten such years save €800 by a "
        "forecast: one that costs more, its upkeep counted, does not pay for itself. No schedule could save more than €200 a "
        "year over the best one; that is proved."
    )
    nothing = Controls(dict.fromkeys((BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY), 2.0), 1.0, "EUR")
    assert "nothing that counts" in control_sentences(nothing, IRISH)[0]
    assert control_sentences(nothing, IRISH)[1] == NOT_WORTH_IT
    clairvoyant = Controls({**dict.fromkeys((BY_CLOCK, BY_YESTERDAY, BY_FORECAST), 2200.0), BY_DAY: 2100.0}, 1.0, "EUR")
    assert control_sentences(clairvoyant, IRISH)[1] == NOT_WORTH_IT  # what only perfect knowledge saves, nobody can buy


def test_the_answer_holds_the_four_numbers_in_order() -> None:
    made = told()
    answer = optimum_answer(made, ranged=False)
    costs, control, months, sheet = answer.tables
    assert costs.frame.index.tolist() == [
        "lowest conceivable cost", "its plan, simulated", "best schedule to type in", "today"
    ]  # fmt: skip
    assert costs.frame["year_cost"].is_monotonic_increasing
    assert control.frame["year_cost"].is_monotonic_decreasing
    assert control.frame["year_cost"].iloc[:2].tolist() == [made.today.bill.total, made.schedule.best.bill.total]
    assert len(months.frame) == 12
    assert sheet.name == "settings"
    data = answer.data
    assert data["bound"] <= data["optimum_simulated"] <= data["best_schedule"] <= data["today"]
    assert list(data["control"]) == [BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY, "bound"]
    assert "no controller reaches it" in answer.sentence
    said = " ".join([answer.sentence, *(text for table in answer.tables for text in table.heads(answer.notation))])
    assert "bound" not in said


def test_a_report_says_it_in_the_same_words_where_it_is_asked_to(monkeypatch: pytest.MonkeyPatch) -> None:
    made = told()
    monkeypatch.setattr("simkit.decide.optimum.optimum.optimum", lambda *_, **__: made)
    section = SECTIONS["control"](Basis(made.today.case, details_from({})))
    assert section is not None
    assert "control" in chosen_sections(["+control"])
    assert "control" not in chosen_sections(None)
    said = optimum_answer(made)
    assert section.sentences == said.sentences
    assert [table.name for table in section.tables] == [table.name for table in said.tables]
    ranges = section.tables[1].frame[["year_cost_low", "year_cost", "year_cost_high"]]
    assert ranges.loc[["as today", BY_CLOCK]].apply(lambda row: row.is_monotonic_increasing, axis=1).all()
