"""The parts of a home in, one `Case` out: a home with everything in it, comparable, with its notes and its options.

A case is made by ``case.case_from`` and nowhere else: everything the user says is checked there, once, and what lies
below trusts it. A case keeps what was said beside what was filled in, so that it can be written back, varied, and can
name what it assumed.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, PrivateAttr

from simkit.case.defaults import Assumed, assumed
from simkit.case.heating.boiler import Boiler, Carbon, Fuel, Hybrid
from simkit.case.heating.controls import Comfort, Controls, Emitters
from simkit.case.heating.heat_pump import HeatPump
from simkit.case.heating.hot_water import HotWater
from simkit.case.heating.other_heat import RoomHeater, SolarThermal, Stove
from simkit.case.home.home import Home
from simkit.case.home.household import Household
from simkit.case.home.rooms import Room
from simkit.case.home.site import Site
from simkit.case.home.ventilation import Ventilation
from simkit.case.home.weather import WeatherSource
from simkit.case.money.ledger import Ledger
from simkit.case.money.money import Money
from simkit.case.money.uncertainty import Uncertainty
from simkit.case.named_files import with_files_turned
from simkit.case.power.battery import Battery
from simkit.case.power.car import Car
from simkit.case.power.solar import Solar
from simkit.case.remarks import remarks
from simkit.notation import Notation, usual_locale
from simkit.schema.overlay import Table
from simkit.schema.section import PROSE_PATTERN, Section, said, text
from simkit.tariff.tariff import Tariff, files_turned


class Head(Section):
    """The keys of a case file that stand before all tables."""

    name: str = text("What to call the home", example="Bungalow by the water")
    note: str = said("Anything worth saying about it", example="invented home", max_length=2000, pattern=PROSE_PATTERN)
    currency: str = text("Currency of all prices, ISO 4217", example="EUR")
    heat_source: Literal["heat_pump", "boiler", "hybrid"] = said("What heats the home", example="heat_pump")
    as_operated: bool = said(
        "Whether the set-points that were held with the boiler stand for [controls]", example=False
    )
    tariff_file: str = Field(
        alias="tariff",
        min_length=1,
        description="Tariff file, its path seen from the case file.",
        examples=["../tariffs/flat.toml"],
        json_schema_extra={"meaning": "Tariff file, its path seen from the case file"},
    )
    baseline: str | None = text(
        "Name of the option that the others are compared with", example="as installed", absent=True
    )
    step_minutes: Literal[60, 30, 15] = said("Length of a step in minutes", example=60)


@dataclass(frozen=True)
class Made:
    """What a case was made from."""

    stated: Table
    full: Table
    folder: Path
    label: str
    tariff: Tariff
    base: Case | None = None
    renamed: tuple[str, ...] = ()  # a note for each key that stood in the file under its old name


class Case(Head):
    """One home with everything in it; equal and hashable by what is in it, wherever its files lie."""

    site: Site = said("Where the home stands and which year is run", example={})
    weather: WeatherSource = said("Monthly figures or a file of hours", example={})
    home: Home = said("The building", example={})
    ventilation: Ventilation | None = said("Leaks, fresh air and heat recovery", example={}, absent=True)
    comfort: Comfort = said("The warmth that the people need", example={})
    controls: Controls = said("What the controller holds", example={})
    emitters: Emitters = said("What gives the heat to the rooms", example={})
    room: tuple[Room, ...] | None = said("The rooms, one by one", example=[], absent=True)
    heat_pump: HeatPump | None = said("The heat pump", example={}, absent=True)
    hot_water: HotWater = said("The cylinder and what is drawn from it", example={})
    boiler: Boiler | None = said("The boiler that is replaced, kept, or still there", example={}, absent=True)
    fuel: Fuel | None = said("What the boiler burns and what it costs", example={}, absent=True)
    hybrid: Hybrid | None = said("When a hybrid runs its boiler", example={}, absent=True)
    stove: Stove | None = said("A stove or open fire beside the heating", example={}, absent=True)
    solar_thermal: SolarThermal | None = said("Solar collectors for hot water", example={}, absent=True)
    room_heater: RoomHeater | None = said("An electric heater in one room", example={}, absent=True)
    household: Household = said("Electricity and heat of the people", example={})
    car: Car | None = said("An electric car charged at home", example={}, absent=True)
    carbon: Carbon = said("Carbon of the electricity", example={})
    solar: Solar | None = said("The panels and their inverter", example={}, absent=True)
    battery: Battery | None = said("The battery and when it works", example={}, absent=True)
    uncertainty: Uncertainty = said("What is not known exactly", example={})
    money: Money | None = said("How amounts of different years are weighed", example={}, absent=True)
    ledger: Ledger | None = said("What is paid, received or spared once", example={}, absent=True)

    _made: Made = PrivateAttr()

    @property
    def tariff(self) -> Tariff:
        """The electricity tariff that is charged."""
        return self._made.tariff

    @property
    def folder(self) -> Path:
        """Folder to which relative paths refer; no part of comparison and hash."""
        return self._made.folder

    @property
    def base(self) -> Case | None:
        """The case that this one is an option of, or None; what was burnt before any option stands there."""
        return self._made.base

    @property
    def lit(self) -> Stove | None:
        """The stove where it goes on being used."""
        return self.stove if self.stove is not None and self.stove.goes_on else None

    @property
    def beside_kg(self) -> float:
        """Carbon dioxide of what a stove burns in a year [kg]."""
        return self.lit.fuel_kwh * self.lit.carbon_g_per_kwh / 1000.0 if self.lit is not None else 0.0

    @property
    def notation(self) -> Notation:
        """How its numbers are written: in the locale that it states, or in English as its country uses it."""
        return Notation(self.site.locale or usual_locale(self.site.country), self.currency)

    @property
    def label(self) -> str:
        """Name of the file, as messages give it."""
        return self._made.label

    @property
    def stated(self) -> Table:
        """What the user said, as it stands in the file, without defaults; not to be changed."""
        return self._made.stated

    @property
    def full(self) -> Table:
        """What the user said with every default filled in; not to be changed."""
        return self._made.full

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """Remarks, and a sentence for every value that was assumed; no part of comparison and hash."""
        return (*self._made.renamed, *remarks(self), *(f"Assumed for you: {one.said}" for one in self.assumed))

    @cached_property
    def assumed(self) -> tuple[Assumed, ...]:
        """Every value that was filled in for the user, with its source."""
        return assumed(Case, self.stated, self.full)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of everything that is in the case and its tariff, in hexadecimal; of files only the names count."""
        content = self.model_dump(by_alias=True, exclude_none=True, mode="json")
        prices = self.tariff.model_dump(by_alias=True, exclude_none=True, mode="json")
        content = _digestible(content | {"tariff": files_turned(prices, lambda path: Path(path).name)})
        content["option"] = [_digestible(option) for option in self.stated.get("option", ())]
        return hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode()).hexdigest()

    @property
    def files(self) -> tuple[Path, ...]:
        """Files of data that the case names, with their folder."""
        names = (self.weather.file, self.household.file)
        named = (*(name for name in names if name is not None), *self.tariff.files)
        return tuple((self.folder / name).resolve() for name in named)

    def but(self, tariff: Tariff | None = None, **parts: Any) -> Case:
        """The case with another tariff or other parts, unchecked; what it states stays as it stands in the file."""
        made = self.model_copy(update=parts)
        for name in ("digest", "notes", "assumed"):  # what was worked out of the other parts
            made.__dict__.pop(name, None)
        made._made = replace(self._made, tariff=tariff or self.tariff)
        return made

    def __eq__(self, other: object) -> bool:
        """Compare what is in two cases."""
        return isinstance(other, Case) and self.digest == other.digest and self.files == other.files

    def __hash__(self) -> int:
        """Hash what is in the case."""
        return hash(self.digest)

    def options(self) -> list[tuple[str, str, Case]]:
        """List the alternatives that the case names, each a whole case of its own.

        Returns
        -------
        list
            Name, note and case of every ``[[option]]`` in the order of the file; the case itself if it names none.
        """
        tables = self.stated.get("option", ())
        if not tables:
            return [(self.name, self.note, self)]
        from simkit.case.build import options_of

        return [(case.name, case.note, case) for case in options_of(self)]

    def __repr__(self) -> str:
        """Name the home and what is in it."""
        number = len(self.stated.get("option", ()))
        return f'Case("{self.name}", heat_source="{self.heat_source}", tariff="{self.tariff.name}", options={number})'

    __str__ = __repr__


def tariff_stem(tariff: Tariff) -> str:
    """Name of a file for a tariff, without its suffix: small letters, digits and underlines."""
    return re.sub(r"[^a-z0-9]+", "_", tariff.name.lower()).strip("_") or "tariff"


def _digestible(table: Table) -> dict[str, Any]:
    """A case or an option as it counts for equality: of its files only the names, wherever they lie."""
    held = table.get("tariff")
    named = {"tariff": f"{tariff_stem(held)}.toml"} if isinstance(held, Tariff) else {}
    return with_files_turned(table, lambda path: Path(path).name) | named
