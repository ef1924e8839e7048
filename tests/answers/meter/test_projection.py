"""A fitted home's year: its range first, the design beside it, and no meter praised that tells next to nothing."""

from __future__ import annotations

import io
from functools import cache

import pytest
from meter.homes import fitted
from rich.console import Console

from simkit.answers.answer import Answer
from simkit.answers.cautions import COLD_NIGHT, LAST
from simkit.answers.meter.fit import held_out_sentences
from simkit.answers.meter.projection import _next, projection_answer
from simkit.meter.fitting.narrowing import Step
from simkit.meter.fitting.projection import Projection, project
from simkit.notation import Notation
from simkit.reporting.on_page import answer_page
from simkit.reporting.on_terminal import answer_view

IRISH = Notation("en_IE", "EUR")


@cache
def _made() -> tuple[Projection, Answer]:
    made = project(fitted(), lanes=32, weather_count=8)
    return made, projection_answer(made, files=("readings.csv",))


def test_every_face_says_it_in_that_order() -> None:
    _, answer = _made()
    first, then = "Tried on its own days", "A year will cost about"
    terminal = io.StringIO()
    Console(file=terminal, width=200).print(answer_view(answer))
    for shown in (terminal.getvalue(), answer_page(answer), answer._repr_html_()):
        assert 0 < shown.index(first) < shown.index(then)


def test_how_well_it_predicted_its_own_days_comes_before_the_year_with_its_range() -> None:
    made, answer = _made()
    cost = made.year_cost
    said = f"A year will cost about {answer.notation.estimate(cost.middle, cost)} (likely {answer.notation.span(cost)})"
    assert answer.sentences[0].startswith("Tried on its own days, each third of them predicted from the others: ")
    assert answer.sentences[len(held_out_sentences(made.fit, answer.notation))].startswith(said)
    assert "The home loses about " in answer.sentence
    assert "will save" not in answer.sentence
    assert answer.data["year_cost"] == [cost.low, cost.middle, cost.high]
    assert list(answer.data["months"]) == list(made.months.reset_index())
    assert answer.tables[0].frame["month_cost"].tolist() == made.months["month_cost_middle"].tolist()
    assert answer.data["files"] == ["readings.csv"]


def test_who_proposes_a_cold_night_says_whom_it_may_hurt() -> None:
    _, answer = _made()
    assert "A cool-down night" in next(table for table in answer.tables if table.name == "next").frame.index
    assert answer.cautions[0] == COLD_NIGHT
    assert "18 °C" in COLD_NIGHT
    assert answer.cautions[-1] == LAST


@pytest.mark.short
def test_what_tells_next_to_nothing_is_not_praised() -> None:
    heat, night = Step("a heat meter, for a month", 489.0, 488.0, 0.08, 0.02), Step("a night", 489.0, 489.0, 0.08, 0.08)
    assert _next((heat, night), IRISH).replace("\u00a0", " ") == (
        "No further measurement would narrow the year's range much: most of it is the weather. "
        "For the heat loss itself, best is a heat meter, for a month: it would tell it to 2 % instead of 8 %."
    )
    assert _next((night,), IRISH) == (
        "No further measurement would narrow the year's range much: most of it is the weather."
    )
    more = Step("a month more of the same meter", 489.0, 402.0, 0.08, 0.05)
    assert _next((more, night), IRISH) == (
        "To know the year better: a month more of the same meter; it narrows the range of €489 to €402."
    )
