"""What the user says of heat beside the heating in, validated `Stove`, `SolarThermal` and `RoomHeater` out.

Each says when it gave heat in the year in which the fuel was burnt, and whether it goes on giving it: an option may
leave it out, and the heat loss is found with it all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from simkit.case.heating.controls import Span
from simkit.errors import Fault
from simkit.schema.section import Section, Way, number, said, worded

Burns = Literal["wood", "pellets", "coal"]
BURNS_ONLY = {"pellet stove": "pellets"}  # what such a stove burns and nothing else

# Energy of a unit [kWh gross], and carbon dioxide of a kWh [g]. Wood at 20 % moisture and pellets at 8 %: 20.2 MJ/kg of
# dry matter (common practice); a stacked cubic metre between softwood (1,400 kWh) and hardwood (2,100 kWh).
SOLID_KWH: dict[tuple[str, str], tuple[float, str]] = {
    ("wood", "kg"): (4.5, "common practice: air-dry, a fifth of it water, gross"),
    ("wood", "m3"): (1750.0, "own: a stacked cubic metre between softwood (1,400) and hardwood (2,100), gross"),
    ("pellets", "kg"): (5.2, "common practice: 4.8 kWh by net value, gross"),
    ("pellets", "m3"): (3380.0, "common practice: 650 kg loose, gross"),
    ("coal", "kg"): (8.4, "common practice: house coal, gross"),
    ("coal", "m3"): (6700.0, "common practice: 800 kg loose, gross"),
}
SOLID_CARBON = {"wood": 28.0, "pellets": 53.0, "coal": 395.0}  # from memory: SAP 10.2 Table 12

Months = Annotated[
    Annotated[tuple[Annotated[int, Field(ge=1, le=12)], ...], Field(min_length=1, max_length=12)],
    worded("is not a list of months, 1 for January to 12", "Write for example [10, 11, 12, 1, 2, 3, 4]"),
]


class Beside(Span):
    """Heat beside the heating: hours of the day and months of the year in which it is given."""

    one_line = False

    months: Months = said("Months in which it is used, 1 for January", example=[11, 12, 1, 2, 3])
    in_fuel_year: bool = said("Whether it was used while the stated fuel was burnt", example=True)
    goes_on: bool = said("Whether it goes on being used", example=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield hours without length, and heat that is given never."""
        yield from super().clashes()
        yield from never_used(self.in_fuel_year, self.goes_on)


def never_used(in_fuel_year: bool, goes_on: bool) -> Iterator[Fault]:
    """Yield that a thing is used neither then nor from now on."""
    if not (in_fuel_year or goes_on):
        remedy = "Set in_fuel_year = true for what was used then, or leave the table out"
        yield Fault("", "in_fuel_year = false and goes_on = false", "leaves nothing that gives heat", remedy)


class Stove(Beside):
    """A stove or open fire."""

    kind: Literal["stove", "pellet stove", "open fire"] = said(
        "What it is: a stove with a door, one fed with pellets, or a fire in an open hearth", example="stove"
    )
    burns: Burns = said("What is burnt in it", example="wood")
    amount: float = number(0.05, 50_000, "unit", "What it burns in a year", example=3.0)
    unit: Literal["kg", "m3", "kWh"] = said(
        "Unit of amount and price; a cubic metre of wood is stacked, of pellets and coal loose", example="m3"
    )
    kwh_per_unit: float = number(1, 12_000, "kWh per unit", "Gross calorific value of a unit", example=1900)
    efficiency: float = number(
        0.05, 0.95, "share", "Heat given to the room it stands in over fuel by gross calorific value", example=0.65
    )
    reaches_rooms: float = number(
        0.1, 1, "share", "Share of that heat which the home uses; the rest overheats one room or is aired out",
        example=0.85,
    )  # fmt: skip
    price_per_unit: float = number(
        0, 100_000, "currency per unit", "Price of a unit, delivered and taxed; 0 for what costs nothing", example=110
    )
    carbon_g_per_kwh: float = number(0, 1000, "g/kWh", "Carbon dioxide of a kWh burnt, by gross value", example=30)

    @property
    def fuel_kwh(self) -> float:
        """What it burns in a year [kWh gross]."""
        return self.amount * self.kwh_per_unit

    @property
    def heat_kwh(self) -> float:
        """Heat of a year that the home uses [kWh]."""
        return self.fuel_kwh * self.efficiency * self.reaches_rooms

    @property
    def cost(self) -> float:
        """What its fuel costs in a year [currency]."""
        return self.amount * self.price_per_unit

    def clashes(self) -> Iterator[Fault]:
        """Yield what such a stove can't burn, and a kWh that isn't one."""
        yield from super().clashes()
        allowed = BURNS_ONLY.get(self.kind)
        if allowed is not None and self.burns != allowed:
            yield Fault("", f'burns = "{self.burns}"', f"can't be burnt in a {self.kind}", f'Write burns = "{allowed}"')
        if self.unit == "kWh" and self.kwh_per_unit != 1:
            given, why = f"kwh_per_unit = {self.kwh_per_unit:g}", 'contradicts unit = "kWh": a kWh holds 1 kWh'
            yield Fault("", given, why, "Write 1, or the unit in which the fuel is bought")


class SolarThermal(Section):
    """Solar collectors that heat water before the heating does."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("heat_kwh"), Way("area_m2")),)

    heat_kwh: float | None = number(
        1, 50_000, "kWh", "Heat that they give the hot water in a year, from their meter", example=1400, absent=True
    )
    area_m2: float | None = number(
        0.5, 100, "m²", "Surface of the collectors, where their heat was not metered", example=4.6, absent=True
    )
    tilt_deg: float = number(0, 90, "°", "Tilt from flat", example=40)
    azimuth_deg: float = number(0, 360, "°", "Direction they face: 0 north, 90 east, 180 south", example=180)
    in_fuel_year: bool = said("Whether they worked while the stated fuel was burnt", example=True)
    goes_on: bool = said("Whether they go on working", example=False)

    def clashes(self) -> Iterator[Fault]:
        """Yield collectors that never work."""
        yield from never_used(self.in_fuel_year, self.goes_on)


class RoomHeater(Beside):
    """An electric heater in one room, switched on by hand."""

    kwh: float = number(1, 50_000, "kWh", "Electricity it takes in a year, beside that of [household]", example=400)
