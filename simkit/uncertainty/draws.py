"""What is not known exactly in, as distributions; samples that cover them evenly out.

All of the kit draws from one sequence: a scrambled Sobol sequence from the seed of the case, one dimension for each
input. The 64 samples of a yearly range are the first 64 of the thousands behind a worth.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import nan
from typing import Any

import numpy as np
import pandas as pd

from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.kept.disk import on_disk
from simkit.uncertainty.distributions import Distribution, distributions_of

Pairs = Mapping[tuple[str, str], float]

# Own: fuel and electricity are bought in markets that move together, loosely. One common cause is taken to make half of
# the variance of each, and what is left of each is its own: their correlation is √0.5 · √0.5 = 0.5. It holds for next
# year's prices and for their rises; one that were given a share of the other alone would be tied by 0.71.
CORRELATIONS: Pairs = {("electricity_price", "fuel_price"): 0.5, ("electricity_rise", "fuel_rise"): 0.5}


def draws_of(case: Case, count: int | None = None) -> pd.DataFrame:
    """Draw the samples of a case: the same for every option that shares its [uncertainty].

    Parameters
    ----------
    case
        The home.
    count
        Number of samples; None takes `lanes` of its [uncertainty].
    """
    spread = case.uncertainty
    return drawn(distributions_of(case), spread.lanes if count is None else count, seed=spread.seed)


@on_disk
def drawn(
    distributions: Sequence[Distribution], count: int, *, seed: int = 1, correlations: Pairs = CORRELATIONS
) -> pd.DataFrame:
    """Draw samples that cover the distributions evenly: a scrambled Sobol sequence, correlated by a Gaussian copula.

    Parameters
    ----------
    distributions
        The inputs.
    count
        Number of samples, 1 or more; the first ones of a larger draw with the same seed are the same.
    seed
        Makes a run repeatable.
    correlations
        Correlation of pairs of inputs by name, −1 to 1; pairs that are not named are independent.

    Returns
    -------
    DataFrame
        One row for each sample, one column for each input.

    Raises
    ------
    CaseError
        For less than one sample.
    """
    from scipy.special import ndtr
    from scipy.stats import qmc

    if count < 1:
        raise CaseError(Fault("samples", f"count = {count}", "is less than one", "Ask for 1024, for example"))
    names = [one.name for one in distributions]
    wanted = np.eye(len(names))
    for pair, rho in correlations.items():
        if set(pair) <= set(names):
            i, j = (names.index(one) for one in pair)
            wanted[i, j] = wanted[j, i] = rho
    sequence = qmc.Sobol(len(names), scramble=True, rng=seed)
    power = int(np.ceil(np.log2(max(count, 2))))  # a power of two, so that the sequence is even
    bells = qmc.MultivariateNormalQMC(np.zeros(len(names)), cov=wanted, engine=sequence).random(2**power)
    unit: Any = ndtr(bells[:count])
    return pd.DataFrame({one.name: one.at(unit[:, k]) for k, one in enumerate(distributions)})


def fixed(distributions: Sequence[Distribution], *names: str) -> tuple[Distribution, ...]:
    """The same set with the named inputs held at their centre; weather so held is the usual year, NaN."""
    return tuple(
        replace(one, shape="normal", centre=nan if one.name == "weather" else one.centre, spread=0.0)
        if one.name in names
        else one
        for one in distributions
    )


def centred(distributions: Sequence[Distribution]) -> pd.DataFrame:
    """One row with every input at its middle, and the usual weather."""
    held = fixed(distributions, "weather")
    return pd.DataFrame({one.name: one.at(np.array([0.5])) for one in held})
