"""A year that a caution is judged by in; how bad what it warns of is there, so that options can be told apart, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.notation import Notation, named
from simkit.year.year import Year

STORED_C = 60.0  # HSE, HSG274 part 2: hot water stored at 60 °C or more
REACHED_K = 0.5  # own: water within half a kelvin of 60 °C counts as having reached it


class Subject(NamedTuple):
    """What a caution is judged by: a year, its case, what is proposed beyond it, and how numbers are written."""

    year: Year
    case: Case
    topics: frozenset[str]
    notation: Notation


def hottest_c(on: Subject) -> Floats:
    """Highest temperature of the cylinder on each day, (days,) [°C]."""
    hottest = np.full(len(on.year.axis.dates), -np.inf)
    np.maximum.at(hottest, on.year.axis.day, on.year.flow("cylinder_hot_c"))
    return hottest


def days_unstored(on: Subject) -> float:
    """Days on which stored water stays under 60 °C; among homes where it always does, the coolest is worst."""
    if on.case.hot_water.heated_by != "heating":
        return 0.0
    hottest = hottest_c(on)
    return float((hottest < STORED_C - REACHED_K).sum()) + max(STORED_C - float(hottest.max()), 0.0)


def missing_kw(on: Subject) -> float:
    """What the machine lacks on the design day [kW]; one that the cold stops is worse than any that is small."""
    design, machine = on.year.design_kw, on.case.heat_pump
    if design is None or machine is None:
        return 0.0
    outdoor = on.year.setting.weather.frame["outdoor_c"].to_numpy()
    stopped = (outdoor < machine.lowest_outdoor_c).sum() if machine.source == "air" else 0
    return 1000.0 * float(stopped) + design[0] - design[1]


def over_fuse_kw(on: Subject) -> float:
    """By how much the highest import is over the main fuse [kW]; below zero where it is under."""
    return 0.0 if on.year.fuse is None else on.year.fuse.peak_kw - on.year.fuse.limit_kw


def worst(found: Sequence[tuple[str, str, Subject]], worse: Callable[[Subject], float] | None, of: int) -> str:
    """The words of the worst option, with the names of those that it holds for where they are not all alike."""
    ranked = sorted(found, key=lambda one: (-worse(one[2]) if worse else 0.0, one[1]))
    words = ranked[0][0]
    same = sorted({name for text, name, _ in found if text == words})
    others = sorted({name for text, name, _ in found if text != words} - set(same))
    if not others and len(found) == of:
        return words
    whose = ", ".join(map(named, same))
    whose += f" worst, and {', '.join(map(named, others))}" if others else ""
    return f"{words[:-1]} (with {whose})."
