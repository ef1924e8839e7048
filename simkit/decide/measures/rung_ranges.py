"""A ladder of measures in; the likely range of what each of its rungs adds, on shared samples, out."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.building import air_saved_w_per_k
from simkit.decide.measures.combinations import at_tariff
from simkit.decide.measures.ladder import Ladder
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.ranges import Range
from simkit.uncertainty.sampled_years import sampled_home, sampled_years


def rung_ranges(ladder: Ladder, samples: int = 32) -> pd.DataFrame:
    """Sample what each rung adds a year; rungs share their samples.

    Parameters
    ----------
    ladder
        What `rank_measures` gave.
    samples
        How many.

    Returns
    -------
    DataFrame
        10th, 50th and 90th percentile by rung [currency a year]; `moved` is how far the first half of the samples puts
        an end of that range elsewhere [currency].
    """
    base = ladder.combined.cases[0]
    draws = draws_of(base, samples)
    costs = [_sampled(ladder, row, draws) for row in (0, *(rung.row for rung in ladder.rungs))]
    rows = []
    for before, after in pairwise(costs):
        added = before - after
        half, whole = Range.of(added[: max(samples // 2, 1)]), Range.of(added)
        moved = max(abs(whole.low - half.low), abs(whole.high - half.high))
        rows.append((whole.low, whole.middle, whole.high, moved))
    names = pd.Index([rung.measure.name for rung in ladder.rungs], name="measure")
    return pd.DataFrame(rows, columns=["low", "middle", "high", "moved"], index=names)


def _sampled(ladder: Ladder, row: int, draws: pd.DataFrame) -> Floats:
    """A year's cost of a combination at its best tariff, sample by sample, (samples,) [currency]."""
    c = ladder.combined
    at = int(c.costs[row].argmin())
    case = c.cases[row] if at == 0 else at_tariff(c.cases[row], ladder.tariffs[at - 1])
    by_parts = case.home is not c.cases[0].home
    air = air_saved_w_per_k(case) - air_saved_w_per_k(c.cases[0])  # counted in the sampled home by itself
    saved = 0.0 if by_parts else float(c.losses[0] - c.losses[row]) - air
    burnt = case if by_parts else c.cases[0]
    return sampled_years(sampled_home(case, draws, as_burnt=burnt, loss_saved_w_per_k=saved)).total
