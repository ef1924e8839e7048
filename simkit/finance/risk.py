"""Options, terms of money and sampled years in; ranges, odds, fans, convergence and regret of their worth out.

Every option meets the same samples, so that ranges are taken on differences. Each later year of a life meets a weather
of its own, drawn from the sampled years; prices start from the sampled level and rise at the sampled rate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.finance.cash import discount_factors
from simkit.uncertainty.distributions import Distribution, distributions_of, with_own
from simkit.uncertainty.draws import drawn, draws_of
from simkit.uncertainty.ranges import Range
from simkit.uncertainty.sampled_years import (
    USUAL,
    WEATHER_YEARS,
    Progress,
    SampledHome,
    SampledYears,
    sampled_home,
    sampled_years,
)

if TYPE_CHECKING:
    from simkit.finance.cashflow import OptionMoney
    from simkit.finance.worth import Worth

SAMPLES = 1024
QUANTILES = (0.1, 0.5, 0.9)
KNOWN_ONCE = ("outlay_cost", "spared_cost", "service_cost", "replacement_cost", "residual_cost")


@dataclass(frozen=True)
class PriceFuture:
    """A named way that prices could go, laid over the terms of a case.

    Attributes
    ----------
    name
        What to call it.
    electricity, fuel
        Factors on the prices of today [-].
    electricity_rise, fuel_rise
        Yearly rise on top of the terms' own [share].
    """

    name: str
    electricity: float = 1.0
    fuel: float = 1.0
    electricity_rise: float = 0.0
    fuel_rise: float = 0.0


# Own: round figures, far enough apart to matter, none of them a forecast.
PRICE_FUTURES = (
    PriceFuture("prices as today"),
    PriceFuture("fuel grows expensive", fuel_rise=0.03),
    PriceFuture("electricity grows expensive", electricity_rise=0.03),
    PriceFuture("electricity grows cheap", electricity_rise=-0.02),
)


@dataclass(frozen=True, eq=False, repr=False)
class Prospects:
    """What options may be worth, sample by sample.

    Attributes
    ----------
    worth
        The options and the terms.
    draws
        Sampled inputs, a row each.
    homes
        Sampled years by option.
    """

    worth: Worth
    draws: pd.DataFrame
    homes: Mapping[str, SampledYears]

    @cached_property
    def _costs(self) -> Mapping[str, Floats]:
        return {option.name: sampled_costs(option, self.homes[option.name]) for option in self.worth.options}

    def saved_by_year(self, name: str, against: str | None = None) -> Floats:
        """What an option saves against the alternative by sample and year, (samples, horizon + 1) [currency]."""
        return self._costs[against or self.worth.against] - self._costs[name]

    def gain_samples(self, name: str, against: str | None = None) -> Floats:
        """Gain over the horizon in today's money, (samples,) [currency]."""
        money = self.worth.money
        return np.asarray(
            self.saved_by_year(name, against) @ discount_factors(money.discount_rate, money.horizon_years)
        )

    def gain(self, name: str, against: str | None = None) -> Range:
        """Range of that gain [currency]."""
        return Range.of(self.gain_samples(name, against))

    def first_year_saving(self, name: str, against: str | None = None) -> Range:
        """Range of the saving of the first year of running [currency]."""
        return Range.of(self.saved_by_year(name, against)[:, 1])

    def paid_back(self, name: str, *, discounted: bool = False, against: str | None = None) -> pd.Series[float]:
        """Share of the samples that have paid for themselves for good, by year: the odds of paying back by then."""
        money = self.worth.money
        rate = money.discount_rate if discounted else 0.0
        running = np.cumsum(self.saved_by_year(name, against) * discount_factors(rate, money.horizon_years), axis=1)
        for_good = np.flip(np.logical_and.accumulate(np.flip(running >= -1e-9, axis=1), axis=1), axis=1)
        return pd.Series(for_good.mean(axis=0), index=pd.RangeIndex(running.shape[1], name="year"), name="share")

    def fan(self, name: str, against: str | None = None) -> pd.DataFrame:
        """10th, 50th and 90th percentile of the cumulated saving in today's money, by year [currency]."""
        money = self.worth.money
        factors = discount_factors(money.discount_rate, money.horizon_years)
        running = np.cumsum(self.saved_by_year(name, against) * factors, axis=1)
        low, middle, high = np.quantile(running, QUANTILES, axis=0)
        return pd.DataFrame({"low": low, "middle": middle, "high": high}, index=pd.RangeIndex(len(low), name="year"))

    def convergence(self, name: str, against: str | None = None) -> pd.DataFrame:
        """Range of the gain from the first 16, 32, 64... samples: it should stand still at the end [currency]."""
        samples = self.gain_samples(name, against)
        counts = [2**k for k in range(4, 40) if 2**k < len(samples)] + [len(samples)]
        rows = [Range.of(samples[:count]) for count in counts]
        return pd.DataFrame(
            [{"low": r.low, "middle": r.middle, "high": r.high} for r in rows], index=pd.Index(counts, name="samples")
        )

    def odds(self, name: str, years: int, against: str | None = None) -> float:
        """Share of the samples that have paid for themselves for good within so many years [-]."""
        back = self.paid_back(name, against=against)
        return float(back.iloc[min(max(years, 0), len(back) - 1)])

    def table(self) -> pd.DataFrame:
        """One row by option: ranges of first year's saving and of the gain, and the odds of paying back."""
        rows, years = [], self.worth.money.horizon_years
        for option in self.worth.others:
            first, gain = self.first_year_saving(option.name), self.gain(option.name)
            rows.append(
                {
                    "option": option.name, "saving_low": first.low, "saving": first.middle, "saving_high": first.high,
                    "gain_low": gain.low, "gain": gain.middle, "gain_high": gain.high,
                    "odds_half_way": self.odds(option.name, years // 2),
                    "odds_in_horizon": self.odds(option.name, years),
                    "odds_gain": float((self.gain_samples(option.name) > 0).mean()),
                }
            )  # fmt: skip
        return pd.DataFrame(rows).set_index("option") if rows else pd.DataFrame()

    def __repr__(self) -> str:
        notation = self.worth.base.case.notation
        said = f"{notation.number(len(self.draws))} samples of {len(self.homes)} options"
        return f"{said}\n{notation.frame(self.table())}"


def prospects(
    weighed: Worth,
    *,
    samples: int = SAMPLES,
    seed: int | None = None,
    own: Sequence[Distribution] = (),
    progress: Progress | None = None,
) -> Prospects:
    """Sample the homes and prices behind a worth.

    Parameters
    ----------
    weighed
        Options and terms.
    samples
        How many sampled home-years of every option.
    seed
        Makes a run repeatable; None takes that of [uncertainty].
    own
        Distributions that take the place of the kit's own of the same name.
    progress
        Called with the home-years done and all of them.
    """
    base = weighed.base.case
    inputs = with_own(distributions_of(base), own)
    draws = drawn(inputs, samples, seed=base.uncertainty.seed if seed is None else seed)
    all_rows = samples * len(weighed.options)
    homes: dict[str, SampledYears] = {}

    def tell(done: int, _: int) -> None:  # of one option's rows as part of those of all options
        if progress is not None:
            progress(len(homes) * samples + done, all_rows)

    for option in weighed.options:
        home = sampled_home(option.case, draws)
        homes[option.name] = sampled_years(home, known=_known(option, home), progress=tell)
    return Prospects(weighed, draws, homes)


def _known(option: OptionMoney, home: SampledHome) -> pd.DataFrame | None:
    """The rows behind the range of the option's year, where they are the first of these: they need no second run."""
    year, count = option.year, len(home.draws)
    first = draws_of(year.case).head(count)
    alike = option.case.digest == year.case.digest and year.axis.step_minutes == home.setting.axis.step_minutes
    return year.samples.rows if alike and first.equals(home.draws.head(len(first))) else None


def sampled_costs(option: OptionMoney, sampled: SampledYears, *, seed: int | None = 7) -> Floats:
    """Amounts of an option by sample and year, (samples, horizon + 1) [currency].

    Energy is that of the sampled first year; later years meet weathers of their own, drawn by `seed` (all of them the
    usual one where it is None): each year's energy is moved by what the home as stated uses in that weather against the
    sample's own. Rises, wear, ageing, service, replacements, residual and ledger are those of the yearly table.
    """
    cash, money, draws = option.cash, option.money, sampled.home.draws
    years, count = money.horizon_years, len(draws)
    amounts = np.tile(cash[list(KNOWN_ONCE)].sum(axis=1).to_numpy(), (count, 1))
    first = {name: sampled.rows[f"{name}_cost"].to_numpy() for name in ("electricity", "fuel", "standing", "export")}
    t = np.arange(years)
    rises = {
        "electricity": (1.0 + draws["electricity_rise"].to_numpy())[:, None] ** t,
        "fuel": (1.0 + draws["fuel_rise"].to_numpy())[:, None] ** t,
        "standing": (1.0 + money.rise("standing")) ** t,
        "export": (1.0 + money.rise("export")) ** t,
    }
    level = {"electricity": draws["electricity_price"].to_numpy(), "fuel": draws["fuel_price"].to_numpy(),
             "standing": np.ones(count), "export": np.ones(count)}  # fmt: skip
    for name, values in first.items():
        moved = _weather_factors(sampled, f"{name}_cost", years, seed) if name in ("electricity", "fuel") else 1.0
        wear = option.worn if name == "electricity" else 1.0
        older = option.ageing[f"{name}_cost"].to_numpy() if name in ("electricity", "export") else 0.0
        amounts[:, 1:] += (values[:, None] * wear * moved + older) * level[name][:, None] * rises[name]
    return amounts


def _weather_factors(sampled: SampledYears, column: str, years: int, seed: int | None) -> Floats:
    """Energy of each later year's own weather against that of the sample's first year, (samples, years) [-]."""
    own = sampled.rows["weather"].to_numpy()
    each = sampled.by_weather[column].to_numpy()
    if not own.any() or not each.all():
        return np.ones((len(own), years))
    later = np.full((len(own), years), USUAL)
    if seed is not None:
        later = np.random.default_rng(seed).integers(1, WEATHER_YEARS + 1, size=(len(own), years))
    later = np.where(own[:, None] == USUAL, USUAL, later)
    later[:, 0] = own
    return np.asarray(each[later] / each[own][:, None])


def regret(
    weighed: Worth, futures: Sequence[PriceFuture] = PRICE_FUTURES, *, among: Sequence[str] | None = None
) -> pd.DataFrame:
    """What each option costs more than the best one would have, in each named future of prices.

    Parameters
    ----------
    weighed
        Options and terms.
    futures
        The futures, each laid over the terms.
    among
        Names of the options that may be chosen; all where it is left out.

    Returns
    -------
    DataFrame
        One row by option, one column by future, and `greatest`: the regret in today's money [currency]. The option with
        the least greatest regret is the safest choice for somebody who can't tell which future comes.
    """
    options = [option for option in weighed.options if among is None or option.name in among]
    costs = pd.DataFrame({future.name: {one.name: cost_in(one, future) for one in options} for future in futures})
    table = costs - costs.min(axis=0)
    table["greatest"] = table.max(axis=1)
    table.index.name = "option"
    return table


def cost_in(option: OptionMoney, future: PriceFuture) -> float:
    """Whole-life cost of an option in a future [currency]."""
    money, cash = option.money, option.cash
    t = np.arange(-1, money.horizon_years)
    more = np.zeros(len(t))
    for column, factor, rise in (
        ("electricity_cost", future.electricity, future.electricity_rise),
        ("fuel_cost", future.fuel, future.fuel_rise),
    ):
        more += cash[column].to_numpy() * (factor * (1.0 + rise) ** np.maximum(t, 0) - 1.0)
    return option.worth_today + float(more @ discount_factors(money.discount_rate, money.horizon_years))
