"""What a set-back does is said under every recovery, with the cold rooms beside the money."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import pytest
from decide.invented import terrace

from simkit.answers.cautions import COLD_NIGHT
from simkit.answers.setback import setback_answer, setback_sentences
from simkit.decide.schedule.setback import SetBack, set_back
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")


@lru_cache(maxsize=1)
def found() -> SetBack:
    return set_back(terrace())


@pytest.mark.parametrize(
    ("full", "words"),
    [(1010.0, "hotter water pays more than was saved."), (960.0, "hotter water gives a part of the saving back."),
     (890.0, "hotter water saves too.")],
)  # fmt: skip
def test_it_says_why_people_disagree(full: float, words: str) -> None:
    rows = found().rows.copy()
    for place, cost in {("steady", "gentle"): 1000.0, ("steady", "full"): 1000.0, ("set back", "gentle"): 900.0,
                        ("set back", "full"): full}.items():  # fmt: skip
        rows.loc[place, "cost"] = cost
    said = " ".join(setback_sentences(replace(found(), rows=rows), IRISH)).replace("\u00a0", " ")
    assert "warmed up again slowly, the home is too cold: " in said
    assert "; it costs €100 less a year than steady heating." in said
    assert said.count("That is why people disagree") == 1
    assert words in said


def test_cold_rooms_are_shown_and_never_advised() -> None:
    warm, cold = (replace(found(), rows=found().rows.assign(min_room_c=least)) for least in (18.5, 16.9))
    assert not any("not advised" in text for text in setback_sentences(warm, IRISH))
    assert setback_sentences(cold, IRISH)[-1] == "What falls under 18 °C is shown and not advised."
    assert COLD_NIGHT in setback_answer(cold).cautions
    assert COLD_NIGHT not in setback_answer(warm).cautions


def test_each_row_shows_cost_beside_comfort() -> None:
    answer = setback_answer(found())
    (table,) = answer.tables
    assert len(table.frame) == 9
    assert table.frame.loc["set back, full recovery", "year_cost"] == found().rows.at[("set back", "full"), "cost"]
    assert table.frame.loc["steady, full recovery", "comfort"] == "warm enough"
    assert table.frame.loc["set back, gentle recovery", "comfort"].startswith("too cold: ")
