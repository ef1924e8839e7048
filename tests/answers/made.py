"""Samples and invented homes in, every answer that the checks of the faces go through out: each made once."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache

from homes import NAMES, sample
from invented_homes import invented_home

from simkit.answers.answer import Answer
from simkit.answers.comparison import comparison_answer
from simkit.answers.description import description_answer
from simkit.answers.year import year_answer
from simkit.case.build import vary
from simkit.decide.assumptions import assumptions_of
from simkit.year.compare import Comparison, compare
from simkit.year.simulate import simulate
from simkit.year.year import Year

INVENTED = int(os.environ.get("SIMKIT_FACES_CASES", "8"))  # 40 for the long check
CASES = (*NAMES, *range(INVENTED))


@dataclass(frozen=True)
class Said:
    """An answer, with the years that it speaks of and, where it is one, the comparison."""

    answer: Answer
    years: tuple[Year, ...]
    comparison: Comparison | None = None


@cache
def said_of(which: str | int) -> tuple[Said, ...]:
    """The answers of a sample, ranges and all, or of an invented home, a few of which have ranges."""
    ranged = isinstance(which, str) or which % 4 == 0
    compared = compare(sample(which)) if isinstance(which, str) else _invented(which)
    one = compared.base if isinstance(which, int) else simulate(sample(which))
    found = [
        Said(year_answer(one, ranged=ranged), (one,)),
        Said(comparison_answer(compared, ranged=ranged), compared.years, compared),
    ]
    if isinstance(which, str):
        found.append(Said(description_answer(assumptions_of(one, compared.years)), (one, *compared.years)))
    return tuple(found)


def _invented(number: int) -> Comparison:
    """An invented home beside itself: kept warmer, run hotter, and with water of 60 °C."""
    home, _ = invented_home(number)
    options = {
        "as drawn": {}, "kept at 20 °C": {"controls.setback_c": 20.0}, "flow 60 °C": {"controls.design_flow_c": 57.0},
        "water at 60 °C": {"hot_water.target_c": 60.0},
    }  # fmt: skip
    years = [simulate(vary(home, {"name": name, **changes})) for name, changes in options.items()]
    return Comparison(tuple(years), "as drawn")
