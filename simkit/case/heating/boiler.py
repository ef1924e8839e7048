"""What the user says of the boiler, its fuel and a hybrid's switch in, validated `Boiler`, `Fuel`, `Hybrid` out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import Field

from simkit.case.heating.controls import Schedule
from simkit.errors import Fault
from simkit.physics.constants import MJ_PER_KWH
from simkit.schema.section import Section, number, said, text, worded

SAME_ENERGY = 0.005  # own: energies of a unit nearer than half a per cent are the same, printed with other digits
FUELS_BOUGHT = ("oil", "gas", "lpg")
HOURS_A_DAY = 24  # of the local clock
# about what a unit holds, to be proposed and never assumed [kWh gross], common practice
USUAL_KWH = {
    ("oil", "litre"): 10.35, ("oil", "kg"): 12.8, ("gas", "m3"): 10.97, ("gas", "ft3_100"): 31.05, ("gas", "kg"): 14.5,
    ("lpg", "litre"): 7.1, ("lpg", "kg"): 13.9, ("lpg", "m3"): 25.9,
}  # fmt: skip
M3_PER_UNIT = {"m3": 1.0, "ft3_100": 2.83}  # the rounded factor that British gas bills use; exactly it is 2.8317


# Winter and summer efficiency, gross: SAP 10.2 Table 4b, Standard Assessment Procedure of the UK government, codes 102,
# 101 and 110 (gas, LPG); those of oil from memory. The first row whose first year is not after that of the boiler.
USUAL: dict[tuple[str, str], tuple[tuple[float, float, float], ...]] = {
    ("gas", "condensing"): ((0.0, 0.84, 0.74),),
    ("gas", "non-condensing"): ((1998.0, 0.74, 0.64), (0.0, 0.73, 0.63)),
    ("oil", "condensing"): ((0.0, 0.84, 0.72),),
    ("oil", "non-condensing"): ((1998.0, 0.80, 0.68), (1985.0, 0.71, 0.59), (0.0, 0.66, 0.54)),
}
SOURCES = {"gas": "SAP 10.2 Table 4b", "oil": "SAP 10.2 Table 4b, from memory"}
CONDENSING_SINCE = 2007.0  # own: since about then new boilers condense in most countries that burn gas and oil


class AsOperated(Schedule):
    """The temperatures that were held while the boiler was there."""


class Boiler(Section):
    """The boiler that is replaced, kept, or still there."""

    kind: Literal["condensing", "non-condensing"] | None = said(
        "Whether it cools its flue gas until water condenses; gives usual efficiencies where none are stated",
        example="condensing",
        absent=True,
    )
    age_years: float | None = number(
        0, 80, "years", "Age of the boiler in the year that is run", example=18, absent=True
    )
    space_efficiency: float = number(
        0.3, 1.0, "share", "Heat for the rooms over fuel by gross calorific value, in use", example=0.85
    )
    water_efficiency: float = number(
        0.2, 1.0, "share", "Heat for hot water over fuel by gross calorific value, in use", example=0.75
    )
    capacity_kw: float = number(1, 200, "kW", "Most heat it gives", example=20)
    flow_c: float = number(30, 90, "°C", "Flow temperature of the boiler", example=65)
    pump_w: float = number(0, 500, "W", "Electricity of pump, fan and burner while it runs", example=80)
    standby_w: float = number(0, 200, "W", "Electricity taken while nothing runs", example=5)
    as_operated: AsOperated | None = said(
        "Set-points that were held with the boiler",
        example={"periods": [{"from": "06:30", "to": "08:30", "c": 20.0, "days": "all"}], "setback_c": 15.0},
        absent=True,
    )


def usual_efficiencies(fuel: str, kind: str | None, built: float | None) -> tuple[float, float, str] | None:
    """Usual efficiency of a boiler for rooms and for hot water, gross [-], and its source; None where nothing is told.

    Parameters
    ----------
    fuel
        "oil", "gas" or "lpg"; others have none.
    kind
        "condensing" or "non-condensing"; None is decided by the year.
    built
        Year in which it was built; None takes a boiler from 1998 on.
    """
    like = {"lpg": "gas"}.get(fuel, fuel)
    if like not in SOURCES or (kind is None and built is None):
        return None
    year = 1998.0 if built is None else built
    rows = USUAL.get((like, kind or ("condensing" if year >= CONDENSING_SINCE else "non-condensing")))
    if rows is None:
        return None
    _, space, water = next(row for row in rows if row[0] <= year)
    return space, water, SOURCES[like]


class Fuel(Section):
    """What the boiler burns and what it costs."""

    kind: Literal["oil", "gas", "lpg", "electricity", "none"] = said(
        "What is burnt; electricity is direct electric heating at the tariff's own price", example="oil"
    )
    unit: Literal["litre", "m3", "kWh", "ft3_100", "kg"] = said("Unit in which it is sold", example="litre")
    price_per_unit: float = number(0, 1_000_000, "currency per unit", "Price of a unit, tax included", example=1.1)
    kwh_per_unit: float = number(
        0.5, 35, "kWh per unit", "Gross calorific value of a unit, any volume correction included", example=10.35
    )
    calorific_value_mj_m3: float | None = number(
        25, 60, "MJ/m³", "Gross calorific value of a gas sold by volume, from the bill", example=39.5, absent=True
    )
    volume_correction: float | None = number(
        0.85, 1.15, "", "Correction of the metered volume, as the bill prints it", example=1.02264, absent=True
    )
    standing_per_day: float = number(0, 50, "currency per day", "Standing charge of a day, tax included", example=0.35)
    delivery_amount: float | None = number(
        1, 100_000, "units", "Size of a usual delivery, in the unit of sale", example=900, absent=True
    )
    delivery_fee: float | None = number(
        0, 10_000, "currency", "What each delivery costs beside the fuel", example=25.0, absent=True
    )
    capping_fee: float | None = number(
        0, 100_000, "currency", "What it costs once to have the supply cut off for good", example=90.0, absent=True
    )
    other_use_kwh: float = number(
        0, 50_000, "kWh", "Fuel that other things burn in a year (a hob), which keeps the standing charge", example=0
    )
    carbon_g_per_kwh: float = number(0, 1000, "g/kWh", "Carbon dioxide of a kWh burnt, by gross value", example=250)

    def clashes(self) -> Iterator[Fault]:
        """Yield prices where nothing is bought, and a kWh that isn't one."""
        if self.kind not in FUELS_BOUGHT and (self.price_per_unit or self.standing_per_day):
            why = "is paid through the tariff" if self.kind == "electricity" else "costs nothing"
            yield Fault(
                "",
                f'kind = "{self.kind}"',
                f"{why}, and takes no price and no standing charge here",
                "Leave out price_per_unit and standing_per_day",
            )
        yield from self._gas_clashes()
        if (self.delivery_fee is None) != (self.delivery_amount is None):
            missing = "delivery_amount" if self.delivery_amount is None else "delivery_fee"
            why = "is missing: how often the fee is due follows from both"
            yield Fault("", missing, why, f"Add {missing}, or leave both out")
        if self.unit == "kWh" and self.kwh_per_unit != 1:
            yield Fault(
                "",
                f"kwh_per_unit = {self.kwh_per_unit:g}",
                'contradicts unit = "kWh": a kWh holds 1 kWh',
                "Write 1, or the unit in which the fuel is sold",
            )

    @property
    def cost_per_unit(self) -> float:
        """Price of a unit with its share of the delivery [currency/unit]."""
        share = (self.delivery_fee or 0.0) / self.delivery_amount if self.delivery_amount else 0.0
        return self.price_per_unit + share

    def _gas_clashes(self) -> Iterator[Fault]:
        """Yield a calorific value without its correction or its unit, and one that contradicts kwh_per_unit."""
        value, correction = self.calorific_value_mj_m3, self.volume_correction
        if value is None and correction is None:
            return
        if value is None or correction is None:
            missing = "calorific_value_mj_m3" if value is None else "volume_correction"
            remedy = f"Look it up on the bill and add {missing}, or leave both out and write kwh_per_unit"
            yield Fault("", missing, "is missing, and a volume becomes kWh by both", remedy)
            return
        computed = kwh_of_volume(self.unit, value, correction)
        if computed is None:
            given = f"calorific_value_mj_m3 = {value:g}"
            yield Fault("", given, f'belongs to a gas sold by volume, and unit = "{self.unit}"', "Leave it out")
        elif abs(self.kwh_per_unit / computed - 1.0) > SAME_ENERGY:
            given = f"kwh_per_unit = {self.kwh_per_unit:g}"
            why = f"contradicts the calorific value and correction given, which make {computed:.4g} kWh of a unit"
            yield Fault("", given, why, "Leave kwh_per_unit out")


def kwh_of_this_fuel(fault: Fault, fuel: Any) -> Fault:
    """A missing calorific value, with the value of this fuel and unit in the place of an example's."""
    if not isinstance(fuel, Mapping):
        return fault
    kwh = USUAL_KWH.get((str(fuel.get("kind")), str(fuel.get("unit"))))
    if fault.given != "kwh_per_unit" or "is missing" not in fault.allowed or kwh is None:
        return fault
    bill = ", or calorific_value_mj_m3 and volume_correction as the bill prints them"
    by_volume = bill if fuel.get("unit") in M3_PER_UNIT and fuel.get("kind") == "gas" else ""
    return replace(fault, remedy=f"Add a line such as: kwh_per_unit = {kwh:g}{by_volume}")


def kwh_of_volume(unit: str, calorific_value_mj_m3: float, volume_correction: float) -> float | None:
    """Energy of a metered unit of gas: volume × correction × calorific value / 3.6 [kWh gross].

    Neither value has a default: they differ between countries and from month to month.

    Parameters
    ----------
    unit
        Unit of the meter, "m3" or "ft3_100".
    calorific_value_mj_m3
        Gross calorific value of the bill [MJ/m³], about 36 to 43 for natural gas.
    volume_correction
        Correction to standard temperature and pressure [-]; 1.02264 on British bills, 1 where the meter corrects.

    Returns
    -------
    float or None
        None where the unit is no volume.

    References
    ----------
    Gas (Calculation of Thermal Energy) Regulations, SI 1996/439.
    """
    if unit not in M3_PER_UNIT:
        return None
    return M3_PER_UNIT[unit] * volume_correction * calorific_value_mj_m3 / MJ_PER_KWH


class Hybrid(Section):
    """When a hybrid runs its boiler."""

    boiler_below_c: float = number(-35, 25, "°C", "Outdoor temperature below which the boiler heats", example=0)
    by_price: bool = said("Whether the cheaper of the two heats in each step", example=False)


class Carbon(Section):
    """Carbon of the electricity."""

    electricity_g_per_kwh: float = number(0, 1500, "g/kWh", "Carbon dioxide of a kWh of electricity", example=250)
    source: str = text("Where that figure comes from", example="national inventory 2024")
    by_hour_g_per_kwh: Annotated[
        Annotated[tuple[Annotated[float, Field(ge=0, le=1500)], ...], Field(min_length=24, max_length=24)] | None,
        worded(
            "is not a list of 24 numbers from 0 to 1500 g/kWh, one for each hour of the day from midnight on",
            "Write 24 numbers in brackets, or leave it out where only the yearly average is known",
        ),
    ] = said("Carbon dioxide of a kWh of electricity by hour of the local day", example=[250.0] * 24, absent=True)


def fuel_kwh(fuel: Fuel, amount: float, unit: str) -> float | None:
    """Energy of an amount of fuel [kWh gross], or None where its unit and the unit it is sold in don't meet.

    Parameters
    ----------
    fuel
        The fuel; its `kwh_per_unit` holds for its own `unit`.
    amount
        Amount in `unit`.
    unit
        "litre", "m3", "kWh", "ft3_100" (2.83 m³, as on British gas bills) or "kg".
    """
    if unit == "kWh":
        return amount
    if unit == fuel.unit:
        return amount * fuel.kwh_per_unit
    if unit in M3_PER_UNIT and fuel.unit in M3_PER_UNIT:
        return amount * M3_PER_UNIT[unit] / M3_PER_UNIT[fuel.unit] * fuel.kwh_per_unit
    return None
