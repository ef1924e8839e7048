"""One measure of a ladder, and the best set for a budget, with what they save and what they cost."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.case.money.money import Measure


@dataclass(frozen=True)
class Rung:
    """One measure of the ladder.

    Attributes
    ----------
    measure
        What is done.
    adds
        What it saves a year after the rungs before it [currency]; `alone` by itself, `last` after all the others.
    pays_back
        Its cost over what it adds [years]: 0 for a free one, infinite where it adds nothing.
    cost_so_far, saved_so_far
        Of this rung and all before it [currency, currency a year].
    row
        Number of the combination of this rung and all before it.
    for_comfort
        Whether it is taken for the comfort that the home lacks, whatever it saves.
    """

    measure: Measure
    alone: float
    last: float
    adds: float
    pays_back: float
    cost_so_far: float
    saved_so_far: float
    row: int
    for_comfort: bool = False


@dataclass(frozen=True)
class BestSet:
    """The best that a budget buys.

    Attributes
    ----------
    budget
        What may be spent [currency].
    names
        The measures; empty where none is worth its cost.
    cost, saved, net
        What they cost, what they save a year, and that less their even cost a year over their lives [currency].
    tariff
        The tariff that suits the set best.
    """

    budget: float
    names: tuple[str, ...]
    cost: float
    saved: float
    net: float
    tariff: str
