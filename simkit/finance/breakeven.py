"""An option, its alternative and their bills in; the efficiency and the prices at which they cost the same out.

Three forms of the seasonal performance factor that breaks even, each named: by the prices of a kilowatt-hour alone
("marginal"); with the standing charge that leaving the fuel saves; and with the boiler's own electricity saved too.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.billing.charge import FUELS
from simkit.errors import CaseError, Fault
from simkit.year.year import Year


@dataclass(frozen=True)
class HeatPrices:
    """What heat costs either way, from two simulated years of one home.

    Attributes
    ----------
    electricity_per_kwh
        Mean price of the electricity bought by the heat pump's home, weighted by its load, tax included [currency/kWh].
    fuel_per_kwh
        Price of fuel by gross value [currency/kWh].
    boiler_efficiency
        Heat into rooms and cylinder over fuel, of the simulated year [-].
    heat_kwh
        Heat into rooms and cylinder with the heat pump [kWh].
    standing_saved
        Standing charge of the fuel that the heat pump's home doesn't pay [currency].
    boiler_kwh
        The boiler's own electricity [kWh].
    spf_h4
        Performance of the simulated heat pump [-].
    """

    electricity_per_kwh: float
    fuel_per_kwh: float
    boiler_efficiency: float
    heat_kwh: float
    standing_saved: float
    boiler_kwh: float
    spf_h4: float

    @property
    def price_ratio(self) -> float:
        """Price of electricity over price of fuel, both by the kilowatt-hour [-]."""
        return self.electricity_per_kwh / self.fuel_per_kwh

    def fuel_heat_price(self, *, standing: bool = False, own_electricity: bool = False) -> float:
        """What a kilowatt-hour of heat costs by the boiler [currency/kWh]."""
        price = self.fuel_per_kwh / self.boiler_efficiency
        price += self.standing_saved / self.heat_kwh if standing else 0.0
        return price + (self.boiler_kwh * self.electricity_per_kwh / self.heat_kwh if own_electricity else 0.0)


@dataclass(frozen=True)
class BreakEvens:
    """Where heat pump and boiler cost the same for the same heat.

    Attributes
    ----------
    marginal, with_standing, with_own_electricity
        SPF H4 that breaks even, by the three forms [-].
    price_ratio
        Price of electricity over that of fuel at which the simulated SPF breaks even, everything counted [-]; NaN
        without a heat pump.
    prices
        What they were found from.
    """

    marginal: float
    with_standing: float
    with_own_electricity: float
    price_ratio: float
    prices: HeatPrices

    @property
    def home(self) -> tuple[float, float]:
        """Where the home stands: its SPF H4 and its price ratio."""
        return self.prices.spf_h4, self.prices.price_ratio

    def tipping(self, count: int = 41) -> tuple[Floats, Floats, Floats]:
        """A map about the home: SPF (count,), price ratios (count,), extra cost a year (count, count) [currency].

        SPF from 1.5 to 5, price ratios to 1.6 times that of the home or of its break-even, whichever is higher.
        """
        highest = max(self.prices.price_ratio, min(self.price_ratio, 10.0))
        spf, ratios = np.linspace(1.5, 5.0, count), np.linspace(0.5, 1.6 * highest, count)
        rising = ratios[:, None] * self.prices.fuel_per_kwh
        return spf, ratios, extra_cost(self.prices, spf_h4=spf, electricity_per_kwh=rising)


def heat_prices(option: Year, alternative: Year) -> HeatPrices:
    """Read what heat costs off a heat pump's year and a boiler's year of the same home.

    Raises
    ------
    CaseError
        Where the option has no heat pump, or the alternative burns no bought fuel.
    """
    fuel, burnt = alternative.case.fuel, alternative.run.totals.fuel
    if option.spf.h4 is None or fuel is None or fuel.kind not in FUELS or burnt <= 0:
        given = f'"{option.case.name}" against "{alternative.case.name}"'
        allowed = "has no break-even: one must heat by heat pump and the other burn oil, gas or LPG"
        raise CaseError(Fault("break-even", given, allowed, "Choose a heat pump and the boiler that it replaces"))
    name = FUELS[fuel.kind]
    # the line stands on the bill with 0 where nothing burns the fuel any more
    keeps = any(line.amount for line in option.bill.lines if line.kind == "standing" and line.label.startswith(name))
    heat = alternative.run.totals.boiler_space_heat + alternative.run.totals.boiler_water_heat
    return HeatPrices(
        electricity_per_kwh=option.bill.mean_price_per_kwh,
        fuel_per_kwh=fuel.cost_per_unit / fuel.kwh_per_unit,
        boiler_efficiency=heat / burnt,
        heat_kwh=option.totals["space_heat"] + option.totals["hot_water"],
        standing_saved=0.0 if keeps else fuel.standing_per_day * len(alternative.axis.dates),
        boiler_kwh=alternative.totals["boiler_electricity"],
        spf_h4=option.spf.h4,
    )


def break_evens(prices: HeatPrices) -> BreakEvens:
    """Find the break-evens in closed form.

    Marginal: price ratio × boiler efficiency. The others divide the price of electricity by what a kilowatt-hour of
    the boiler's heat costs with its standing charge, and with its own electricity, spread over the heat. The price
    ratio is what boiler heat costs in prices of fuel, over (1 / SPF − boiler's electricity per heat); infinite where
    its own electricity alone outweighs the heat pump's.
    """
    electricity = prices.electricity_per_kwh
    all_in = prices.fuel_heat_price(standing=True)
    less = 1.0 / prices.spf_h4 - prices.boiler_kwh / prices.heat_kwh
    return BreakEvens(
        electricity / prices.fuel_heat_price(),
        electricity / all_in,
        electricity / prices.fuel_heat_price(standing=True, own_electricity=True),
        all_in / prices.fuel_per_kwh / less if less > 0 else inf,
        prices,
    )


def extra_cost(prices: HeatPrices, *, spf_h4: Floats | float, electricity_per_kwh: Floats | float) -> Any:
    """What the heat costs more by heat pump than by boiler in a year, everything counted, one for each [currency]."""
    by_boiler = prices.heat_kwh * prices.fuel_per_kwh / prices.boiler_efficiency + prices.standing_saved
    return prices.heat_kwh / spf_h4 * electricity_per_kwh - by_boiler - prices.boiler_kwh * electricity_per_kwh
