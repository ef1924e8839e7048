"""Heat wanted in, fuel burnt out: gross in-use efficiencies for space and water, and the boiler's own electricity."""

from __future__ import annotations

from simkit.physics.law import law, pick


@law
def fuel_kw(space_kw: float, water_kw: float, per_space_efficiency: float, per_water_efficiency: float) -> float:
    """Fuel burnt, gross calorific value [kW]; efficiencies given as 1 / η.

    Parameters
    ----------
    space_kw
        Heat for the rooms [kW].
    water_kw
        Heat for hot water [kW].
    per_space_efficiency
        1 / gross efficiency for the rooms [-].
    per_water_efficiency
        1 / gross efficiency for hot water [-].
    """
    return space_kw * per_space_efficiency + water_kw * per_water_efficiency


@law
def boiler_cheaper(electricity_price: float, cop: float, boiler_heat_price: float) -> float:
    """1 where a kWh of heat from fuel costs less than one from the heat pump at this COP, else 0 (hybrid by price).

    Parameters
    ----------
    electricity_price
        Price of electricity [currency/kWh].
    cop
        COP of the heat pump in the step [-].
    boiler_heat_price
        Price of the boiler's heat, its efficiency counted [currency/kWh].
    """
    return pick(boiler_heat_price * cop < electricity_price, 1.0, 0.0)
