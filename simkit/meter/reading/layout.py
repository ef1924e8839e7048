"""Cells of a file in; what each column holds, on which clock and in which unit, guessed with a confidence, out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault, nearest
from simkit.meter.reading.words import (
    ENERGY_UNITS,
    QUANTITIES,
    TEMPERATURES,
    is_other,
    quantity_of,
    speaks_of_register,
    unit_of_words,
)
from simkit.readers.stamps import Parsed, looks_like_date, minute_of_cell, parsed
from simkit.readers.table import MARKS, Table, column_at, decimal_of, is_number, numbers_of

SAMPLE = 300
WIDE_FROM = 20
MOST_NUMBER = 50
SECTION = "a mapping's columns"
LOST = (*MARKS, 99999.0)  # marks of missing values; a counter of five digits stands at its top
TIME_WORDS = r"time|hour|uhr|zeit|heure|tijd|hhmm|start|from|begin|von"
START_WORDS, END_WORDS = r"start|from|begin|von|d[ée]but|since", r"\bend|until|\bto\b|stop|bis\b|fin\b|ending"


@dataclass(frozen=True)
class Guess:
    """One thing that was guessed: what, the answer, how sure (0 to 1) and why."""

    what: str
    answer: str
    confidence: float
    why: str

    def __str__(self) -> str:
        return f"{self.what}: {self.answer} ({100 * self.confidence:.0f} %, {self.why})"


@dataclass(frozen=True)
class Column:
    """A column of values: its position and head, the quantity in our names, its unit, interval values or a register."""

    position: int
    head: str
    quantity: str
    unit: str
    register: bool


@dataclass(frozen=True)
class Layout:
    """What a file's columns mean.

    Attributes
    ----------
    shape
        ``rows`` (one interval a row), ``wide`` (one day a row) or ``numbered`` (a date and the number of the interval).
    stamp, time, end, number, unit, flag, meter, direction
        Positions of those columns; None where the file has none.
    places
        Positions of the intervals of a day, in order, for ``wide``.
    """

    shape: str
    decimal: str
    order: str
    stamp: int
    columns: tuple[Column, ...]
    time: int | None = None
    end: int | None = None
    number: int | None = None
    unit: int | None = None
    flag: int | None = None
    meter: int | None = None
    direction: int | None = None
    places: tuple[int, ...] = ()
    label: str = ""
    clock: str = ""
    guesses: tuple[Guess, ...] = field(default=(), compare=False)


def guess_layout(table: Table, said: Mapping[str, Any] | None = None) -> Layout:
    """Guess what the columns of a table mean.

    Parameters
    ----------
    table
        The file's cells.
    said
        What is known already, from the user or a saved mapping: decimal, order, clock, label, columns. It counts
        before any guess.

    Returns
    -------
    Layout
        Clock and label may still be open (""): they are found from all stamps, by `reading`.
    """
    known = dict(said or {})
    sample = table.cells.iloc[:SAMPLE]
    dated = [k for k in sample if _share(sample[k], looks_like_date) > 0.6]
    if not dated:
        remedy = "Export the readings with a date in every row"
        raise DataError(Fault(table.name, "the columns", "hold no column of dates; nothing was read", remedy))
    stamp = column_at(table, str(known["time"]), SECTION) if known.get("time") else _start_of(table, dated)
    end = next((k for k in dated if k != stamp and re.search(END_WORDS, table.head[k].lower())), None)
    beside = [] if end is None else sample[end].tolist()  # ends of bills tell day from month where starts don't
    both = parsed([*sample[stamp].tolist(), *beside], known.get("order"))
    dates = parsed(sample[stamp].tolist(), both.order)
    time = _time_column(table, sample, stamp, dates)
    numeric = [k for k in sample if k not in (*dated, time) and _share(sample[k], is_number) > 0.5]
    decimal, why = (known["decimal"], "as said") if known.get("decimal") else decimal_of(table, numeric)
    places = _places(table, numeric)
    base = {"decimal": decimal, "order": dates.order, "stamp": stamp, "time": time, "end": end}
    guesses = [
        Guess("separator", {"\t": "tab"}.get(table.separator, table.separator), 0.95, "it cuts the rows alike"),
        Guess("decimal sign", decimal, 1.0 if known.get("decimal") else 0.95, why),
    ]
    texts = [k for k in sample if k not in (*dated, time, *numeric)]
    unit = _text_column(sample, texts, lambda c: unit_of_words(c) is not None and len(c) < 8)
    direction = _text_column(
        sample, texts, lambda c: quantity_of(c) in ("import_kwh", "export_kwh") and not unit_of_words(c)
    )
    flag = next((k for k in texts if k not in (unit, direction) and _is_flag(sample[k])), None)
    rest = {"unit": unit, "direction": direction, "flag": flag, "meter": _meter_column(table, numeric, texts, known)}
    if places:
        column = _one_column(table, known, places, unit_cell(sample, unit))
        shape = Guess("shape", "a day in each row", 0.95, f"{len(places)} columns of a day")
        return Layout("wide", columns=(column,), places=places, guesses=(*guesses, shape), **base, **rest)  # type: ignore[arg-type]
    number = _number_column(sample, numeric, dates, time)
    values = [k for k in numeric if k not in (number, rest["meter"])]
    columns, more = _columns(table, sample, values, decimal=decimal, known=known, unit=unit, spanned=end is not None)
    shape_name = "numbered" if number is not None else "rows"
    guesses.append(
        Guess(
            "shape",
            "a date and a number in each row" if number is not None else "an interval in each row",
            0.9,
            "as the columns say",
        )
    )
    return Layout(shape_name, columns=columns, number=number, guesses=(*guesses, *more), **base, **rest)  # type: ignore[arg-type]


def unit_cell(sample: pd.DataFrame, unit: int | None) -> str | None:
    """The first unit that stands in the column of units."""
    if unit is None:
        return None
    return next((found for cell in sample[unit] if (found := unit_of_words(cell))), None)


def _share(cells: pd.Series, test: Any) -> float:
    filled = [cell for cell in cells if cell]
    return sum(test(cell) for cell in filled) / max(len(filled), 1) if len(filled) > 0.2 * len(cells) else 0.0


def _start_of(table: Table, dated: list[int]) -> int:
    starts = [k for k in dated if re.search(START_WORDS, table.head[k].lower())]
    others = [k for k in dated if not re.search(END_WORDS, table.head[k].lower())]
    return (starts or others or dated)[0]


def _time_column(table: Table, sample: pd.DataFrame, stamp: int, dates: Parsed) -> int | None:
    if dates.timed:
        return None

    def is_time(k: int) -> bool:
        # 812 may be twelve past eight or a bill's kWh: a bare number is a time only under a head that says so
        bare = _share(sample[k], str.isdigit) > 0.5 and not re.search(TIME_WORDS, table.head[k].lower())
        return not bare and _share(sample[k], lambda c: minute_of_cell(c) is not None) > 0.8

    return next((k for k in sample if k != stamp and is_time(k)), None)


def _places(table: Table, numeric: list[int]) -> tuple[int, ...]:
    """Positions of the intervals of a day where the head, or the number of columns, says that a row is a day."""
    timed = [k for k, head in enumerate(table.head) if minute_of_cell(head) is not None]
    if len(timed) >= WIDE_FROM:
        return tuple(timed)
    counted = [
        k
        for k, head in enumerate(table.head)
        if (m := re.fullmatch(r"\D{0,10}?(\d{1,3})", head)) and 1 <= int(m.group(1)) <= 100
    ]
    if len(counted) >= WIDE_FROM:
        return tuple(counted)
    beside = [k for k in numeric if not re.search(r"total|sum", table.head[k].lower())]
    return (
        tuple(beside[-48:] if len(beside) in (49, 50) else beside)
        if not any(table.head) and len(beside) >= WIDE_FROM
        else ()
    )


def _text_column(sample: pd.DataFrame, texts: list[int], test: Any) -> int | None:
    return next((k for k in texts if _share(sample[k], test) > 0.8), None)


def _is_flag(cells: pd.Series) -> bool:
    filled = {cell for cell in cells if cell}
    return 0 < len(filled) <= 6 and all(len(cell) <= 12 for cell in filled)


def _meter_column(table: Table, numeric: list[int], texts: list[int], known: Mapping[str, Any]) -> int | None:
    pattern = r"meter (id|no|number|point)|serial|\bmpan\b|\bmprn\b|meter$|device"
    return next(
        (
            k
            for k in (*texts, *numeric)
            if re.search(pattern, table.head[k].lower()) and unit_of_words(table.head[k]) is None
        ),
        None,
    )


def _number_column(sample: pd.DataFrame, numeric: list[int], dates: Parsed, time: int | None) -> int | None:
    """A column that counts the intervals of a day from 1."""
    if dates.timed or time is not None or len(sample) < WIDE_FROM:
        return None
    for k in numeric:
        cells = pd.to_numeric(sample[k], errors="coerce").dropna().to_numpy()
        if (
            len(cells)
            and np.all(cells % 1 == 0)
            and cells.min() >= 0
            and cells.max() <= MOST_NUMBER
            and np.mean(np.diff(cells) == 1) > 0.9
        ):
            return k
    return None


def _one_column(table: Table, known: Mapping[str, Any], places: tuple[int, ...], unit: str | None) -> Column:
    words = " ".join((*table.above, *(h for k, h in enumerate(table.head) if k not in places), table.name))
    said: tuple[Any, Any] = next(iter((known.get("columns") or {}).items()), (None, {}))
    quantity = said[0] or quantity_of(words) or "import_kwh"
    return Column(places[0], "", quantity, said[1].get("unit") or unit or unit_of_words(words) or "", False)


def _columns(
    table: Table,
    sample: pd.DataFrame,
    values: list[int],
    *,
    decimal: str,
    known: Mapping[str, Any],
    unit: int | None,
    spanned: bool,
) -> tuple[tuple[Column, ...], list[Guess]]:
    """Columns of values: as said, or by the words of their heads; what has a start and an end is no counter."""
    if known.get("columns"):
        return _said_columns(table, values, known["columns"]), []
    found: list[Column] = []
    guesses: list[Guess] = []
    above = " ".join((*table.above, table.name))
    for k in values:
        head = table.head[k]
        if is_other(head) or (
            re.search(r"^total|sum\b", head.lower())
            and len(values) > 1
            and not speaks_of_register(head.replace("total", "", 1))
        ):
            continue
        own = quantity_of(head)
        if own is None and len(values) > 1 and any(quantity_of(table.head[j]) for j in values):
            continue
        quantity = own or quantity_of(above) or "import_kwh"
        measure = unit_cell(sample, unit) or unit_of_words(head) or unit_of_words(above) or ""
        if measure in ("m3", "ft3", "ft3_100"):
            quantity = "fuel_kwh"
        if measure in ("°C", "°F") and quantity not in TEMPERATURES:
            quantity = "room_c"
        numbers = numbers_of(sample[k].tolist(), decimal, LOST)
        counts = quantity not in TEMPERATURES and _is_register(numbers, head)
        register = counts and (not spanned or speaks_of_register(head))
        degrees = measure if measure == "°F" else "°C"
        found.append(Column(k, head, quantity, degrees if quantity in TEMPERATURES else measure, register))
        confidence = 0.9 if own else 0.6
        guesses.append(
            Guess(
                f'column "{head}"' if head else f"column {k + 1}",
                quantity,
                confidence,
                "by its head" if own else "nothing else is said",
            )
        )
    if not found:
        raise DataError(
            Fault(
                table.name,
                "the columns",
                "hold no readings that could be named; nothing was read",
                "Say which column holds what in a mapping",
            )
        )
    return tuple(found), guesses


def _said_columns(table: Table, values: list[int], said: Mapping[str, Any]) -> tuple[Column, ...]:
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
