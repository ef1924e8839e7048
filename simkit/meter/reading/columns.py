"""Columns of numbers in; the quantity and unit of each, and whether it is a counter, out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault, nearest
from simkit.meter.reading.layout import Column, Guess
from simkit.meter.reading.words import (
    ENERGY_UNITS,
    QUANTITIES,
    TEMPERATURES,
    is_other,
    quantity_of,
    speaks_of_register,
    unit_of_words,
)
from simkit.readers.table import MARKS, SAMPLE, Table, column_at, numbers_of

SECTION = "a mapping's columns"
LOST = (*MARKS, 99999.0)  # marks of missing values; a counter of five digits stands at its top
VOLUMES = ("m3", "ft3", "ft3_100")


def _unit_cell(sample: pd.DataFrame, unit: int | None) -> str | None:
    """The first unit that stands in the column of units."""
    if unit is None:
        return None
    return next((found for cell in sample[unit] if (found := unit_of_words(cell))), None)


def day_column(table: Table, said: Mapping[str, Any], places: tuple[int, ...], unit: int | None) -> Column:
    """The one quantity of a table with a day in each row."""
    words = " ".join((*table.above, *(h for k, h in enumerate(table.head) if k not in places), table.name))
    named: tuple[Any, Any] = next(iter(said.items()), (None, {}))
    quantity, terms = named
    measure = terms.get("unit") or _unit_cell(table.cells.iloc[:SAMPLE], unit) or unit_of_words(words) or ""
    return Column(places[0], "", quantity or quantity_of(words) or "import_kwh", measure, False)


def value_columns(
    table: Table, values: list[int], *, decimal: str, unit: int | None, spanned: bool
) -> tuple[tuple[Column, ...], list[Guess]]:
    """Columns of values by the words of their heads; what has a start and an end is no counter."""
    found = []
    for k in values:
        named = quantity_of(table.head[k])
        beside = len(values) > 1 and (
            _is_sum(table.head[k]) or (named is None and any(quantity_of(table.head[j]) for j in values))
        )
        if not is_other(table.head[k]) and not beside:
            found.append(_column(table, k, decimal=decimal, unit=unit, spanned=spanned))
    if not found:
        given, remedy = "the columns", "Say which column holds what in a mapping"
        allowed = "hold no readings that could be named; nothing was read"
        raise DataError(Fault(table.name, given, allowed, remedy))
    guesses = []
    for column in found:
        shown = f'column "{column.head}"' if column.head else f"column {column.position + 1}"
        sure, why = (0.9, "by its head") if quantity_of(column.head) else (0.6, "nothing else is said")
        guesses.append(Guess(shown, column.quantity, sure, why))
    return tuple(found), guesses


def _is_sum(head: str) -> bool:
    total = re.search(r"^total|sum\b", head.lower())
    return bool(total) and not speaks_of_register(head.replace("total", "", 1))


def _column(table: Table, k: int, *, decimal: str, unit: int | None, spanned: bool) -> Column:
    head, above = table.head[k], " ".join((*table.above, table.name))
    sample = table.cells.iloc[:SAMPLE]
    quantity = quantity_of(head) or quantity_of(above) or "import_kwh"
    measure = _unit_cell(sample, unit) or unit_of_words(head) or unit_of_words(above) or ""
    if measure in VOLUMES:
        quantity = "fuel_kwh"
    if measure in ("°C", "°F") and quantity not in TEMPERATURES:
        quantity = "room_c"
    if quantity in TEMPERATURES:
        return Column(k, head, quantity, "°F" if measure == "°F" else "°C", False)
    counts = _is_register(numbers_of(sample[k].tolist(), decimal, LOST), head)
    return Column(k, head, quantity, measure, counts and (not spanned or speaks_of_register(head)))


def said_columns(table: Table, values: list[int], said: Mapping[str, Any]) -> tuple[Column, ...]:
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
        for name in [terms["column"]] if isinstance(terms.get("column"), str) else terms.get("column") or [""]:
            place = column_at(table, str(name), SECTION) if name else values[0]
            unit = str(terms.get("unit") or unit_of_words(name) or "")
            if unit and unit not in (*ENERGY_UNITS, "°C", "°F"):
                raise DataError(
                    Fault(table.name, f'unit "{unit}"', "is not known", f"Write one of: {', '.join(ENERGY_UNITS)}")
                )
            columns.append(Column(place, name, quantity, unit, bool(terms.get("register", False))))
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
