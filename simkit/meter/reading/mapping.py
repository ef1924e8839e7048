"""What the columns of a file mean in; a TOML file that remembers it out, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import inf
from pathlib import Path
from typing import Any

from simkit.errors import CaseError, Fault, nearest, raise_all
from simkit.meter.reading.layout import Layout
from simkit.meter.reading.words import ENERGY_UNITS
from simkit.schema.toml_file import read_toml, write_whole

KEYS = ("time", "decimal", "order", "clock", "label", "meter", "unit", "kwh_per_unit", "columns", "others")
PROVEN = 0.95  # own: confidence from which a guess is kept for the next file: how often files are so is no proof
EXAMPLE = 'Write column = "its head", and if you know them unit = "kWh" and register = false'
CLOCK = re.compile(r"local|utc|[+-]\d\d:\d\d")
CHOICES = {
    "decimal": (".", ","), "order": ("year first", "day first", "month first"), "label": ("start", "middle", "end"),
    "unit": ENERGY_UNITS, "others": ("guessed", "left out"),
}  # fmt: skip


def mapping_of(layout: Layout, head: tuple[str, ...]) -> dict[str, Any]:
    """Everything that was settled about a file, so that the next one from the same place is read alike."""
    columns: dict[str, dict[str, Any]] = {}
    for column in layout.columns:
        terms = columns.setdefault(column.quantity, {"column": [], "unit": column.unit, "register": column.register})
        terms["column"].append(column.head)
    made: dict[str, Any] = {"time": head[layout.stamp]} if head[layout.stamp] else {}
    # what nothing proved is asked for again: rows of a British winter kept as UTC would make its summer an hour late
    proven = {guess.key for guess in layout.guesses if guess.confidence >= PROVEN}
    settled = {"decimal": layout.decimal, "order": layout.order, "clock": layout.clock, "label": layout.label}
    for key, value in settled.items():
        if key in proven and value not in ("offset", "instant", ""):
            made[key] = value
    return {**made, "columns": columns}


def write_mapping(mapping: Mapping[str, Any], path: Path | str) -> None:
    """Write a mapping as TOML; the file is replaced whole."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment("What the columns of this kind of file mean. Change what was guessed wrong."))
    for key, value in mapping.items():
        document[key] = value
    write_whole(Path(path), tomlkit.dumps(document))


def read_mapping(path: Path | str) -> dict[str, Any]:
    """Read a mapping.

    Raises
    ------
    CaseError
        With every key that is unknown and every choice that is none.
    """
    path = Path(path)
    held = read_toml(path, what="mapping")
    checked_mapping(held, path.name)
    return held


def checked_mapping(held: Mapping[str, Any], name: str) -> None:
    """Refuse keys and choices that a mapping doesn't know."""
    faults = []
    for key, value in held.items():
        if key not in KEYS:
            near = nearest(key, KEYS)
            remedy = f"Perhaps {near} is meant" if near else f"Its keys are: {', '.join(KEYS)}"
            faults.append(Fault(name, key, "is not a key of a mapping", remedy))
        elif key in CHOICES and value not in CHOICES[key]:
            listed = ", ".join(f'"{choice}"' for choice in CHOICES[key])
            faults.append(Fault(name, f'{key} = "{value}"', "is none of the choices", f"Write one of: {listed}"))
        elif key == "clock" and not CLOCK.fullmatch(str(value)):
            remedy = 'Write "local", "utc" or what it is ahead of UTC, as "+01:00"'
            faults.append(Fault(name, f'clock = "{value}"', "is no clock", remedy))
        elif key in ("time", "meter") and not (isinstance(value, str) and value):
            remedy = 'Write it as it stands in the file, in quotes, such as "Date"'
            faults.append(Fault(name, f"{key} = {value}", "is no text", remedy))
        elif key == "kwh_per_unit" and not (_is_number(value) and 0.0 < value < inf):
            remedy = "Write kWh a m³ gross, as the gas bill states it, such as 10.6"
            faults.append(Fault(name, f"{key} = {value}", "is no energy of a unit of fuel", remedy))
        elif key == "columns":
            faults += [
                Fault(
                    name,
                    f"columns.{quantity}".rstrip("."),
                    "says something else than column, unit and register",
                    EXAMPLE,
                )
                for quantity, terms in (value.items() if isinstance(value, Mapping) else [("", value)])
                if not _is_column(terms)
            ]
    raise_all(faults, CaseError)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_column(terms: Any) -> bool:
    """Whether a table says of a quantity what a mapping may: its heads, its unit, whether it is a running total."""
    if not isinstance(terms, Mapping):
        return False
    if not set(terms) <= {"column", "unit", "register"}:
        return False
    heads = terms.get("column", "")
    named = all(isinstance(head, str) for head in (heads if isinstance(heads, list | tuple) else [heads]))
    return named and isinstance(terms.get("unit", ""), str) and isinstance(terms.get("register", False), bool)
