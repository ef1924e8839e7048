"""What is said of the best schedule: what it saves, at what comfort, in one breath; or to keep what is set."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from decide.invented import few_candidates, terrace
from decide.schedule.test_search import found

from answers.stubs import stub_year
from simkit.answers.schedule import schedule_answer, schedule_sentences
from simkit.case.build import vary
from simkit.decide.schedule.rule import Rule
from simkit.decide.schedule.search import BestSchedule, best_schedule
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")
RULE = Rule()


def said_of(today: Any, best: Any, rule: Rule | None = RULE) -> list[str]:
    made = BestSchedule(today, best, rule, 2300, 1200)
    return [text.replace("\u00a0", " ") for text in schedule_sentences(made, IRISH, ranged=False)]


def test_a_saving_is_said_with_the_comfort_it_keeps() -> None:
    assert said_of(stub_year("home", 2262.8), stub_year("home", 2167.83)) == [
        "The best schedule costs about €2,168 a year, €95 less than today's; rooms are warm enough and hot water "
        "comes.",
        "2,300 schedules were simulated. 1,200 of them were left aside whatever they cost: rooms would be colder or "
        "hotter than today, hot water shorter, or the main fuse loaded more.",
    ]


def test_a_cold_home_is_not_called_warm() -> None:
    """That nothing gives the needed comfort is said before what it costs."""
    cold = stub_year("home", 2100.0, cold_h=10.0)
    assert said_of(stub_year("home", 2262.8, cold_h=10.0), cold)[0] == (
        "No schedule that was simulated gives the needed comfort: with the cheapest that is no worse than today's the "
        "home is too cold: 10 h under 18 °C, up to 2.5 K below. A year then costs about €2,100, €163 less than today's."
    )


def test_a_schedule_that_warms_a_cold_home_says_what_it_is_today() -> None:
    said = said_of(stub_year("home", 2000.0, cold_h=10.0), stub_year("home", 2100.0))[0]
    assert said == (
        "The best schedule costs about €2,100 a year, €100 more than today's; rooms are warm enough and hot water "
        "comes. Today the home is too cold: 10 h under 18 °C, up to 2.5 K below."
    )


def tight(**changes: Any) -> BestSchedule:
    """A terrace with radiators of 3 kW, whose best schedule leaves it cold."""
    case = vary(terrace(), {"emitters.sized_for_flow_c": None, "emitters.rated_kw": 3.0, **changes})
    with few_candidates():
        return best_schedule(case)


def test_where_no_schedule_gives_the_needed_comfort_the_nearest_is_named_and_what_is_missing() -> None:
    made = tight(**{"controls.design_flow_c": 40.0})
    assert not made.kept
    assert made.best.comfort.how_far <= made.today.comfort.how_far
    answer = schedule_answer(made, ranged=False)
    assert answer.sentences[0].startswith("No schedule that was simulated gives the needed comfort: with ")
    assert "the home is too cold: " in answer.sentences[0]
    assert "the emitters give" in answer.sentences[1]
    assert "hotter water (controls.design_flow_c may go up to 60 °C); larger emitters" in answer.sentences[1]
    assert "nearest schedule" in answer.tables[0].frame.index


def test_no_hotter_water_is_advised_where_the_machine_gives_none() -> None:
    answer = schedule_answer(tight(**{"controls.design_flow_c": 50.0, "heat_pump.highest_flow_c": 50.0}), ranged=False)
    assert "and 50 °C is the hottest water that the machine and its controller give" in answer.sentence
    assert "design_flow_c" not in answer.sentence
    assert "What would help: larger emitters; less heat loss." in answer.sentence


def test_what_is_set_may_be_the_best() -> None:
    today = stub_year("home", 2000.0)
    assert said_of(today, today, None)[0] == (
        "Keep what is set: a year costs about €2,000, and no schedule that was tried costs less; rooms are warm enough "
        "and hot water comes."
    )


def test_the_answer_holds_the_sheet_and_the_figures_of_both_years() -> None:
    made = found()
    answer = schedule_answer(made)
    assert [table.name for table in answer.tables] == ["schedules", "settings"]
    both = answer.tables[0].frame
    assert both["year_cost"].tolist() == [made.today.bill.total, made.best.bill.total]
    assert both["year_cost_low"].iloc[1] < made.best.bill.total < both["year_cost_high"].iloc[1]
    sheet = answer.tables[1].cells(answer.notation)
    assert ["hot cycle", "every Sunday from 13:00 to 60 °C: leave it on", "the same"] in sheet
    assert answer.data["saving"] == pytest.approx(made.saving)
    assert "likely" in answer.sentence
    assert [picture.name for picture in answer.pictures] == ["cost", "cold_week"]
    assert "come before anything said here" in answer.cautions[-1]
    assert "K·h" not in answer.sentence


def test_an_answer_without_samples_has_no_range() -> None:
    answer = schedule_answer(replace(found()), ranged=False)
    assert "likely" not in answer.sentence.lower()
