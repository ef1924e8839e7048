"""A row of a table of clients in; the case that it stands for out: what it says, over what its place says."""

from __future__ import annotations

import os.path
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from simkit.case.build import case_from
from simkit.case.case import Case
from simkit.case.defaults import full_table
from simkit.case.heating.heat_pump import sized
from simkit.case.load import read_case
from simkit.case.sample_homes import CASE_FILE, TARIFFS, sample_file, sample_folder, sample_names
from simkit.clients.table import Row
from simkit.errors import CaseError, Fault, SimkitError, perhaps, raise_all
from simkit.kept.memory import memo
from simkit.schema.hints import shown
from simkit.schema.overlay import lay_path

NOW, OFFER = "What is there now", "The offer"
# What of the case of a place holds for every home there; building, options and measures are a home's own.
TAKEN = (
    "currency", "site", "weather", "comfort", "controls", "emitters", "heat_pump", "hot_water", "boiler", "fuel",
    "household", "carbon", "uncertainty", "money",
)  # fmt: skip
OF_A_HOME = {"money": ("measure",)}
UNITS = {
    "litre": "litre", "litres": "litre", "l": "litre", "kwh": "kWh", "m3": "m3", "m³": "m3", "kg": "kg",
    "ft3_100": "ft3_100",
}  # fmt: skip
AMOUNT = re.compile(r"([\d\s.,'\u00a0\u2009\u202f]*\d)\s*(\S+)")
THOUSANDS = re.compile(r"\d{1,3}([.,])\d{3}")
GAPS = re.compile(r"[\s'\u00a0\u2009\u202f]")


@dataclass(frozen=True)
class Home:
    """A row as a case.

    Attributes
    ----------
    case
        The home, with what is there now and the offer as its options.
    told, taken, assumed
        How many values the row says, how many hold because its place says them, how many are defaults.
    """

    case: Case
    told: int
    taken: int
    assumed: int


def home_of(row: Row, table: Path) -> Home:
    """Make the case of a row.

    Parameters
    ----------
    row
        The row.
    table
        The file it stands in; places and tariffs are looked for beside it.

    Raises
    ------
    CaseError, DataError
        With a sentence for each thing that is wrong with the row, its line named.
    """
    where = f"{table.name} line {row.line}"
    try:
        place = case_of_place(str(row.values.get("place", "")), table.parent)
    except SimkitError as error:
        raise at_line(where, error) from None
    stated, taken, faults = _stated(row, place, table)
    raise_all([Fault(where, f.given, f.allowed, f.remedy) for f in faults])
    try:
        for key, value in row.values.items():
            if "." in key:
                stated = lay_path(Case, stated, full_table(Case, stated), key, value_of(value))
        case = case_from(stated, folder=place.folder, label=where)
    except CaseError as error:
        raise at_line(where, error) from None
    return Home(case, len(row.values) - 1, taken, len(case.assumed))


def at_line(where: str, error: SimkitError) -> SimkitError:
    """The same faults with the line in front, once."""
    faults = []
    for fault in error.faults:
        known = fault.where.startswith(where)
        faults.append(fault if known else Fault(f"{where}, {fault.where}".rstrip(", "), *_rest(fault)))
    return type(error)(faults)


def _rest(fault: Fault) -> tuple[str, str, str]:
    return fault.given, fault.allowed, fault.remedy


def case_of_place(written: str, folder: Path) -> Case:
    """The case of a place: a file or folder beside the table, or a sample home by its name."""
    if not written:
        remedy = "Name a case file, or a sample home such as estuary_bungalow"
        raise CaseError(Fault("", "place", "is missing", remedy))
    beside = folder / written
    path = beside / CASE_FILE if os.path.isdir(beside) else beside  # a name too long for any file is no error to them
    if not os.path.isfile(path):
        names = sample_names(folder)
        if written not in names:
            allowed = "is neither a case file beside the table nor a sample home"
            remedy = perhaps(written, names, f"The sample homes are: {', '.join(names)}")
            raise CaseError(Fault("", f"place {shown(written)}", allowed, remedy))
        path = sample_file(written, folder)
    return _read(path.resolve(), path.stat().st_mtime_ns)


@memo
def _read(path: Path, _changed: int) -> Case:
    """A case file, read once for all rows that name it."""
    return read_case(path)


def _stated(row: Row, place: Case, table: Path) -> tuple[dict[str, Any], int, list[Fault]]:
    """What a row and its place say of a home, how many values are the place's, and what is wrong."""
    faults: list[Fault] = []
    kept = {key: place.stated[key] for key in TAKEN if key in place.stated}
    for key, own in OF_A_HOME.items():
        kept |= {key: {k: v for k, v in kept[key].items() if k not in own}} if key in kept else {}
    start = f"{place.site.year + 1}-01-01"
    kept.setdefault("money", tomllib.loads(f"start = {start}"))
    taken = _leaves(kept)
    home: dict[str, Any] = {"floor_area_m2": _number("area", row.values.get("area"), faults)}
    told = str(row.values.get("fuel a year", ""))
    if told:
        home["loss"] = _burnt(told, faults)
    elif not any(key.startswith("home.loss.") for key in row.values):
        remedy = "Write what heating burnt in a usual year, or add a column such as home.loss.w_per_k"
        faults.append(Fault("", "fuel a year", "is missing", remedy))
    if "heat pump kW" in row.values and place.heat_pump is not None:
        size = _number("heat pump kW", row.values["heat pump kW"], faults)
        if size > 0.0:
            kept["heat_pump"] = {**kept["heat_pump"], **sized(place.heat_pump, size)}
    tariff = _tariff(str(row.values.get("tariff", "")), table.parent, place, faults)
    price = _number("offer", row.values.get("offer"), faults)
    line = {
        "label": "heat pump, fitted", "amount": price, "date": kept["money"].get("start"), "kind": "quote",
        "source": f"offer in {table.name}",
    }  # fmt: skip
    now = {"name": NOW, "heat_source": "boiler"}
    offered = {"name": OFFER, "heat_source": "heat_pump", "ledger": {"item": [line]}}
    if not row.name:
        faults.append(Fault("", "name", "is missing", "Give every home a name of its own"))
    stated = {
        "name": row.name, "heat_source": "heat_pump", "tariff": tariff, "baseline": NOW, **kept, "home": home,
        "option": [now, offered],
    }  # fmt: skip
    return stated, taken, faults


def _leaves(table: Any) -> int:
    """How many values a table holds; a list counts as one."""
    return sum(map(_leaves, table.values())) if isinstance(table, Mapping) else 1


def _number(head: str, value: Any, faults: list[Fault]) -> float:
    """A number however it was written, 0 where it is none or could be two."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    text = GAPS.sub("", str(value or ""))
    if THOUSANDS.fullmatch(text):
        plain = text.replace(",", "").replace(".", "")
        allowed = "may mean thousands or decimals"
        faults.append(Fault("", f'{head} "{value}"', allowed, f"Write {plain} or {float(text.replace(',', '.')):g}"))
        return 0.0
    try:
        return float(text.replace(",", "."))
    except ValueError:
        given = f'{head} "{value}"' if text else head
        allowed = "is not a number" if text else "is missing"
        faults.append(Fault("", given, allowed, f"Write the number alone, such as {EXAMPLES.get(head, 10)}"))
        return 0.0


EXAMPLES = {"area": 128, "offer": 12500, "heat pump kW": 8}


def _burnt(told: str, faults: list[Fault]) -> dict[str, Any]:
    """Fuel of a year with its unit."""
    found = AMOUNT.match(told.strip())
    unit = UNITS.get(found[2].casefold()) if found else None
    if found is None or unit is None:
        allowed = "is not an amount with its unit"
        remedy = "Write for example 1850 litres, 16000 kWh, 1500 m3 or 900 kg"
        faults.append(Fault("", f'fuel a year "{told}"', allowed, remedy))
        return {}
    return {"fuel_amount": _number("fuel a year", found[1], faults), "fuel_unit": unit}


def _tariff(written: str, folder: Path, place: Case, faults: list[Fault]) -> str:
    """Path of a tariff: beside the table, among the samples, or that of the place."""
    if not written:
        return str(place.folder.resolve() / place.stated["tariff"])
    samples = sample_folder(folder) / TARIFFS
    for path in (folder / written, samples / f"{written}.toml"):
        if os.path.isfile(path):
            return str(path.resolve())
    names = [path.stem for path in sorted(samples.glob("*.toml"))]
    allowed = "is neither a tariff file beside the table nor a sample"
    faults.append(
        Fault("", f"tariff {shown(written)}", allowed, perhaps(written, names, "Look at the spelling of its name"))
    )
    return ""


def value_of(value: Any) -> Any:
    """A cell under a key of a case file: as TOML where it reads as that, a number with a comma, or text."""
    if not isinstance(value, str):
        return value
    for text in (value, value.replace(",", ".")):
        try:
            return tomllib.loads(f"it = {text.strip()}")["it"]
        except tomllib.TOMLDecodeError:
            continue
    return value.strip()
