"""Combinations of measures in; the one with which a home that lacks comfort should begin, out."""

from __future__ import annotations

from collections.abc import Sequence

from simkit.arrays import Bools, Floats
from simkit.year.comfort import YearComfort

GREAT_STEP = 0.5  # own: of what is missing; a set that leaves more of it makes no home warm
SMALL_STEP = 0.05  # own: of what the nearest mends; nobody buys a measure for less


def warming(comforts: Sequence[YearComfort], chosen: Bools, cost: Floats, saved: Floats) -> int | None:
    """Number of the cheapest combination to buy that gives all of the needed comfort; else of the nearest to it.

    Parameters
    ----------
    comforts
        Comfort of each combination, (combinations,); the first is the home as it is.
    chosen
        Which measures each holds, (combinations, n).
    cost, saved
        What each costs at once, and what it saves a year, (combinations,) [currency].

    Returns
    -------
    int or None
        None for a home that lacks nothing, and where even the nearest is no great step.
    """
    now, size = comforts[0], chosen.sum(axis=1)
    held = [row for row, comfort in enumerate(comforts) if comfort.held]
    if now.held:
        return None
    if held:
        return min(held, key=lambda row: (cost[row], size[row], -saved[row]))
    row = min(range(len(size)), key=lambda row: (*comforts[row].how_far, cost[row], size[row]))
    nearest = comforts[row]
    if not nearest.no_worse_than(now) or nearest.shortfall > GREAT_STEP * now.shortfall:
        return None
    most = nearest.shortfall + SMALL_STEP * (now.shortfall - nearest.shortfall)
    near = [k for k, one in enumerate(comforts) if one.no_worse_than(nearest) and one.shortfall <= most]
    return min(near, key=lambda k: (cost[k], size[k], comforts[k].how_far))
