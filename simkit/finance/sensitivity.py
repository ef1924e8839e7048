"""A function of uncertain inputs in; which of them decide its result, one at a time and all together, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import nan
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import CaseError, Fault
from simkit.finance.cash import discount_factors
from simkit.finance.risk import sampled_costs
from simkit.kept.memory import memo
from simkit.uncertainty.distributions import Distribution, distributions_of, with_own
from simkit.uncertainty.draws import centred
from simkit.uncertainty.sampled_years import sampled_home, sampled_years

if TYPE_CHECKING:
    from simkit.finance.cashflow import OptionMoney
    from simkit.finance.worth import Worth

Result = Callable[[pd.DataFrame], Floats]

LOW, HIGH = 0.1, 0.9


def gain_of(weighed: Worth, name: str, against: str | None = None) -> Result:
    """The gain of an option over the horizon in today's money, as a function of rows of inputs, (rows,) [currency].

    The weather of a row is that of its first year; later years are usual ones.
    """
    base = against or weighed.against
    money = weighed.money
    factors = discount_factors(money.discount_rate, money.horizon_years)

    def gain(rows: pd.DataFrame) -> Floats:
        content = tuple(rows.columns), rows.to_numpy(dtype=np.float64).tobytes()
        costs = {each: _usual_costs(weighed.option(each), *content) for each in (base, name)}
        return np.asarray((costs[base] - costs[name]) @ factors)

    return gain


@memo
def _usual_costs(option: OptionMoney, columns: tuple[str, ...], content: bytes) -> Floats:
    """Amounts of an option by row of inputs and year; it is weighed against several others by the same rows."""
    rows = pd.DataFrame(np.frombuffer(content).reshape(-1, len(columns)), columns=list(columns))
    return sampled_costs(option, sampled_years(sampled_home(option.case, rows)), seed=None)


def swings(result: Result, distributions: Sequence[Distribution]) -> pd.DataFrame:
    """Move one input at a time to its 10th and 90th percentile, the others at their middle.

    Parameters
    ----------
    result
        Function of rows of inputs.
    distributions
        The inputs; those without spread are left out.

    Returns
    -------
    DataFrame
        Index `input`, the widest swing first; columns `at_low`, `at_high` (the result), `low`, `high` (the input),
        `swing`, and `middle`, the result with everything at its middle.
    """
    moving = [one for one in distributions if one.spread > 0.0]
    base = centred(distributions)
    rows = pd.concat([base] * (1 + 2 * len(moving)), ignore_index=True)
    for k, one in enumerate(moving):
        rows.loc[1 + 2 * k, one.name], rows.loc[2 + 2 * k, one.name] = one.at(np.array([LOW, HIGH])).tolist()
    found = result(rows)
    table = pd.DataFrame(
        {
            "at_low": found[1::2], "at_high": found[2::2],
            "low": [float(one.at(np.array([LOW]))[0]) for one in moving],
            "high": [float(one.at(np.array([HIGH]))[0]) for one in moving],
        },
        index=pd.Index([one.name for one in moving], name="input"),
    )  # fmt: skip
    table["swing"] = (table["at_high"] - table["at_low"]).abs()
    table["middle"] = found[0]
    return table.sort_values("swing", ascending=False)


def tornado(weighed: Worth, name: str, *, against: str | None = None, own: Sequence[Distribution] = ()) -> pd.DataFrame:
    """The tornado of an option's gain: which inputs decide it [currency]."""
    inputs = with_own(distributions_of(weighed.base.case), own)
    return swings(gain_of(weighed, name, against), inputs)


def global_shares(
    result: Result, distributions: Sequence[Distribution], *, base: int = 128, seed: int = 1
) -> pd.DataFrame:
    """Share of the result's variance that each input causes, alone and with all that it takes part in (Sobol indices).

    Parameters
    ----------
    result
        Function of rows of inputs, called once with all of them.
    distributions
        The inputs; those without spread are left out.
    base
        Size of the base sample, a power of 2; the result is asked for base × (inputs + 2) rows.
    seed
        Makes a run repeatable.

    Returns
    -------
    DataFrame
        Index `input`; `alone` and `alone_sure_within` (first-order index and the half-width of its 95 % interval),
        `in_all` and `in_all_sure_within` (total index).

    Raises
    ------
    CaseError
        Where SALib, an extra, isn't installed, or the base is no power of 2.
    """
    if base < 2 or base & (base - 1):
        raise CaseError(Fault("global sensitivities", f"base = {base}", "is no power of 2", "Ask for 128, for example"))
    try:
        from SALib.analyze import sobol as analyse
        from SALib.sample import sobol as sample
    except ImportError:
        remedy = "Install it with: pip install 'home-heat-simkit[sensitivity]'"
        raise CaseError(Fault("global sensitivities", "SALib", "is needed and isn't installed", remedy)) from None
    moving = [one for one in distributions if one.spread > 0.0]
    names = [one.name for one in moving]
    problem = {"num_vars": len(names), "names": names, "bounds": [[0.0, 1.0]] * len(names)}
    unit = sample.sample(problem, base, calc_second_order=False, seed=seed)
    rows = pd.concat([centred(distributions)] * len(unit), ignore_index=True)
    for k, one in enumerate(moving):
        rows[one.name] = one.at(unit[:, k])
    found = result(rows)
    if not np.ptp(found) > 0:
        return pd.DataFrame(nan, index=pd.Index(names, name="input"), columns=list(COLUMNS.values()))
    shares = analyse.analyze(problem, found, calc_second_order=False, seed=seed)
    table = pd.DataFrame(
        {ours: shares[theirs] for theirs, ours in COLUMNS.items()}, index=pd.Index(names, name="input")
    )
    return table.sort_values("in_all", ascending=False)


COLUMNS = {"S1": "alone", "S1_conf": "alone_sure_within", "ST": "in_all", "ST_conf": "in_all_sure_within"}
