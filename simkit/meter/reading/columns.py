"""Columns of numbers in; the quantity and unit of each, whether it is a counter, and those not understood, out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import DataError, Fault, nearest
from simkit.meter.reading.layout import Column, Guess, Layout
from simkit.meter.reading.words import (
    ENERGY_UNITS,
    HOME_WORDS,
    QUANTITIES,
    TEMPERATURES,
    is_other,
    quantity_of,
    speaks_of_part,
    speaks_of_register,
    unit_of_words,
)
from simkit.readers.table import MARKS, Table, column_at

SECTION = "a mapping's columns"
NONE = "none"  # what a mapping writes in place of a head where no column holds that quantity
LOST = (*MARKS, 99999.0)  # marks of missing values; a counter of five digits stands at its top
VOLUMES = ("m3", "ft3", "ft3_100")
PARTS = re.compile(
    r"\b[12][.:]8[.:][1-9]|day|night|peak|low|high|normal|rate|tarif|\bht\b|\bnt\b|tag|nacht|dag|jour|nuit|laag|hoog|dal|punta"
    r"|tarief|normaal|\bhp\b|\bhc\b|pleine|creuse|valle|llano"
)
ROW_NUMBER = re.compile(r"(#|no|nr|row|id|index|)\.?", re.IGNORECASE)
HOTTEST_MIDDLE_C = 35.0  # own: no home's room or weather is in the middle above it: it is °F
LONG_NUMBER = 1e7  # own: a value of eight digits that hardly ever changes is the number of a meter


def beside_days(table: Table, places: tuple[int, ...], numeric: list[int]) -> tuple[tuple[str, str], ...]:
    """Columns of numbers beside the intervals of days, with why they are not read; their sums are left out."""
    held = {k: table.sample[k] for k in numeric if k not in places and not _is_sum(table.head[k])}
    numbers = [k for k, cells in held.items() if cells.nunique() > 2 and not cells.str.fullmatch(r"\d{8,}").all()]
    return tuple((table.head[k] or f"column {k + 1}", "one number a day beside its intervals") for k in numbers)


def day_column(
    table: Table, said: Mapping[str, Any], places: tuple[int, ...], unit: int | None, left: Iterable[str]
) -> Column:
    """The one quantity of a table with a day in each row; what columns that are `left` say is not of it."""
    others = set(left)
    heads = [h for k, h in enumerate(table.head) if k not in places and not _is_sum(h) and h not in others]
    words = " ".join((_about(table), *heads))
    named: tuple[Any, Any] = next(iter(said.items()), (None, {}))
    quantity, terms = named
    measure = (
        terms.get("unit")
        or _unit_cell(table.sample, unit)
        or unit_of_words(" ".join((words, *(h for h in table.head if h not in others))))
        or ""
    )
    return Column(places[0], "", quantity or quantity_of(words) or "import_kwh", measure, False)


def _about(table: Table) -> str:
    """What stands above a table, and its name; that it is called an export means that somebody exported it."""
    return " ".join((*table.above, table.name.rpartition(".")[0].lower().replace("export", "")))


def _unit_cell(sample: pd.DataFrame, unit: int | None) -> str | None:
    """The first unit that stands in the column of units."""
    if unit is None:
        return None
    return next((found for cell in sample[unit] if (found := unit_of_words(cell))), None)


def value_columns(
    table: Table, layout: Layout, numbers: Mapping[int, Floats]
) -> tuple[tuple[Column, ...], list[Guess], list[tuple[str, str]]]:
    """Columns of values by the words of their heads; what each was taken for; and those that are not read, with why.

    `numbers` holds a sample of each column in the order of time.
    """
    amounts = unit_of_words(" ".join(table.sample[layout.unit].unique())) if layout.unit is not None else None
    aside = {
        k: why
        for k in numbers
        if (why := _aside(table, k, list(numbers), numbers[k], measured=amounts in ENERGY_UNITS)) is not None
    }
    kept = [k for k in numbers if k not in aside]
    if not kept:
        given, remedy = "the columns", "Say which column holds what in a mapping"
        raise DataError(Fault(table.name, given, "hold no readings that could be named; nothing was read", remedy))
    found = [_column(table, k, numbers[k], _unit_beside(table, layout.unit, k, kept), layout.end) for k in kept]
    guesses = [_taken_for(table, column, found) for column in found]
    for name, heads in unparted(found).items():  # they may be two homes, or one may hold the other
        guesses.append(add_up(name, heads))
    if "import_kwh" not in {column.quantity for column in found}:
        guesses += [
            _perhaps_the_home(table.head[k]) for k, why in aside.items() if not why and _has_energy(table.head[k])
        ]
    left = [(table.head[k] or f"column {k + 1}", why) for k, why in aside.items()]
    return tuple(found), guesses, left


def _has_energy(head: str) -> bool:
    return unit_of_words(head) in ENERGY_UNITS[:7]


def _perhaps_the_home(head: str) -> Guess:
    """A column of energy or power that no word explains, where no other one is of the whole home."""
    choices = ((head, "the whole home's electricity", 0.6), (NONE, "something else, not to be read", 0.4))
    why = "nothing says of what it is, and no other column is of the whole home"
    return Guess(f'column "{head}"', "not read", 0.4, why, "import_kwh", choices)


def add_up(name: str, heads: list[str]) -> Guess:
    """Whether several columns of one quantity are parts of one home; hardly, where their heads speak of homes."""
    homes = all(re.search(HOME_WORDS, head.lower()) for head in heads)
    together = 0.1 if homes else 0.6
    each = [(head, f"{head} alone", 0.2) for head in heads]
    choices = [("+".join(heads), "the sum of them", together), *each]
    why = "their heads speak of several homes" if homes else "nothing says whether they add up"
    return Guess(f"columns of {name}", " + ".join(heads), together, why, name, tuple(choices[homes:] + choices[:homes]))


def unparted(columns: Iterable[Column]) -> dict[str, list[str]]:
    """Heads of the columns of one quantity, where there are several and no word calls them parts of one meter."""
    heads: dict[str, list[str]] = {}
    for column in columns:
        heads.setdefault(column.quantity, []).append(column.head or f"column {column.position + 1}")
    return {
        name: held
        for name, held in heads.items()
        if len(held) > 1 and name not in TEMPERATURES and not all(PARTS.search(head.lower()) for head in held)
    }


def _aside(table: Table, k: int, values: list[int], numbers: Floats, *, measured: bool) -> str | None:
    """Why a column of numbers holds no readings of ours; None where it does, "" where nothing says what it holds.

    An amount is one of money, unless a column of units says that energy is `measured`.
    """
    head, good = table.head[k], numbers[np.isfinite(numbers)]
    others = [table.head[j] for j in values if j != k]
    first = pd.to_numeric(table.cells[k].iloc[:50], errors="coerce").replace(np.inf, np.nan).to_numpy()
    counts = ROW_NUMBER.fullmatch(head.strip()) and len(first) > 2 and bool(np.all(np.diff(first) == 1.0))
    repeats = len(good) > 0 and good.min() > LONG_NUMBER and len(np.unique(good)) <= max(2, len(good) // 20)
    heat = any(quantity_of(other) == "heat_kwh" for other in others)
    whole = any(quantity_of(other) == "import_kwh" and not speaks_of_part(other) for other in others)
    reasons = (
        ("numbers of the rows", others and counts),
        ("the number of a meter", repeats),
        ("another kind of quantity", is_other(head.lower().replace("amount", "") if measured else head)),
        ("a part of the home", whole and speaks_of_part(head) and quantity_of(head) in (None, "import_kwh")),
        ("a sum of others", others and _is_sum(head)),
        ("water through it", heat and unit_of_words(head) in VOLUMES and not re.search(r"gas|gaz", head.lower())),
        ("", quantity_of(head) is None and any(quantity_of(other) for other in others)),
    )
    return next((why for why, holds in reasons if holds), None)


def _is_sum(head: str) -> bool:
    total = re.search(r"^total|sum\b", head.lower())
    return bool(total) and not speaks_of_register(head.replace("total", "", 1))


def _taken_for(table: Table, column: Column, found: Sequence[Column]) -> Guess:
    """What a column was taken for, and how sure: what may be people's use alone is hardly the whole home's."""
    shown = f'column "{column.head}"' if column.head else f"column {column.position + 1}"
    sure, why = (
        (0.97, "by its head") if quantity_of(column.head) else (0.8 if len(found) == 1 else 0.6, "nothing else is said")
    )
    if not quantity_of(column.head) and quantity_of(_about(table)):
        sure, why = 0.9, "by the lines above the table or its name"
    if column.quantity == "import_kwh" and speaks_of_part(column.head or _about(table)):
        return _perhaps_a_part(shown, column, [one.head for one in found if one.quantity == "heat_pump_kwh"])
    kind = f"{column.quantity}, a running total" if column.register else column.quantity
    return Guess(shown, kind, sure, why, column.quantity)  # several that nothing names are asked about together


def _perhaps_a_part(shown: str, column: Column, pumps: list[str]) -> Guess:
    """A column of people's use: the whole home's electricity, or that without the heat pump, or one circuit of it."""
    head = column.head or f"column {column.position + 1}"
    both = (
        [("+".join((head, *pumps)), "the home's electricity without the heat pump, which is added", 0.5)]
        if pumps
        else []
    )
    whole = (head, "the whole home's electricity (if not, give the file of the home's meter)", 0.3 if pumps else 0.5)
    why = "its head may speak of a part of the home"
    return Guess(
        f"{shown}, perhaps a part of the home only", column.quantity, whole[2], why, column.quantity, (*both, whole)
    )


def _unit_beside(table: Table, unit: int | None, k: int, kept: list[int]) -> str | None:
    """What a column of units says of a column: it speaks of the one before it and of others of the same quantity."""
    if unit is None:
        return None
    spoken = next((j for j in reversed(kept) if j < unit), kept[0])
    return _unit_cell(table.sample, unit) if quantity_of(table.head[spoken]) == quantity_of(table.head[k]) else None


def _column(table: Table, k: int, numbers: Floats, beside: str | None, end: int | None) -> Column:
    head, above = table.head[k], _about(table)
    quantity = quantity_of(head) or quantity_of(above) or "import_kwh"
    measure = beside or unit_of_words(head) or unit_of_words(above) or ""
    if measure in VOLUMES:
        quantity = "fuel_kwh"
    if measure in ("°C", "°F") and quantity not in TEMPERATURES:
        quantity = "room_c"
    if quantity in TEMPERATURES:
        hot = len(numbers) > 0 and float(np.nanmedian(numbers)) > HOTTEST_MIDDLE_C
        return Column(k, head, quantity, "°F" if measure == "°F" or hot else "°C", False)
    counts = _is_register(numbers, head)
    return Column(k, head, quantity, measure, counts and (end is None or speaks_of_register(head)))


def said_of_registers(table: Table, direction: int | None, said: Mapping[str, Any]) -> dict[str, str]:
    """Quantity by name of a register, where a mapping names registers that take turns in the rows; else empty."""
    ways = set() if direction is None else set(table.cells[direction])
    listed = {name: quantity for quantity, terms in said.items() for name in _heads_said(terms)}
    return listed if listed and set(listed) <= ways else {}


def _heads_said(terms: Mapping[str, Any]) -> list[str]:
    """Heads of the columns that a mapping names for a quantity; one empty head where it names none."""
    named = terms.get("column") or [""]
    return [named] if isinstance(named, str) else [str(one) for one in named]


def with_others(
    table: Table, layout: Layout, numbers: Mapping[int, Floats], columns: tuple[Column, ...], said: Mapping[str, Any]
) -> tuple[tuple[Column, ...], list[Guess], list[tuple[str, str]]]:
    """Columns that were said, and beside them those of other quantities as they are guessed."""
    taken = {column.position for column in columns}
    rest = {k: held for k, held in numbers.items() if k not in taken}
    if not rest:
        return columns, [], []
    beside, guesses, left = value_columns(table, layout, rest)
    kept = tuple(column for column in beside if column.quantity not in said)
    about = {f'column "{column.head}"' for column in kept}
    left += [
        (column.head or f"column {column.position + 1}", f"another one was named for {column.quantity}")
        for column in beside
        if column.quantity in said
    ]
    return (*columns, *kept), [guess for guess in guesses if guess.what in about or guess.key not in said], left


def said_columns(table: Table, numbers: Mapping[int, Floats], said: Mapping[str, Any]) -> tuple[Column, ...]:
    """Columns as a mapping names them."""
    columns = []
    for quantity, terms in said.items():
        if quantity not in QUANTITIES:
            near = nearest(quantity, QUANTITIES)
            raise DataError(
                Fault(
                    table.name,
                    quantity,
                    "is not a quantity that is read",
                    f"Perhaps {near} is meant" if near else f"Write one of: {', '.join(QUANTITIES)}",
                )
            )
        for name in _heads_said(terms):
            if name == NONE:
                continue
            place = column_at(table, str(name), SECTION) if name else next(iter(numbers))
            unit = str(terms.get("unit") or unit_of_words(name) or "")
            if unit and unit not in (*ENERGY_UNITS, "°C", "°F"):
                raise DataError(
                    Fault(table.name, f'unit "{unit}"', "is not known", f"Write one of: {', '.join(ENERGY_UNITS)}")
                )
            counts = terms.get("register")
            if counts is None and quantity not in TEMPERATURES and place in numbers:
                counts = _is_register(numbers[place], name)
            columns.append(Column(place, name, quantity, unit, bool(counts)))
    return tuple(columns)


def _is_register(numbers: np.ndarray, head: str) -> bool:
    """Whether values run on like a counter: never down (a swap or a roll-over apart), and far above their own steps."""
    good = numbers[np.isfinite(numbers)]
    if len(good) < 3:
        return speaks_of_register(head)
    steps = np.diff(good)
    if not steps.any():  # the same all along: a use that never changes, or a counter that stands still
        return speaks_of_register(head)
    up = float(np.mean(steps >= 0))
    few = len(good) < 12
    high = float(np.median(good)) > 5.0 * float(np.median(np.abs(steps)) + 1e-9)
    return (
        (up >= 0.97 and high)
        or (few and up >= 0.7 and high)
        or (speaks_of_register(head) and up >= 0.5 and not (up < 0.9 and not few))
    )
