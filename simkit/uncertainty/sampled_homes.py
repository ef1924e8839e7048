"""An option and rows of sampled inputs in; its year simulated and charged for every row out, in batches of lanes.

Prices are left as they stand: rows are years of energy and of comfort, and money is made of them afterwards, so that
another price needs no new simulation. Memory holds one batch a thread, however many rows there are.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.heat_loss import LEAST_W_PER_K, Burnt, burnt_home, fuel_burnt, loss_w_per_k, stated_fuel_kwh
from simkit.assemble.home import Adjustment, Setting, heat_loss_w_per_k, home_inputs
from simkit.assemble.setting import setting_for
from simkit.billing.charge import fixed_cost
from simkit.billing.cost import cost_of
from simkit.case.build import Case
from simkit.kernel.kernel import many_homes
from simkit.kernel.run import ManyYears, run_homes
from simkit.performance.boundaries import performance
from simkit.uncertainty.distributions import Distribution, distributions_of, drawn, fixed
from simkit.weather.record import Weather
from simkit.weather.years import weather_years

Progress = Callable[[int, int], None]

BATCH = 256  # lanes held at a time: some 40 MB of import and export at hourly steps
WEATHER_YEARS = 8
SURFACE_NODES = 96
REFINED_ROWS = 2048
USUAL = 0  # number of the usual weather; the sampled years follow from 1, from the coldest to the mildest


@dataclass(frozen=True, eq=False)
class HomeSamples:
    """Sampled years of one option, one row each.

    Attributes
    ----------
    rows
        Columns `electricity_cost` (energy bought, at today's prices), `export_cost` (negative), `fuel_cost`,
        `standing_cost` [currency], `import_kwh`, `fuel_kwh`, `heat_kwh`, `heat_pump_kwh`, `spf_h4`,
        `degree_hours_below`, and `weather`, the number of its year.
    by_weather
        The home as stated in the usual weather (row 0) and in every sampled year: the same columns.
    """

    rows: pd.DataFrame
    by_weather: pd.DataFrame


@lru_cache(maxsize=16)
def weathers(weather: Weather, sd_k: float, seed: int) -> tuple[Weather, ...]:
    """The usual weather, then the sampled years from the coldest to the mildest."""
    years = weather_years(weather, WEATHER_YEARS, sd_k=sd_k, seed=seed)
    return (weather, *sorted(years, key=lambda year: float(year.frame["outdoor_c"].mean())))


def sampled_home(
    case: Case,
    step_minutes: int,
    draws: pd.DataFrame,
    *,
    progress: Progress | None = None,
    batch: int = BATCH,
    as_burnt: Case | None = None,
    loss_saved_w_per_k: float = 0.0,
) -> HomeSamples:
    """Simulate an option for every row of sampled inputs, and charge every year.

    Parameters
    ----------
    case
        The option.
    step_minutes
        Length of a step [min].
    draws
        Columns as `distributions_of` names them; `weather` is a rank from 0 (coldest) to 1 (mildest), NaN for the
        usual year.
    progress
        Called after each batch with the rows done and all rows.
    batch
        Rows held in memory at a time.
    as_burnt
        The home as it burnt the stated fuel, where it was changed since; None where it wasn't.
    loss_saved_w_per_k
        Heat loss that was taken away since [W/K].
    """
    setting = setting_for(case, step_minutes)
    years = weathers(setting.weather, case.uncertainty.weather_sd_k, case.uncertainty.seed)
    rank = np.nan_to_num(draws["weather"].to_numpy() * WEATHER_YEARS, nan=0.0)
    number = 1 + np.minimum(rank.astype(np.int64), WEATHER_YEARS - 1)
    number[np.isnan(draws["weather"].to_numpy())] = USUAL
    settings = [Setting(setting.axis, weather, setting.signal, setting.folder) for weather in years]
    known = case if as_burnt is None else as_burnt
    losses, adjustments = _homes(known, step_minutes, draws)
    losses = [max(loss - loss_saved_w_per_k, LEAST_W_PER_K) for loss in losses]

    def one(rows: range) -> pd.DataFrame:
        homes = [home_inputs(case, settings[number[i]], losses[i], adjustments[i]) for i in rows]
        return charged(case, setting, run_homes(homes, setting.axis.steps, setting.axis.hours, threads=1))

    parts = []
    batches = [range(start, min(start + batch, len(draws))) for start in range(0, len(draws), batch)]
    many_homes()  # made before the threads start, so that they don't race to compile it
    # A batch a thread: while one packs and charges, the other computes. Two batches are in memory at a time.
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for rows, part in zip(batches, pool.map(one, batches), strict=True):
            parts.append(part)
            if progress is not None:
                progress(rows.stop, len(draws))
    table = pd.concat(parts, ignore_index=True)
    table["weather"] = number
    central = max(loss_w_per_k(known, step_minutes) - loss_saved_w_per_k, LEAST_W_PER_K)
    each = run_homes([home_inputs(case, s, central) for s in settings], setting.axis.steps, setting.axis.hours)
    return HomeSamples(table, charged(case, setting, each))


def _homes(case: Case, step_minutes: int, draws: pd.DataFrame) -> tuple[list[float], list[Adjustment]]:
    """Heat loss [W/K] and adjustment of every row."""
    central = loss_w_per_k(case, step_minutes)
    columns = (draws[name].to_numpy() for name in ("efficiency", "set_point_k", "boiler", "loss", "draws"))
    efficiency, shift, boiler, loss, water = columns
    if heat_loss_w_per_k(case, setting_for(case, step_minutes).weather) is None:
        found, loss = loss_surface(case, step_minutes)(boiler, shift, water), np.ones(len(draws))
        if len(draws) <= REFINED_ROWS:
            found, boiler = _refined(case, step_minutes, found, (boiler, shift, water))
    else:
        found = np.full(len(draws), central)
    adjustments = [
        Adjustment(efficiency=e, set_point_k=s, boiler=b, loss=f, draws=d)
        for e, s, b, f, d in zip(*(x.tolist() for x in (efficiency, shift, boiler, loss, water)), strict=True)
    ]
    return found.tolist(), adjustments


def loss_surface(case: Case, step_minutes: int) -> Callable[[Floats, Floats, Floats], Floats]:
    """Heat loss that burns the stated fuel, as a function of boiler factor, set-point shift [K] and draws factor.

    Found exactly at `SURFACE_NODES` points and laid between them as a cubic of the logarithm: the fuel of a loss so
    found is within 0.5 % of the stated one (tested). Up to `REFINED_ROWS` rows are then corrected one by one, which
    leaves nothing; for more rows that would cost as much again as simulating an option.
    """
    central_loss = loss_w_per_k(case, step_minutes)
    coefficients, central = _surface(burnt_home(case), step_minutes, central_loss, distributions_of(case))

    def at(boiler: Floats, shift_k: Floats, draws: Floats) -> Floats:
        return np.asarray(central * np.exp(_terms(boiler, shift_k, draws) @ coefficients))

    return at


def _refined(
    case: Case, step_minutes: int, losses: Floats, columns: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats]:
    """One Newton step of every row from the surface, with the slope of a home near it [W/K]; and boiler factors.

    What fuel is left over then is within what a cylinder's hysteresis makes of any loss. It is laid on the sampled
    efficiency (a thousandth or less, where its spread is some hundredths), so that a known bill has no spread at all.
    """
    return _newton(burnt_home(case), step_minutes, losses.tobytes(), tuple(column.tobytes() for column in columns))


@lru_cache(maxsize=8)
def _newton(burnt_by: Burnt, step_minutes: int, losses: bytes, columns: tuple[bytes, ...]) -> tuple[Floats, Floats]:
    """The same, memoised: every option of a case asks for it."""
    case, guess = burnt_by.case, np.frombuffer(losses)
    boiler, shift, draws = (np.frombuffer(column) for column in columns)
    each = _adjusted(boiler, shift, draws)
    burnt = fuel_burnt(case, setting_for(case, step_minutes), guess, each)
    ends = fuel_burnt(case, setting_for(case, step_minutes), guess.mean() * np.array([0.98, 1.02]))
    slope = (ends[1] - ends[0]) / (0.04 * guess.mean()) / boiler
    corrected = np.maximum(guess + (stated_fuel_kwh(case) - burnt) / slope, LEAST_W_PER_K)
    left = fuel_burnt(case, setting_for(case, step_minutes), corrected, each) / stated_fuel_kwh(case)
    return corrected, boiler * left


def _adjusted(boiler: Floats, shift_k: Floats, draws: Floats) -> list[Adjustment]:
    """Adjustments of homes on their boiler."""
    each = zip(boiler.tolist(), shift_k.tolist(), draws.tolist(), strict=True)
    return [Adjustment(boiler=b, set_point_k=s, draws=d) for b, s, d in each]


def _terms(boiler: Floats, shift_k: Floats, draws: Floats) -> Floats:
    """All products up to the third order of the three inputs, (n, 20)."""
    x = np.stack([np.log(boiler), np.asarray(shift_k), np.log(draws)])
    powers = [(i, j, k) for i in range(4) for j in range(4 - i) for k in range(4 - i - j)]
    return np.stack([x[0] ** i * x[1] ** j * x[2] ** k for i, j, k in powers], axis=1)


@lru_cache(maxsize=16)
def _surface(
    burnt_by: Burnt, step_minutes: int, central: float, inputs: tuple[Distribution, ...]
) -> tuple[Floats, float]:
    case = burnt_by.case
    others = {one.name for one in inputs} - {"boiler", "set_point_k", "draws"}
    nodes = drawn(fixed(inputs, *others), SURFACE_NODES, seed=3)
    columns = [nodes[name].to_numpy() for name in ("boiler", "set_point_k", "draws")]
    each = _adjusted(columns[0], columns[1], columns[2])
    setting, wanted = setting_for(case, step_minutes), stated_fuel_kwh(case)
    before = central * columns[0]
    burnt_before = fuel_burnt(case, setting, before, each)
    guess = before * (wanted / burnt_before)
    for _ in range(2):
        burnt = fuel_burnt(case, setting, guess, each)
        slope = np.where(
            np.abs(guess - before) > 1e-9, (burnt - burnt_before) / np.where(guess == before, 1.0, guess - before), 0.0
        )
        slope = np.where(slope > 0, slope, burnt / guess)
        before, burnt_before, guess = guess, burnt, np.maximum(guess + (wanted - burnt) / slope, 0.2 * central)
    coefficients, *_ = np.linalg.lstsq(_terms(columns[0], columns[1], columns[2]), np.log(guess / central), rcond=None)
    return np.asarray(coefficients), central


def charged(case: Case, setting: Setting, made: ManyYears) -> pd.DataFrame:
    """Money at today's prices and energy of simulated homes, a row each."""
    axis, bought = setting.axis, made.flow("grid_import")
    fixed = fixed_cost(case.tariff, axis, country=case.site.country)
    cost, earned = cost_of(case, axis, made), np.zeros(bought.shape[1])
    if case.solar is not None or case.battery is not None:
        sold = replace(made, steps={**made.steps, "grid_import": np.zeros_like(bought)})
        earned = fixed - cost_of(case, axis, sold).electricity
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
