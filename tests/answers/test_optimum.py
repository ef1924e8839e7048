"""How good a schedule could be: four numbers in order, in words that a client knows."""

from __future__ import annotations

from decide.optimum.test_optimum import told

from simkit.answers.optimum import control_sentences, optimum_answer
from simkit.decide.optimum.foresight import BY_CLOCK, BY_DAY, BY_FORECAST, BY_YESTERDAY, Controls
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")


def test_knowing_the_day_is_worth_what_its_costs_say() -> None:
    by_hand = Controls({BY_CLOCK: 1200.0, BY_YESTERDAY: 1150.0, BY_FORECAST: 1120.0, BY_DAY: 1100.0}, 1000.0, "EUR")
    said = " ".join(control_sentences(by_hand, IRISH))
    assert said.replace("\u00a0", " ") == (
        "A controller that settles each day anew would save €80 a year over the best schedule by a forecast, €50 by "
        "what yesterday was like, and €100 if it knew every day beforehand. No schedule could save more than €200 a "
        "year over the best one; that is proved."
    )
    nothing = Controls(dict.fromkeys((BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY), 2.0), 1.0, "EUR")
    assert "nothing that counts" in control_sentences(nothing, IRISH)[0]


def test_the_answer_holds_the_four_numbers_in_order() -> None:
    made = told()
    answer = optimum_answer(made, ranged=False)
    costs, control, months, sheet = answer.tables
    assert costs.frame.index.tolist() == [
        "lowest conceivable cost", "its plan, simulated", "best schedule to type in", "today"
    ]  # fmt: skip
    assert costs.frame["year_cost"].is_monotonic_increasing
    assert control.frame["year_cost"].is_monotonic_decreasing
    assert control.frame["year_cost"].iloc[0] == made.schedule.best.bill.total
    assert len(months.frame) == 12
    assert sheet.name == "settings"
    data = answer.data
    assert data["bound"] <= data["optimum_simulated"] <= data["best_schedule"] <= data["today"]
    assert list(data["control"]) == [BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY, "bound"]
    assert "no controller reaches it" in answer.sentence
    said = " ".join([answer.sentence, *(text for table in answer.tables for text in table.heads(answer.notation))])
    assert "bound" not in said
