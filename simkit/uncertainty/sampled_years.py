"""An option and rows of sampled inputs in; its year simulated and charged for every row out, in batches of lanes.

Prices are left as they stand: rows are years of energy and of comfort, and money is made of them afterwards, so that
another price needs no new simulation. Memory holds one batch a thread, however many rows there are.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.assemble.building import air_saved_w_per_k
from simkit.assemble.heat_loss import LEAST_W_PER_K, loss_before_w_per_k
from simkit.assemble.home import Adjustment, home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.billing.charge import fixed_cost
from simkit.billing.cost import CHARGED_AT_ONCE, cost_of, export_earned
from simkit.case.case import Case
from simkit.kept.disk import kept_as
from simkit.kept.memory import memo
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import LANES, many_homes
from simkit.kernel.run import ManyYears, run_homes
from simkit.performance.boundaries import performance
from simkit.profiles.one_home import seed_of
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.heat_loss import sampled_losses
from simkit.weather.record import Weather
from simkit.weather.years import weather_years

Progress = Callable[[int, int], None]

WEATHER_YEARS = 8
USUAL = 0  # number of the usual weather; the sampled years follow from 1, from the coldest to the mildest


@dataclass(frozen=True, eq=False)
class SampledHome:
    """One option with its sampled homes, not yet simulated.

    Attributes
    ----------
    case, setting
        The option, and its axis and prices in the usual weather.
    draws
        Sampled inputs, a row each.
    settings
        What surrounds it in the usual weather and in each sampled year.
    number
        Number of the weather of each row, (rows,).
    losses, adjustments
        Heat loss of each row, (rows,) [W/K], and how its home differs else.
    central_loss
        Heat loss of the home as stated [W/K].
    """

    case: Case
    setting: Setting
    draws: pd.DataFrame
    settings: tuple[Setting, ...]
    number: Ints
    losses: Floats
    adjustments: tuple[Adjustment, ...]
    central_loss: float

    def inputs(self, rows: Iterable[int] | None = None) -> list[HomeInputs]:
        """Describe rows to the kernel; all of them where none are named."""
        return [
            home_inputs(self.case, self.settings[self.number[i]], float(self.losses[i]), self.adjustments[i])
            for i in (range(len(self.draws)) if rows is None else rows)
        ]


@dataclass(frozen=True, eq=False)
class SampledYears:
    """Sampled years of one option, one row each.

    Attributes
    ----------
    home
        The option and its sampled homes.
    rows
        Columns `electricity_cost` (energy bought, at today's prices), `export_cost` (negative), `fuel_cost`,
        `standing_cost` [currency], `import_kwh`, `fuel_kwh`, `heat_kwh`, `heat_pump_kwh`, `spf_h4`,
        `degree_hours_below`, and `weather`, the number of its year.
    """

    home: SampledHome
    rows: pd.DataFrame

    @cached_property
    def total(self) -> Floats:
        """What each sampled year costs at its sampled prices, (rows,) [currency]."""
        return cost_at_sampled_prices(self.rows, self.home.draws)

    @cached_property
    def by_weather(self) -> pd.DataFrame:
        """The home as stated in the usual weather (row 0) and in every sampled year: the same columns."""
        home, axis = self.home, self.home.setting.axis
        homes = [home_inputs(home.case, one, home.central_loss) for one in home.settings]
        return charged(home.case, home.setting, run_homes(homes, axis.steps, axis.hours))


def cost_at_sampled_prices(rows: pd.DataFrame, draws: pd.DataFrame) -> Floats:
    """What each year costs, (rows,) [currency]: prices of energy as sampled, standing charges and export as today."""
    energy = rows["electricity_cost"] * draws["electricity_price"] + rows["fuel_cost"] * draws["fuel_price"]
    return np.asarray(energy + rows["export_cost"] + rows["standing_cost"])


@memo
def weathers(weather: Weather, sd_k: float, seed: int) -> tuple[Weather, ...]:
    """The usual weather, then the sampled years from the coldest to the mildest; without a spread all are the usual."""
    if not sd_k > 0.0:
        return (weather,) * (1 + WEATHER_YEARS)
    years = weather_years(weather, WEATHER_YEARS, sd_k=sd_k, seed=seed)
    return (weather, *sorted(years, key=lambda year: float(year.frame["outdoor_c"].mean())))


def sampled_home(
    case: Case,
    draws: pd.DataFrame | None = None,
    *,
    setting: Setting | None = None,
    as_burnt: Case | None = None,
    loss_saved_w_per_k: float = 0.0,
) -> SampledHome:
    """Make the sampled homes of an option.

    Parameters
    ----------
    case
        The option.
    draws
        Columns as `distributions_of` names them; `weather` is a rank from 0 (coldest) to 1 (mildest), NaN for the
        usual year; where none is of the usual year, each row meets a household of its own too. None takes the samples
        of the case.
    setting
        Its axis and prices in the usual weather; None takes its own step.
    as_burnt
        The home as it burnt the stated fuel, where it was changed since; None where it wasn't.
    loss_saved_w_per_k
        Heat loss that was taken away since [W/K].
    """
    draws = draws_of(case) if draws is None else draws
    setting, known = setting or setting_for(case), as_burnt or case
    years = weathers(setting.weather, case.uncertainty.weather_sd_k, case.uncertainty.seed)
    rank = draws["weather"].to_numpy()
    number = 1 + np.minimum(np.nan_to_num(rank * WEATHER_YEARS).astype(np.int64), WEATHER_YEARS - 1)
    losses, adjustments = sampled_losses(known, draws)
    if case.household.one and not np.isnan(rank).any():  # inputs that are moved one by one meet the usual household
        adjustments = tuple(replace(one, household=seed_of(row)) for row, one in enumerate(adjustments))
    loss_saved_w_per_k += air_saved_w_per_k(case)
    return SampledHome(
        case, setting, draws,
        tuple(Setting(setting.axis, weather, setting.signal, setting.folder) for weather in years),
        np.where(np.isnan(rank), USUAL, number),
        np.maximum(losses - loss_saved_w_per_k, LEAST_W_PER_K), adjustments,
        max(loss_before_w_per_k(known) - loss_saved_w_per_k, LEAST_W_PER_K),
    )  # fmt: skip


def sampled_years(
    home: SampledHome,
    *,
    known: pd.DataFrame | None = None,
    progress: Progress | None = None,
    batch: int = CHARGED_AT_ONCE,
) -> SampledYears:
    """Simulate and charge every sampled home of an option.

    Parameters
    ----------
    home
        The option and its sampled homes.
    known
        The first of its rows, where they were simulated before.
    progress
        Called after each batch with the rows done and all rows.
    batch
        Rows held in memory at a time.
    """
    rows = kept_as(lambda: _simulated(home, known, progress, batch), *_made_from(home, known))
    return SampledYears(home, rows.assign(weather=home.number))


def _made_from(home: SampledHome, known: pd.DataFrame | None) -> tuple[Any, ...]:
    """What the rows of a home depend on: the case with its prices and the content of its files among it."""
    case, files = home.case, [path.read_bytes() for path in home.case.files]
    surrounded = (home.setting.axis, home.setting.weather, home.setting.signal)
    beside = None if known is None else known.to_numpy()
    return "rows", case, case.tariff, files, surrounded, home.draws, home.number, home.losses, home.adjustments, beside


def _simulated(home: SampledHome, known: pd.DataFrame | None, progress: Progress | None, batch: int) -> pd.DataFrame:
    axis, count, threads = home.setting.axis, len(home.draws), os.cpu_count() or 1

    def one(rows: range) -> pd.DataFrame:
        return charged(home.case, home.setting, run_homes(home.inputs(rows), axis.steps, axis.hours, threads=1))

    size = min(batch, LANES * -(-count // (LANES * threads)))  # a few rows are shared by all threads too
    parts: list[pd.DataFrame] = [] if known is None else [known.head(count)]
    begin = sum(map(len, parts))
    if begin and progress is not None:
        progress(begin, count)
    batches = [range(start, min(start + size, count)) for start in range(begin, count, size)]
    many_homes()  # made before the threads start, so that they don't race to compile it
    # A batch a thread: while one packs and charges, the other computes. Two batches are in memory at a time.
    with ThreadPoolExecutor(threads) as pool:
        for rows, part in zip(batches, pool.map(one, batches), strict=True):
            parts.append(part)
            if progress is not None:
                progress(rows.stop, count)
    return pd.concat(parts, ignore_index=True)


def charged(case: Case, setting: Setting, made: ManyYears, *, granted: bool = False) -> pd.DataFrame:
    """Money at today's prices and energy of simulated homes, a row each; `granted` as for the bill."""
    axis, bought = setting.axis, made.flow("grid_import")
    fixed = fixed_cost(case.tariff, axis, country=case.site.country)
    cost, earned = cost_of(case, axis, made, granted=granted), export_earned(case, axis, made)
    return pd.DataFrame(
        {
            "electricity_cost": cost.electricity - fixed + earned,
            "export_cost": -earned,
            "fuel_cost": cost.fuel,
            "standing_cost": fixed + cost.fuel_standing,
            "import_kwh": (bought * axis.hours).sum(axis=0),
            "fuel_kwh": cost.fuel_kwh,
            "heat_kwh": made.totals.space_heat + made.totals.hot_water,
            "heat_pump_kwh": made.totals.heat_pump_space + made.totals.heat_pump_water,
            "spf_h4": performance(made.totals, None).h4,
            "degree_hours_below": made.totals.below_k,
        }
    )
