"""A case in, its year many times over out, each time with other values of what is not known exactly.

The spreads are the case's own [uncertainty]; they are sampled by a scrambled Sobol sequence from the case's seed, so
that all options of a case meet the same samples and ranges are taken on differences. Where the heat loss came from
fuel, it is found anew in each sample: what is known (the fuel that was burnt) stays known.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from simkit.arrays import Floats, Ints
from simkit.assemble.heat_loss import Burnt, burnt_home, fuel_burnt, loss_w_per_k, stated_fuel_kwh
from simkit.assemble.home import Adjustment, Setting, heat_loss_w_per_k, home_inputs
from simkit.assemble.setting import setting_for
from simkit.billing.charge import fixed_cost
from simkit.billing.cost import cost_of
from simkit.case.build import Case
from simkit.case.money.uncertainty import Uncertainty
from simkit.clock import TimeAxis
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import ManyYears, run_homes
from simkit.performance.boundaries import performance
from simkit.uncertainty.distributions import own_distributions
from simkit.weather.record import Weather
from simkit.weather.years import weather_years

DIMENSIONS = ("efficiency", "set_point", "boiler", "loss", "draws", "price", "fuel_price", "weather")
WEATHER_YEARS = 8
SHARED_PRICE_SHARE = 0.5  # own: fuel and electricity prices share half of their variance
WIDEST = 2.5  # own: samples are held within so many standard deviations


@dataclass(frozen=True, eq=False)
class Samples:
    """What differs from sample to sample, each (n,): factors, shifts, and the number of the weather year."""

    adjustments: tuple[Adjustment, ...]
    price: Floats
    fuel_price: Floats
    weather: Ints


@dataclass(frozen=True, eq=False)
class SampledYears:
    """Outcomes by sample, each (n,).

    Attributes
    ----------
    total
        The year's cost, all in [currency].
    electricity_kwh, fuel_kwh
        Imported electricity; fuel, gross [kWh].
    spf_h4
        Seasonal performance factor H4 [-]; NaN where no heat pump runs.
    degree_hours_below
        Missing comfort [K·h].
    """

    total: Floats
    electricity_kwh: Floats
    fuel_kwh: Floats
    spf_h4: Floats
    degree_hours_below: Floats


@lru_cache(maxsize=64)
def draw_samples(spread: Uncertainty) -> Samples:
    """Draw the samples of a case: the same for every option that shares its [uncertainty]."""
    power = int(np.ceil(np.log2(spread.lanes)))
    unit = qmc.Sobol(len(DIMENSIONS), scramble=True, rng=spread.seed).random_base2(power)[: spread.lanes]
    z = dict(zip(DIMENSIONS, np.clip(ndtri(np.clip(unit, 1e-6, 1 - 1e-6)), -WIDEST, WIDEST).T, strict=True))
    own = {one.name: one for one in own_distributions(spread)}

    def values(name: str, usual: Floats, place: Floats) -> Floats:
        """The usual values of an input, or those of the user's own range at the same places in it."""
        return own[name].at(ndtr(place)) if name in own else usual

    fuel_z = np.sqrt(SHARED_PRICE_SHARE) * z["price"] + np.sqrt(1.0 - SHARED_PRICE_SHARE) * z["fuel_price"]
    adjustments = tuple(
        Adjustment(efficiency=float(e), set_point_k=float(s), boiler=float(b), loss=float(h), draws=float(d))
        for e, s, b, h, d in zip(
            values("efficiency", np.exp(spread.installation_sd * z["efficiency"]), z["efficiency"]),
            values("set_point_k", spread.set_point_sd_k * z["set_point"], z["set_point"]),
            values("boiler", np.exp(spread.boiler_efficiency_sd * z["boiler"]), z["boiler"]),
            values("loss", np.exp(spread.heat_loss_sd * z["loss"]), z["loss"]),
            values("draws", np.exp(spread.draws_sd * z["draws"]), z["draws"]),
            strict=True,
        )
    )
    return Samples(
        adjustments,
        values("electricity_price", np.exp(spread.price_sd * z["price"]), z["price"]),
        values("fuel_price", np.exp(spread.price_sd * fuel_z), fuel_z),
        np.minimum((unit[:, DIMENSIONS.index("weather")] * WEATHER_YEARS).astype(np.int64), WEATHER_YEARS - 1),
    )


@lru_cache(maxsize=16)
def _other_years(weather: Weather, sd_k: float, seed: int) -> tuple[Weather, ...]:
    return tuple(weather_years(weather, WEATHER_YEARS, sd_k=sd_k, seed=seed))


def _sampled_losses(case: Case, step_minutes: int) -> tuple[Floats, tuple[Adjustment, ...]]:
    """Heat loss of each sample [W/K], and the adjustments that go with it."""
    samples = draw_samples(case.uncertainty)
    setting = setting_for(case, step_minutes)
    central = loss_w_per_k(case, step_minutes)
    if heat_loss_w_per_k(case, setting.weather) is not None:
        return np.full(len(samples.adjustments), central), samples.adjustments
    losses, boilers = _losses_from_fuel(burnt_home(case), step_minutes, central, case.uncertainty)
    each = zip(samples.adjustments, boilers.tolist(), strict=True)
    return losses, tuple(replace(a, loss=1.0, boiler=boiler) for a, boiler in each)


@lru_cache(maxsize=32)
def _losses_from_fuel(burnt_by: Burnt, step_minutes: int, central: float, spread: Uncertainty) -> tuple[Floats, Floats]:
    """Heat loss that burns the stated fuel under each sample [W/K], and the boiler's factor that goes with it.

    One Newton step from the loss that burns the fuel as stated, its slope taken between two losses, then one by each
    sample's own slope. What is left then (under 0.3 %, tested) is within what a cylinder's hysteresis makes of any
    loss, and no loss would remove it: it is laid on the sampled efficiency, so that the fuel is the stated one exactly.
    """
    known = [replace(a, loss=1.0) for a in draw_samples(spread).adjustments]
    before, least = setting_for(burnt_by.case, step_minutes), 0.2 * central
    low, high = fuel_burnt(burnt_by.case, before, np.array([central, 1.05 * central]))
    factors = np.array([a.boiler for a in known])
    first = central * factors
    burnt_first = fuel_burnt(burnt_by.case, before, first, known)
    second = np.maximum(first + (low - burnt_first) * factors * 0.05 * central / (high - low), least)
    burnt = fuel_burnt(burnt_by.case, before, second, known)
    moved = np.abs(second - first) > 1e-6 * central  # the rest burn the fuel already
    per_fuel = np.where(moved, (second - first) / np.where(moved, burnt - burnt_first, 1.0), 0.0)
    losses = np.maximum(second + (low - burnt) * per_fuel, least)
    left = fuel_burnt(burnt_by.case, before, losses, known) / stated_fuel_kwh(burnt_by.case)
    return losses, factors * left


def sampled_inputs(case: Case, step_minutes: int) -> list[HomeInputs]:
    """Describe a case to the kernel once for each sample of its [uncertainty]."""
    setting = setting_for(case, step_minutes)
    samples = draw_samples(case.uncertainty)
    losses, adjustments = _sampled_losses(case, step_minutes)
    years = _other_years(setting.weather, case.uncertainty.weather_sd_k, case.uncertainty.seed)
    settings = [Setting(setting.axis, weather, setting.signal, setting.folder) for weather in years]
    return [
        home_inputs(case, settings[w], float(loss), adjustment)
        for w, loss, adjustment in zip(samples.weather.tolist(), losses, adjustments, strict=True)
    ]


def sampled_cost(case: Case, axis: TimeAxis, made: ManyYears, *, extra_slots: bool = False) -> Floats:
    """What each sampled year of a case costs at its tariff and fuel, (n,) [currency]; `extra_slots` as for the bill."""
    samples, cost = draw_samples(case.uncertainty), cost_of(case, axis, made, extra_slots=extra_slots)
    fixed = fixed_cost(case.tariff, axis, country=case.site.country)  # standing charges stay as they are
    electricity = fixed + (cost.electricity - fixed) * samples.price
    return np.asarray(electricity + cost.fuel * samples.fuel_price + cost.fuel_standing)


def sampled_years(case: Case, step_minutes: int) -> SampledYears:
    """Simulate a case once for each sample of its [uncertainty] and charge every year."""
    setting = setting_for(case, step_minutes)
    made = run_homes(sampled_inputs(case, step_minutes), setting.axis.steps, setting.axis.hours)
    fuel = made.totals.fuel
    total = sampled_cost(case, setting.axis, made)
    return SampledYears(
        total, made.totals.grid_import, fuel, np.asarray(performance(made.totals, None).h4), made.totals.below_k
    )
