"""A simulated year in; what leaving its fuel wholly costs or saves, what keeps it, and the order of steps, out.

A standing charge falls only with the last appliance on that fuel: a hob keeps it. What the last appliance did is then
done by electricity; cutting the supply off costs a fee once. As long as anything burns, carbon monoxide can form.
"""

from __future__ import annotations

from dataclasses import dataclass

from simkit.billing.charge import FUELS
from simkit.case.heating.boiler import FUELS_BOUGHT
from simkit.year.year import Year

ELECTRICITY_PER_FUEL = 0.5  # common practice: an induction hob needs half the energy of a gas flame for the same pot


@dataclass(frozen=True)
class LeavingFuel:
    """What leaving a fuel comes to.

    Attributes
    ----------
    fuel
        Name of the fuel.
    burners
        What still burns it.
    standing_cost
        Standing charge of a year, which falls with the last of them [currency].
    other_fuel_cost
        Fuel that the others burn in a year [currency].
    electricity_kwh, electricity_cost
        Electricity that does the same for them [kWh, currency], at the home's own mean price.
    capping_fee
        What cutting the supply off costs once [currency]; None where it isn't stated.
    saving
        What leaving saves a year, negative where it costs [currency]; 0 while a boiler heats.
    currency
        ISO 4217 code.
    """

    fuel: str
    burners: tuple[str, ...]
    standing_cost: float
    other_fuel_cost: float
    electricity_kwh: float
    electricity_cost: float
    capping_fee: float | None
    saving: float
    currency: str

    @property
    def pays_back_years(self) -> float | None:
        """Years in which the saving has paid the fee; None where the fee isn't stated or nothing is saved."""
        if self.capping_fee is None or self.saving <= 0:
            return None
        return self.capping_fee / self.saving

    @property
    def steps(self) -> tuple[str, ...]:
        """The order of steps, each one sentence."""
        name = self.fuel.lower()
        if "boiler" in self.burners:
            return (
                "First see a whole winter through on the heat pump, or keep the boiler knowingly.",
                *self._last(name),
            )
        return self._last(name)

    def _last(self, name: str) -> tuple[str, ...]:
        change = (
            f"Find everything that burns {name}: boiler, hob, fire, dryer; replace the last of them.",
            f"Have the supply cut off and the pipes made safe by a licensed {name} engineer, never by yourself.",
        )
        if name == "gas":
            return (
                *change,
                "Read the meter together with the fitter and keep a picture of it.",
                "End the contract only then: the standing charge runs until the meter is off the account.",
                "Take the carbon-monoxide alarms down last of all.",
            )
        return (
            *change,
            "Use up or sell what is in the tank; have it emptied, cleaned and certified by a licensed firm.",
            "Hand a rented tank back, and its rent ends.",
            "Take the carbon-monoxide alarms down last of all.",
        )


def leaving_fuel(year: Year, *, electricity_per_fuel: float = ELECTRICITY_PER_FUEL) -> LeavingFuel | None:
    """Work out what leaving a fuel wholly costs or saves.

    Parameters
    ----------
    year
        The simulated year, whose own mean electricity price is taken.
    electricity_per_fuel
        Electricity that does what a kWh of fuel did in the other appliances [kWh/kWh].

    Returns
    -------
    LeavingFuel
        None for a home without a fuel that is bought.
    """
    case, fuel = year.case, year.case.fuel
    if fuel is None or fuel.kind not in FUELS_BOUGHT:
        return None
    burners = []
    if case.heat_source in ("boiler", "hybrid"):
        burners.append("boiler")
    if fuel.other_use_kwh > 0:
        burners.append("other appliances")
    standing = fuel.standing_per_day * len(year.axis.dates) if burners else 0.0
    other_cost = fuel.other_use_kwh / fuel.kwh_per_unit * fuel.cost_per_unit
    electricity = fuel.other_use_kwh * electricity_per_fuel
    price = year.bill.mean_price_per_kwh
    cost = electricity * price if electricity else 0.0
    saving = 0.0 if "boiler" in burners or not burners else standing + other_cost - cost
    return LeavingFuel(
        FUELS[fuel.kind],
        tuple(burners),
        standing,
        other_cost,
        electricity,
        cost,
        fuel.capping_fee,
        saving,
        case.currency,
    )
