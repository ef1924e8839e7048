"""A column's name in; its unit, label and meaning out: the nomenclature of every public frame, as data.

The unit ends the name (``outdoor_c``, ``import_kw``), so that a frame explains itself. A frame of steps holds means
over the step (powers in kW), a frame of months or of a year holds sums (energies in kWh): the two are never mixed, and
the energy that belongs to a power is made from it here, so that both always carry the same words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, isfinite, log10
from types import MappingProxyType

from simkit.columns import FLOW, RESULT, TARIFF, WORDS
from simkit.decided_quantities import DECIDED, DECIDED_WORDS
from simkit.errors import CaseError, Fault, nearest

PARTS_OF_A_RANGE = 20.0  # own: finer than a twentieth of its range an estimate says nothing

# What the end of a name says. The longest ending that fits counts: `import_price_per_kwh` is a price, not an energy.
UNIT_ENDINGS: Mapping[str, str] = MappingProxyType(
    {
        "_price_per_kwh": "currency/kWh",
        "_w_m2": "W/m²",
        "_w_per_k": "W/K",
        "_years": "years",
        "_a": "A",
        "_share": "share",
        "_ratio": "–",
        "_cost": "currency",
        "_cost_low": "currency",
        "_cost_high": "currency",
        "_amount": "currency",
        "_kwh": "kWh",
        "_kw": "kW",
        "_kg": "kg",
        "_kh": "K·h",
        "_c": "°C",
        "_k": "K",
        "_h": "h",
        "_d": "days",
        "_marks": "marks",
    }
)

# Names that the trade writes without a unit and that nobody misreads.
BARE_NAMES: Mapping[str, str] = MappingProxyType(
    {"cop": "–", "humidity": "share", "spf": "–", "spf_h4": "–", "quantity": "", "described": "", "fitted": "",
     "homes_count": "–", "cheapest_count": "–", "cold_count": "–", "cool_count": "–", "short_count": "–",
     "told_count": "–", "taken_count": "–", "assumed_count": "–",
     "count": "–", "inside_count": "–", "cycles": "–", "claims": "–", "agreeing": "–", "points": "–",
     "space_h4": "–", "spf_low": "–", "spf_high": "–"}
)  # fmt: skip

# Decimals that are shown of a value, by its unit; those of `DIGITS` by its name.
UNIT_DIGITS: Mapping[str, int] = MappingProxyType({"currency/kWh": 4, "–": 2, "kW": 1, "°C": 1, "K": 1})
DIGITS: Mapping[str, int] = MappingProxyType(
    {"bill_amount": 2, "cause_amount": 2, "step_cost": 4,
     "quantity": 1, "load_ratio": 2, "off_share": 1, "above_least_share": 1,
     "homes_count": 0, "cheapest_count": 0, "cold_count": 0, "cool_count": 0, "short_count": 0,
     "told_count": 0, "taken_count": 0, "assumed_count": 0,
     "count": 0, "inside_count": 0, "cycles": 0, "claims": 0, "agreeing": 0, "points": 0,
     "month_used_kwh": 1, "usual_kwh": 1, "weather_kwh": 1, "use_kwh": 1, "efficiency_kwh": 1,
     "usual_cost": 2, "weather_cost": 2, "use_cost": 2, "efficiency_cost": 2, "price_cost": 2, "month_paid_cost": 2,
     "line_amount": 2, "running_amount": 2, "loan_month_amount": 2, "loan_year_amount": 2}
)  # fmt: skip


@dataclass(frozen=True)
class Quantity:
    """One column of a public frame.

    Parameters
    ----------
    name
        The column's name; its ending is its unit.
    unit
        The unit as printed: ``kW``, ``kWh``, ``°C``, ``K``, ``share`` (0 to 1), ``–`` (a plain ratio), ``currency``...
    label
        What stands on an axis or above a column, without the unit.
    meaning
        One sentence: what is counted, where, and what is left out.
    digits
        Decimals that are shown of it.
    """

    name: str
    unit: str
    label: str
    meaning: str
    digits: int = 0


def unit_of(name: str) -> str | None:
    """Return the unit that the ending of `name` states, or None when it states none."""
    if name in BARE_NAMES:
        return BARE_NAMES[name]
    endings = [ending for ending in UNIT_ENDINGS if name.endswith(ending)]
    return UNIT_ENDINGS[max(endings, key=len)] if endings else None


# name: (label, meaning). Means over the step.
_STEP: dict[str, tuple[str, str]] = {
    "outdoor_c": ("Outdoor temperature", "Air temperature outdoors, in the shade."),
    "humidity": ("Relative humidity", "Relative humidity of the air outdoors."),
    "ghi_w_m2": ("Global radiation", "Sun and sky on a horizontal square metre."),
    "dni_w_m2": ("Direct radiation", "Sun on a square metre that faces it."),
    "dhi_w_m2": ("Diffuse radiation", "Sky without the sun on a horizontal square metre."),
    "needed_c": ("Needed temperature", "Room temperature the people want, the same for every option of a case."),
    "set_point_c": ("Set-point", "Room temperature the controller holds; an option may set it apart from the need."),
    "air_c": ("Room temperature", "Air and furnishings of the rooms: what a thermometer on the wall shows."),
    "fabric_c": ("Fabric temperature", "Walls, floors and ceilings, the slow part of the building."),
    "emitter_c": (
        "Emitter temperature",
        "Mean water that the emitters are as warm as, with what they hold; where they hold nothing, the room.",
    ),
    "flow_c": ("Flow temperature", "Water leaving the heat source for the emitters, as commanded, lift included."),
    "space_heat_kw": ("Space heat", "Heat given to the emitters for the rooms."),
    "emitted_kw": ("Heat of the emitters", "Heat that the emitters give to the rooms, what they held counted."),
    "solar_gain_kw": ("Sun through windows", "Heat of the sun that the windows let in."),
    "internal_gain_kw": ("People and appliances", "Heat of people and of the household's own electricity indoors."),
    "vented_kw": ("Vented heat", "Heat lost through windows opened because the rooms are too warm."),
    "hot_water_kw": ("Heat into the cylinder", "Heat given to the hot-water cylinder by every source."),
    "tap_water_kw": ("Hot water drawn", "Heat drawn at the taps above the cold feed."),
    "tap_water_unmet_kw": ("Hot water unmet", "Heat that was wanted at the taps and that the cylinder could not give."),
    "cylinder_loss_kw": ("Cylinder loss", "Standing loss of the cylinder."),
    "cylinder_hot_c": ("Cylinder, hot zone", "Water above the boundary in the cylinder: what the taps get."),
    "cylinder_cold_c": ("Cylinder, cold zone", "Water below the boundary in the cylinder."),
    "cylinder_hot_share": ("Hot part of the cylinder", "Share of the cylinder's volume above the boundary."),
    "water_share": ("Time on hot water", "Share of the step that the heat source spent on hot water."),
    "heat_pump_heat_kw": ("Heat-pump heat", "Heat given by the heat pump to rooms and cylinder, without any heater."),
    "heat_pump_kw": ("Heat pump", "Electricity of compressor and source fan or brine pump (boundary H2)."),
    "cop": ("COP", "Heat of the heat pump per electricity of the heat pump (boundary H2); empty where it stands."),
    "capacity_kw": ("Heat-pump capacity", "Heat the heat pump could give now at full power, at the commanded flow."),
    "least_output_kw": ("Least output", "Heat below which the heat pump stops and starts, at the commanded flow."),
    "load_ratio": ("Load ratio", "Heat asked of the heat pump per heat it could give at full power."),
    "backup_heater_kw": ("Back-up heater", "Electricity of the direct heater in the heating circuit."),
    "immersion_kw": ("Immersion heater", "Electricity of the direct heater in the cylinder."),
    "pumps_kw": ("Circulation pumps", "Electricity of the pumps that move the heating water."),
    "standby_kw": ("Standby", "Electricity of controls and of whatever else runs while nothing is heated."),
    "boiler_heat_kw": ("Boiler heat", "Heat given by the boiler to rooms and cylinder."),
    "boiler_kw": ("Boiler electricity", "Electricity of the boiler's burner, pump and controls."),
    "fuel_kw": ("Fuel", "Fuel burnt, by gross calorific value."),
    "household_kw": ("Household", "Electricity of lights and appliances: neither heat nor hot water nor car."),
    "car_kw": ("Car", "Electricity of charging at home."),
    "solar_kw": ("Solar", "Alternating current of the solar panels after their losses, before any curtailment."),
    "curtailed_kw": ("Solar curtailed", "Solar electricity given up at the export limit."),
    "battery_charge_kw": (
        "Battery charging",
        "Electricity into the battery, measured outside it; behind the panels' inverter the sun's part before it, and "
        "the grid's part with that inverter's loss, which puts it above the battery's own charge power.",
    ),
    "battery_discharge_kw": ("Battery discharging", "Electricity out of the battery, measured outside it."),
    "battery_kwh": ("Battery store", "Energy held by the battery at the end of the step, above empty."),
    "import_kw": ("Import", "Electricity bought through the meter."),
    "export_kw": ("Export", "Electricity sent out through the meter."),
    "import_price_per_kwh": ("Import price", "Price of the next kWh bought, tax included."),
    "export_price_per_kwh": ("Export price", "Price paid for the next kWh sent out."),
    "below_k": ("Below need", "Needed minus room temperature, where positive."),
    "over_k": ("Over the warm limit", "Room minus overheating limit, where positive and where somebody is in."),
}

# Sums or counts over a month or a year.
_SUM: dict[str, tuple[str, str]] = {
    "below_kh": ("Degree-hours below need", "Kelvin below the needed temperature, summed over time."),
    "over_kh": ("Degree-hours over the limit", "Kelvin over the overheating limit, summed over occupied time."),
    "below_18_h": ("Time under 18 °C", "Hours with the rooms under 18 °C."),
    "year_cost": ("Cost a year", "All bills of one year: electricity, fuel, standing charges, less export."),
    "year_cost_low": ("Cost a year, 10th percentile", "One year in ten is expected to be cheaper."),
    "year_cost_high": ("Cost a year, 90th percentile", "One year in ten is expected to be more expensive."),
    "month_cost": ("Cost a month", "All bills of one month: electricity, fuel, standing charges, less export."),
    "heating_cost": ("Heating", "Energy for space heat: electricity or fuel, pumps and standby."),
    "hot_water_cost": ("Hot water", "Energy for hot water: electricity or fuel, immersion included."),
    "energy_cost": ("Energy", "Energy for heat and household together, where they are not told apart."),
    "household_cost": ("Household", "Electricity of lights and appliances."),
    "other_heat_cost": ("Stove and room heater", "Fuel of a stove, electricity of a heater in one room."),
    "car_cost": ("Car", "Electricity of charging at home."),
    "fuel_cost": ("Fuel", "Fuel bought, without its standing charge."),
    "standing_cost": ("Standing charges", "What is due whether or not anything is used."),
    "export_cost": ("Export", "What is paid for electricity sent out, as a negative amount."),
}

# What belongs to a design, not to a step or a sum.
_DESIGN: dict[str, tuple[str, str]] = {
    "design_flow_c": ("Design flow temperature", "Flow that the curve is led through on the design day."),
    "flow_needed_c": ("Flow needed", "Flow at which the room's emitter just gives what the room loses."),
    "design_room_c": ("Coldest room, design day", "Temperature at which the coldest room settles on the design day."),
    "design_short_k": ("Short of need, design day", "How far the worst room stays below its need on the design day."),
}

# What to call an input that is sampled.
INPUT_WORDS = {
    "efficiency": "efficiency of the heat pump as installed", "set_point_k": "room temperature really held",
    "boiler": "efficiency of the boiler", "loss": "heat loss", "draws": "hot water drawn", "weather": "weather",
    "electricity_price": "price of electricity", "fuel_price": "price of fuel",
    "electricity_rise": "yearly rise of electricity", "fuel_rise": "yearly rise of fuel",
    "fuel_amount": "fuel that was burnt", "fuel_winter": "winter in which the fuel was burnt",
    "stove": "heat that the stove gives the home",
}  # fmt: skip


def _quantities() -> dict[str, Quantity]:
    found: dict[str, Quantity] = {}
    for name, (label, meaning) in {**_STEP, **_SUM, **_DESIGN, **RESULT, **TARIFF, **FLOW, **DECIDED}.items():
        unit = unit_of(name)
        if unit is None:  # a name without a unit never gets into the nomenclature
            raise ValueError(f"{name} does not end in a unit")
        found[name] = Quantity(name, unit, label, meaning, DIGITS.get(name, UNIT_DIGITS.get(unit, 0)))
    for name, (label, meaning) in {**WORDS, **DECIDED_WORDS}.items():
        found[name] = Quantity(name, "", label, meaning)
    for name, (label, meaning) in _STEP.items():
        if name.endswith("_kw") and name not in (
            "capacity_kw",
            "least_output_kw",
        ):  # what could be given has no meaningful sum
            energy = energy_name(name)
            found[energy] = Quantity(energy, "kWh", label, f"{meaning} Summed over the time stated.")
    return found


def rounding_unit(low: float, high: float) -> float:
    """What an estimate is rounded to: the power of ten, 1 or more, that goes at least twenty times into its range."""
    width = high - low
    if not isfinite(width) or width < 10.0 * PARTS_OF_A_RANGE:
        return 1.0
    return float(10.0 ** floor(log10(width / PARTS_OF_A_RANGE)))


def energy_name(power_name: str) -> str:
    """Return the name of the energy that belongs to a power: ``import_kw`` gives ``import_kwh``."""
    return power_name.removesuffix("_kw") + "_kwh"


QUANTITIES: Mapping[str, Quantity] = MappingProxyType(_quantities())


def quantity(name: str) -> Quantity:
    """Return the quantity called `name`, or raise a fault that proposes the nearest known name."""
    if name in QUANTITIES:
        return QUANTITIES[name]
    near = nearest(name, QUANTITIES)
    remedy = f"Write {near}" if near else "Use one of the names in simkit.quantities.QUANTITIES"
    raise CaseError(Fault("column", repr(name), "is not a quantity of this kit", remedy))


def column_label(name: str, *, currency: str | None = None) -> str:
    """Return label and unit of a column, for an axis or a table: ``Room temperature [°C]``.

    Parameters
    ----------
    name
        A key of QUANTITIES.
    currency
        ISO 4217 code that takes the place of the word `currency` in the unit.
    """
    known = quantity(name)
    unit = known.unit if currency is None else known.unit.replace("currency", currency)
    return f"{known.label} [{unit}]" if unit else known.label
