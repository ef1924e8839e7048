"""A case in, the fields of the home form out: what is asked, in which unit, and which answers there are.

Prices, efficiencies and cylinders that the form proposes are invented and of a usual size; each can be overwritten.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from simkit.case.case import Case
from simkit.case.home.home import ThermalMass
from simkit.case.load import read_case
from simkit.case.sample_homes import TARIFFS, sample_file, sample_folder, sample_names
from simkit.errors import SimkitError
from simkit.panels.fields import Choice, Field, Number, TimeOfDay, case_number
from simkit.tariff.tariff import read_tariff

OWN = "case"  # the choice that keeps what the case says
GROUPS: Mapping[str, tuple[str, ...]] = {
    "The house": (
        "know", "fuel_kind", "fuel_amount", "fuel_unit", "kwh_per_unit", "survey_kw", "survey_c", "lived", "lived_c",
        "stove", "wood", "wood_price",
        "floor_area", "mass",
    ),
    "The weather": ("climate", "degree_days"),
    "The warmth you need": ("day_c", "from", "to", "night_c"),
    "Heat pump and hot water": (
        "capacity_kw", "flow_c", "sized_c", "known", "known_spf", "volume_l", "cylinder", "people", "draws",
    ),
    "Prices": (
        "price_kind", "price", "cheap_price", "cheap_from", "cheap_to", "standing", "tariff", "fuel_price",
        "fuel_standing", "household_kwh", "offer", "grant",
    ),
}  # fmt: skip
BASE_C = 15.5  # of the degree-days that are shown and typed in: the base of UK tables
FLAT, TWO, FILE = "flat", "two", "file"
SPF, COP, UNKNOWN = "spf", "cop", "no"
COLD_FEED = ("cold_water_c", "cold_water_swing_k")  # keys of [hot_water] that belong to a place
NO_STOVE, STAYS, GOES = "no", "stays", "goes"


@dataclass(frozen=True)
class FuelKind:
    """One kind of fuel: its words, the name of what burns it, its units, and usual efficiencies (common practice).

    `kwh_per_unit` is None where it must be read off the bill: gas differs from place to place and month to month.
    """

    words: str
    burner: str
    kwh_per_unit: Mapping[str, float | None]
    space_efficiency: float
    water_efficiency: float


FUELS: Mapping[str, FuelKind] = {
    "oil": FuelKind("heating oil", "Oil boiler", {"litre": 10.35, "kWh": 1.0}, 0.82, 0.70),
    "gas": FuelKind("gas", "Gas boiler", {"kWh": 1.0, "m3": None, "ft3_100": None}, 0.88, 0.78),
    "lpg": FuelKind("LPG", "LPG boiler", {"litre": 7.1, "kg": 13.9, "kWh": 1.0}, 0.86, 0.74),
    "electricity": FuelKind("electric heaters", "Electric heaters", {"kWh": 1.0}, 1.0, 1.0),
}
UNIT_WORDS = {"litre": "litres", "kWh": "kWh", "m3": "m³", "ft3_100": "hundred cubic feet", "kg": "kg"}
ONE_UNIT = {"litre": "litre", "kWh": "kWh", "m3": "m³", "ft3_100": "hundred cubic feet", "kg": "kg"}

# Invented prices of fuel, tax included [currency/kWh], and of a day's supply of gas [currency/day].
PRICES_PER_KWH: Mapping[str, Mapping[str, float]] = {
    "EUR": {"oil": 0.104, "gas": 0.092, "lpg": 0.113},
    "GBP": {"oil": 0.078, "gas": 0.067, "lpg": 0.101},
    "DKK": {"oil": 1.25, "gas": 0.95, "lpg": 1.32},
}
GAS_STANDING_PER_DAY = {"EUR": 0.36, "GBP": 0.31, "DKK": 2.4}

# words, area of the coil [m²], class of standing loss, coil under which a case counts as this one [W/K]; own figures
CYLINDERS = {
    "old": ("old, small coil", 0.6, "E", 450.0),
    "usual": ("usual", 1.2, "C", 1000.0),
    "new": ("new, large coil", 2.5, "B", float("inf")),
}
LITRES_EACH = {"little": 30.0, "usual": 50.0, "much": 75.0}  # at 40 °C, of one person and day; own figures
LIVED = {"parts": "mornings and evenings", "day": "all day"}
SURVEY_INDOOR_C = 21.0


def form_fields(case: Case, folder: Path) -> dict[str, Field]:
    """Every field of the form for a case; samples are looked for beside `folder` first."""
    machine = case.heat_pump
    hottest = machine.highest_flow_c if machine else 65.0
    money = case.currency
    fields: list[Field] = [
        Choice("know", "Known from", (("fuel", "fuel burnt"), ("survey", "a survey"))),
        Choice("fuel_kind", "Heated with", tuple((kind, fuel.words) for kind, fuel in FUELS.items())),
        case_number("fuel_amount", "Burnt in a year", "home.loss.fuel_amount", step=50, unit="", example=1850),
        unit_field("oil"),
        case_number("kwh_per_unit", "One unit holds", "fuel.kwh_per_unit", step=0.05, unit="kWh", example=10.6,
                    why="gross, off the bill"),
        case_number("survey_kw", "Heat loss, rooms at 21 °C", "home.loss.design_kw", step=0.1),
        case_number("survey_c", "at outdoors", "home.loss.design_outdoor_c", step=0.5),
        Choice("lived", "Boiler was on", tuple(LIVED.items())),
        case_number("lived_c", "Rooms were then kept at", "comfort.periods.c", step=0.5, low=14, high=25, example=20),
        Choice("stove", "A stove beside it",
               ((NO_STOVE, "no"), (STAYS, "yes, and it stays"), (GOES, "yes, until now"))),
        case_number("wood", "Wood burnt in it a year", "stove.amount", step=0.5, unit="m³ stacked", low=0.5, high=60,
                    example=4),
        case_number("wood_price", "Price of the wood", "stove.price_per_unit", step=5, unit=f"{money} a m³", high=1000,
                    example=100),
        case_number("floor_area", "Heated floor area", "home.floor_area_m2", step=1),
        Choice("mass", "Building", tuple((word, word) for word in get_args(ThermalMass))),
        climate_field(case, folder),
        Number("degree_days", f"Degree-days a year, base {BASE_C:g} °C", "K·d", 200.0, 9000.0, 10.0, example=2300),
        Number("capacity_kw", "Heat pump at 7/35 °C", "kW", 1.0, 60.0, 0.5, example=9),
        case_number("flow_c", "Flow on the coldest day", "controls.design_flow_c", step=1, low=25, high=hottest,
                    why="the heat pump goes no higher"),
        case_number("sized_c", "Radiators are enough at", "emitters.sized_for_flow_c", step=1),
        Choice("known", "Performance known",
               ((UNKNOWN, "no"), (SPF, "SPF of a year, everything counted"), (COP, "COP at 7/35 °C"))),
        Number("known_spf", "It is", "", 1.5, 7.0, 0.1, example=3.2),
        case_number("volume_l", "Cylinder", "hot_water.volume_l", step=10),
        Choice("cylinder", "Cylinder kind", tuple((kind, made[0]) for kind, made in CYLINDERS.items())),
        case_number("people", "People", "household.people", step=1, low=0.5),
        Choice("draws", "Hot water", (("little", "little"), ("usual", "as most people"), ("much", "plenty"))),
        Choice("price_kind", "Electricity price", ((FLAT, "one price"), (TWO, "two prices"), (FILE, "a tariff file"))),
        Number("price", "Price of electricity", f"{money} a kWh", 0.0, 30.0, 0.01, "tax included", 0.34),
        Number("cheap_price", "Price in the cheap hours", f"{money} a kWh", 0.0, 30.0, 0.01, "tax included", 0.18),
        TimeOfDay("cheap_from", "Cheap hours from", every_minutes=15),
        TimeOfDay("cheap_to", "Cheap hours to", every_minutes=15),
        Number("standing", "Standing charge", f"{money} a day", 0.0, 100.0, 0.01, "tax included", 0.8),
        tariff_field(case, folder),
        Number("offer", "The offer costs", money, 0.0, 1e6, 100.0, "all of it, tax included; 0: no offer", 11000),
        Number("grant", "Grant on it", money, 0.0, 1e6, 100.0, example=4500),
        case_number("household_kwh", "Other electricity", "household.annual_kwh", step=100, unit="kWh a year"),
        case_number("fuel_price", "Fuel price", "fuel.price_per_unit", step=0.01, unit=money, example=1.08),
        case_number("fuel_standing", "Fuel standing", "fuel.standing_per_day", step=0.01, unit=f"{money} a day"),
        case_number("day_c", "Needed by day", "comfort.periods.c", step=0.5, low=16, high=25, example=20.5),
        TimeOfDay("from", "The day begins"),
        TimeOfDay("to", "The day ends", until_midnight=True),
        case_number("night_c", "Needed at night", "comfort.setback_c", step=0.5, low=12, high=25),
    ]  # fmt: skip
    return {field.name: field for field in fields}


def unit_field(kind: str) -> Choice:
    """The units in which a kind of fuel is counted."""
    return Choice("fuel_unit", "Counted in", tuple((unit, UNIT_WORDS[unit]) for unit in FUELS[kind].kwh_per_unit))


def climate_field(case: Case, folder: Path) -> Choice:
    """The case's own weather, and that of the sample homes which differs from it."""
    options = [(OWN, f"your home, {_cold(case)}")]
    for name in sample_names(folder):
        sample = read_case(sample_file(name, folder))
        if (sample.site, sample.weather) != (case.site, case.weather):
            options.append((name, f"{sample.name}, {_cold(sample)}"))
    return Choice("climate", "Climate", tuple(options))


def _cold(case: Case) -> str:
    return f"{case.notation.brief(case.site.design_outdoor_c)} °C"


def tariff_field(case: Case, folder: Path) -> Choice:
    """The case's own tariff, those that lie beside it, and the sample tariffs in its currency; values are paths."""
    options = [(OWN, case.tariff.name)]
    for path in tariff_files(case, folder):
        options.append((str(path), _tariff_of(path).name))
    return Choice("tariff", "Tariff", tuple(options))


def tariff_files(case: Case, folder: str | Path = ".", *, peaks: bool = True, anywhere: bool = False) -> list[Path]:
    """Tariff files in a case's currency that are sold where it stands, its own left out.

    Parameters
    ----------
    case
        The home.
    folder
        Beside which, and in whose ``tariffs``, they are looked for; the samples come last.
    peaks
        Whether those that charge peaks belong to them, which are simulated on quarter-hours.
    anywhere
        Whether those sold elsewhere belong to them too.
    """
    here = Path(folder).resolve()
    places = (here, here / TARIFFS, here.parent / TARIFFS, sample_folder(here) / TARIFFS)
    found: dict[str, Path] = {}
    for path in (path for place in places if place.is_dir() for path in sorted(place.glob("*.toml"))):
        tariff = _tariff_of(path)
        if tariff is None or tariff.currency != case.currency or tariff.name == case.tariff.name:
            continue
        if (anywhere or tariff.sold_in in (None, case.site.country)) and (peaks or tariff.demand is None):
            found.setdefault(tariff.name, path)
    return list(found.values())


def _tariff_of(path: Path) -> Any:
    """The tariff of a file; None where it is no tariff, or a broken one."""
    try:
        return read_tariff(path)
    except SimkitError:
        return None


def usual_price(currency: str, kind: str, kwh_per_unit: float | None) -> float | None:
    """An invented price of a unit of fuel [currency], None where none is known."""
    per_kwh = PRICES_PER_KWH.get(currency, {}).get(kind)
    if kind == "electricity":
        return 0.0
    return None if per_kwh is None or kwh_per_unit is None else float(f"{per_kwh * kwh_per_unit:.3g}")
