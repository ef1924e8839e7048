"""What the user said in, the defaults that follow from it out: a country from its zone, a volume from its floor.

Where the leading value is missing or refused, a stand-in follows: the case is refused for the leader, and one fault is
enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeGuard

from simkit.case.climate_defaults import CLIMATE_FOLLOWERS, Follower, climate_followers, country_of
from simkit.case.heating.boiler import Boiler, kwh_of_volume, usual_efficiencies
from simkit.case.heating.controls import Emitters
from simkit.case.heating.other_heat import BURNS_ONLY, SOLID_CARBON, SOLID_KWH
from simkit.case.home.home import Home
from simkit.case.home.household import SIZES, Household
from simkit.case.money.money import Money
from simkit.case.power.solar import SolarArray
from simkit.case.shipped import default_sources, default_table
from simkit.schema.country_codes import country_codes, country_of_zone
from simkit.schema.hints import bounds_of
from simkit.schema.overlay import Table, parts_of
from simkit.schema.section import Section
from simkit.times_of_day import is_zone

LITRES_EACH = 50.0  # own: a shower of most days, basins and dishes, at 40 °C
USUAL_PEOPLE = default_table()["household"]["people"]
THREE_PHASES = frozenset({"AT", "CH", "DE", "DK", "FI", "LI", "SE"})  # common practice: where homes are laid out so
FILE_ALONE = (3000.0, "own: a stand-in, the household's file counts alone (silent)")

HOLDS_FIELD_CONDITIONS = "ruhnau2019"  # Scientific Data 6:189: COP × 0.85 for field conditions
FOLLOWERS = (
    ("site", "country"),
    ("site", "volts"),
    ("site", "phases"),
    ("household", "annual_kwh"),
    ("household", "people"),
    ("home", "volume_m3"),
    ("home", "window"),
    ("controls", "periods"),
    ("controls", "setback_c"),
    ("controls", "design_flow_c"),
    ("heat_pump", "source"),
    ("heat_pump", "efficiency_scale"),
    ("boiler", "space_efficiency"),
    ("boiler", "water_efficiency"),
    ("fuel", "kwh_per_unit"),
    ("hot_water", "litres_per_day_at_40"),
    ("stove", "burns"),
    ("stove", "kwh_per_unit"),
    ("stove", "carbon_g_per_kwh"),
    ("solar", "inverter_kw"),
    ("money", "discount_rate"),
    *CLIMATE_FOLLOWERS,
)


def followers(said: Table) -> Iterator[Follower]:
    """Yield the defaults that follow from something else that the user said.

    Parameters
    ----------
    said
        What the user said.

    Yields
    ------
    place, value, why
        Section and key, one of `FOLLOWERS` or of a cylinder where no water is heated; and where the value comes from.
    """
    yield from _site(_of(said, "site"))
    yield from climate_followers(said)
    size = _of(said, "household").get("size")
    if isinstance(size, str) and size in SIZES:
        people, kwh, source = SIZES[size]
        yield ("household", "annual_kwh"), kwh, source
        yield ("household", "people"), people, "own: as many as the size of the household says"
    elif "file" in _of(said, "household"):
        yield ("household", "annual_kwh"), *FILE_ALONE
    yield from _drawn(said)
    yield from _no_water(said)
    yield from _from_floor(_leading(Home, "floor_area_m2", _of(said, "home").get("floor_area_m2")))
    warmth = {**default_table()["comfort"], **_of(said, "comfort")}
    for key in ("periods", "setback_c"):
        yield ("controls", key), warmth[key], "own: the controller holds the needed warmth"
    yield from _design_flow(said, _of(said, "emitters"), _of(said, "boiler"))
    yield from _source(_of(said, "heat_pump").get("regression"))
    yield from _boiler(said)
    yield from _gas(_of(said, "fuel"))
    yield from _stove(_of(said, "stove"))
    yield from _inverter(_of(said, "solar").get("array"))
    yield from _nominal(_of(said, "money"))


def _of(said: Table, section: str) -> Table:
    table = said.get(section)
    return table if isinstance(table, Mapping) else {}


def _leading(section: type[Section], key: str, value: Any) -> float:
    """A number that others follow, or its own example where it would be refused."""
    field = parts_of(section)[key].field
    low, high = bounds_of(field) or (0.0, 0.0)
    if _is_number(value) and low <= value <= high:
        return value
    example: float = (field.examples or [low])[0]
    return example


def _site(site: Table) -> Iterator[Follower]:
    zone = site.get("zone")
    if not (isinstance(zone, str) and is_zone(zone)):
        yield ("site", "country"), next(iter(country_codes())), "own: a stand-in, the zone is refused"
    elif zone in country_of_zone():
        yield ("site", "country"), country_of_zone()[zone], "the country of the zone, IANA"
    if "fuse_a" in site:
        yield ("site", "volts"), 230.0, "IEC 60038: 230 V between phase and neutral"
        country = country_of(site)
        if country in THREE_PHASES:
            yield ("site", "phases"), 3, f"common practice: homes in {country} are connected to three phases"
        else:
            yield ("site", "phases"), 1, "own: one phase"


def _drawn(said: Table) -> Iterator[Follower]:
    """Hot water of as many people as live there."""
    household = _of(said, "household")
    size = SIZES.get(str(household.get("size")))
    people = _leading(Household, "people", household.get("people", size[0] if size else USUAL_PEOPLE))
    yield (
        ("hot_water", "litres_per_day_at_40"),
        round(min(LITRES_EACH * people, 1000.0), 1),
        f"own: {LITRES_EACH:g} litres at 40 °C for each of the people",
    )


def _no_water(said: Table) -> Iterator[Follower]:
    """What stands for a cylinder where the heating of the home heats no water: nothing is drawn, lost or heated."""
    water = said.get("hot_water", {"heated_by": "something else"})
    if not isinstance(water, Mapping) or water.get("heated_by") != "something else":
        return
    silent = "own: a stand-in, no water is heated (silent)"
    yield ("hot_water", "heated_by"), "something else", silent
    yield ("hot_water", "volume_l"), 100.0, silent
    yield ("hot_water", "target_c"), 60.0, silent
    if "tapping" not in water:
        yield ("hot_water", "litres_per_day_at_40"), 0.0, silent


def _from_floor(floor_m2: float) -> Iterator[Follower]:
    shares, sources = default_table()["derived"], default_sources()
    window = default_table()["each"]["home"]["window"]
    south, north = shares["south_glass_per_floor_area"], shares["north_glass_per_floor_area"]
    glass = [
        {"area_m2": round(south * floor_m2, 2), "azimuth_deg": 180.0, **window},
        {"area_m2": round(north * floor_m2, 2), "azimuth_deg": 0.0, **window},
    ]
    yield ("home", "volume_m3"), shares["storey_height_m"] * floor_m2, sources["derived", "storey_height_m"]
    yield ("home", "window"), glass, f"own: {south:g} of the floor area to the south and {north:g} to the north"


def _design_flow(said: Table, emitters: Table, boiler: Table) -> Iterator[Follower]:
    place = ("controls", "design_flow_c")
    slope = _of(said, "controls").get("slope")
    if _is_number(slope):
        yield place, _flow_of_slope(said, slope), "own: what slope and shift give on the design day"
    elif "rated_kw" not in emitters:
        flow = _leading(Emitters, "sized_for_flow_c", emitters.get("sized_for_flow_c"))
        yield place, flow, "own: the flow temperature that the emitters were sized for"
    elif said.get("heat_source") == "boiler":
        flow = _leading(Boiler, "flow_c", boiler.get("flow_c", default_table()["boiler"]["flow_c"]))
        yield place, flow, "own: the flow temperature of the boiler"


def _flow_of_slope(said: Table, slope: float) -> float:
    """Flow that a straight curve reaches on the design day [°C]: room + shift + slope × (room − outdoor)."""
    comfort = {**default_table()["comfort"], **_of(said, "comfort")}
    periods = comfort["periods"] if isinstance(comfort["periods"], list) else []
    rooms = [comfort["setback_c"], *(p.get("c") for p in periods if isinstance(p, Mapping))]
    room = max([float(c) for c in rooms if _is_number(c)] or [21.0])
    outdoor, shift = _of(said, "site").get("design_outdoor_c"), _of(said, "controls").get("shift_k", 0.0)
    cold = float(outdoor) if _is_number(outdoor) else 0.0
    return round(room + (float(shift) if _is_number(shift) else 0.0) + slope * (room - cold), 3)


def _is_number(value: Any) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _boiler(said: Table) -> Iterator[Follower]:
    """Efficiencies of a boiler whose kind or age is told; of neither, the general default holds."""
    boiler, year = _of(said, "boiler"), _of(said, "site").get("year")
    age, fuel = boiler.get("age_years"), str(_of(said, "fuel").get("kind"))
    built = (float(year) if _is_number(year) else 2025.0) - age if _is_number(age) else None
    found = usual_efficiencies(fuel, boiler.get("kind"), built)
    if found is not None:
        space, water, source = found
        yield ("boiler", "space_efficiency"), space, source
        yield ("boiler", "water_efficiency"), water, source


def _gas(fuel: Table) -> Iterator[Follower]:
    if fuel.get("unit") == "kWh":
        yield ("fuel", "kwh_per_unit"), 1.0, "own: a kWh holds 1 kWh (silent)"
    value, correction = fuel.get("calorific_value_mj_m3"), fuel.get("volume_correction")
    if _is_number(value) and _is_number(correction):
        kwh = kwh_of_volume(str(fuel.get("unit")), value, correction)
        if kwh is not None:
            source = "own: volume × correction × calorific value / 3.6, SI 1996/439"
            yield ("fuel", "kwh_per_unit"), round(kwh, 6), source


def _stove(stove: Table) -> Iterator[Follower]:
    kind = str(stove.get("kind"))
    only = BURNS_ONLY.get(kind)
    burns = str(stove.get("burns", only or "wood"))
    if burns not in SOLID_CARBON:
        burns = "wood"  # a stand-in, what it burns is refused
    yield ("stove", "burns"), burns, "own: what most such stoves burn"
    kwh, source = SOLID_KWH.get((burns, str(stove.get("unit"))), (1.0, "own: a kWh holds 1 kWh (silent)"))
    yield ("stove", "kwh_per_unit"), kwh, source
    yield ("stove", "carbon_g_per_kwh"), SOLID_CARBON[burns], "from memory: SAP 10.2 Table 12"


def _source(regression: Any) -> Iterator[Follower]:
    if not isinstance(regression, str):
        return
    if regression.endswith(("_ground", "_groundwater")):
        source = "ground" if regression.endswith("_ground") else "constant"
        yield ("heat_pump", "source"), source, "own: the source of the regression"
    if regression.startswith(HOLDS_FIELD_CONDITIONS):
        why = "the regression holds a factor for field conditions already, and it is counted once"
        yield ("heat_pump", "efficiency_scale"), 1.0, why


def _inverter(arrays: Any) -> Iterator[Follower]:
    tables = arrays if isinstance(arrays, list) else []
    powers = [_leading(SolarArray, "kwp", array.get("kwp")) for array in tables if isinstance(array, Mapping)]
    total = min(sum(powers), 200.0) if powers else 1.0
    yield ("solar", "inverter_kw"), total, "common practice: as many kW as the panels have kWp"


def _nominal(money: Table) -> Iterator[Follower]:
    if money.get("terms") == "nominal":
        usual = default_table()["money"]
        inflation = _leading(Money, "inflation", money.get("inflation", usual["inflation"]))
        rate = (1.0 + usual["discount_rate"]) * (1.0 + inflation) - 1.0
        yield (
            ("money", "discount_rate"),
            round(rate, 6),
            "UK government Green Book: 3.5 % real, with the inflation stated",
        )
