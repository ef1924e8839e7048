"""Cells of a file in; what each column holds, guessed with a confidence, out."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault
from simkit.meter.reading.columns import (
    LOST,
    PARTS,
    SECTION,
    add_up,
    beside_days,
    day_column,
    said_columns,
    said_of_registers,
    unparted,
    value_columns,
    with_others,
)  # fmt: skip
from simkit.meter.reading.layout import Column, Guess, Layout
from simkit.meter.reading.words import END_WORDS, START_WORDS, quantity_of, unit_of_words
from simkit.readers.stamps import DAY_FIRST, MONTH_FIRST, looks_like_date, minute_of_cell, parsed
from simkit.readers.table import SAMPLE, WIDE_FROM, Table, column_at, decimal_of, is_number, numbers_of
from simkit.schema.country_codes import country_of_zone

MOST_NUMBER = 50
TIME_WORDS = r"time|hour|uhr|zeit|heure|tijd|hhmm|start|from|begin|von"
THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2}[.,]\d{3}")
MONTHS_LEAD = ("US", "PH", "FM", "MH", "PW")  # countries that write the month before the day
METER_WORDS = (
    r"meter (id|no|number|point)|serial|\bmpan\b|\bmprn\b|meter$|device|\b(house|home|flat|apartment|dwelling|site)\b"
    r"|\b(customer|property|premises?|household|wohnung|maison|casa|woning)\b"
)
MOSTLY_TWICE = 0.8  # own: share of rows that share their stamp, from which registers take turns
MOSTLY_ALONE = 0.99  # own: share of rows that a register and a stamp tell apart; an hour comes twice in autumn
MOST_REGISTERS = 4  # own: names in a column that registers take turns by
FEW_METERS = 20  # own: a column of numbers names meters where it holds no more of them, all whole


def guess_layout(table: Table, said: Mapping[str, Any] | None = None, zone: str = "") -> Layout:
    """Guess what the columns of a table mean.

    Parameters
    ----------
    table
        The file's cells.
    said
        What is known already, from the user or a saved mapping: decimal, order, clock, label, columns. It counts
        before any guess.
    zone
        IANA zone of the home: where people write the month first, dates are likely written so.

    Returns
    -------
    Layout
        Clock and label may still be open (""): they are found from all stamps, by `reading`.
    """
    known = dict(said or {})
    sample = table.sample
    dated = [k for k in sample if _share(sample[k], looks_like_date) > 0.6 and not _is_number_of_meter(sample[k])]
    if not dated:
        remedy = "Export the readings with a date in every row"
        raise DataError(Fault(table.name, "the columns", "hold no column of dates; nothing was read", remedy))
    made = _stamps(table, sample, dated, known, 0.95 if country_of_zone().get(zone) in MONTHS_LEAD else 0.07)
    numeric = [k for k in sample if k not in (*dated, made.time) and _share(sample[k], is_number) > 0.5]
    decimal, why = (known["decimal"], "as said") if known.get("decimal") else decimal_of(table, numeric)
    # three digits behind every sign, and no zero before, may be thousands
    signs = [cell for k in numeric for cell in sample[k] if decimal in cell]
    sure = 0.85 if signs and all(THOUSANDS.fullmatch(cell.strip()) for cell in signs) else 0.99
    other = "," if decimal == "." else "."
    choices = ((decimal, decimal, sure), (other, other, 1.0 - sure))
    guesses = (
        *made.guesses,
        Guess("separator", {"\t": "tab"}.get(table.separator, table.separator), 0.99, "it cuts the rows alike"),
        Guess("decimal sign", decimal, 1.0 if why == "as said" else sure, why, "decimal", choices),
    )
    texts = [k for k in sample if k not in (*dated, made.time, *numeric)]
    made = _beside(table, replace(made, decimal=decimal, guesses=guesses), texts, numeric)
    return _with_values(table, made, numeric, known.get("columns") or {}, others=known.get("others") == "guessed")


def _is_number_of_meter(cells: pd.Series) -> bool:
    """Whether cells of digits alone repeat one number or few: seconds since 1970 and compact stamps run on."""
    held = set(cells) - {""}
    return len(held) <= max(2, len(cells) // 20) < len(cells) and all(len(c) > 8 and c.isdigit() for c in held)


def _stamps(
    table: Table, sample: pd.DataFrame, dated: list[int], known: Mapping[str, Any], month_first: float
) -> Layout:
    """Columns of the stamp, of a time of day beside it and of the end, and the order of day and month."""
    starts = [k for k in dated if re.search(START_WORDS, table.head[k].lower())]
    others = [k for k in dated if not re.search(END_WORDS, table.head[k].lower())]
    stamp = column_at(table, str(known["time"]), SECTION) if known.get("time") else (starts or others or dated)[0]
    end = next((k for k in dated if k != stamp and re.search(END_WORDS, table.head[k].lower())), None)
    beside = [] if end is None else sample[end].tolist()  # ends of bills tell day from month where starts don't
    both = parsed([*sample[stamp].tolist(), *beside], known.get("order"), month_first)
    dates = parsed(sample[stamp].tolist(), both.order)
    time = None if dates.timed else next((k for k in sample if k != stamp and _is_time(table, sample, k)), None)
    shape = "rows" if dates.timed or time is not None else "dated"
    why = (
        "as the dates of the rows show" if both.certain > 0.95 else "the usual one there; no thirteenth month shows it"
    )
    why = "as said" if known.get("order") else why
    other = {DAY_FIRST: MONTH_FIRST, MONTH_FIRST: DAY_FIRST}.get(both.order, both.order)
    choices = ((both.order, both.order, both.certain), (other, other, 1.0 - both.certain))
    order = Guess("order of dates", both.order, both.certain, why, "order", choices)
    return Layout(shape, "", dates.order, stamp, (), time=time, end=end, guesses=(order,))


def _is_time(table: Table, sample: pd.DataFrame, k: int) -> bool:
    # 8.12 may be twelve past eight or a bill's kWh: a bare number is a time only under a head that says so
    bare = _share(sample[k], lambda c: ":" not in c) > 0.5 and not re.search(TIME_WORDS, table.head[k].lower())
    return not bare and _share(sample[k], lambda c: minute_of_cell(c) is not None) > 0.8


def _beside(table: Table, made: Layout, texts: list[int], numeric: list[int]) -> Layout:
    """The layout with the columns that are no values: the unit, the direction, a mark and the number of the meter."""
    sample = table.sample

    def first(test: Callable[[str], bool]) -> int | None:
        return next((k for k in texts if _share(sample[k], test) > 0.8), None)

    unit = first(lambda c: unit_of_words(c) is not None and len(c) < 8)
    direction = first(lambda c: quantity_of(c) in ("import_kwh", "export_kwh") and not unit_of_words(c))
    if direction is None and _take_turns(table.cells, made):
        direction = first(lambda c: PARTS.search(c.lower()) is not None)
        direction = (
            _unknown_registers(table, made, (*texts, *(numeric if len(numeric) > 1 else ())))
            if direction is None
            else direction
        )
    filled = {k: {cell for cell in sample[k] if cell} for k in texts if k not in (unit, direction)}
    flag = next((k for k, held in filled.items() if 0 < len(held) <= 6 and all(len(c) <= 12 for c in held)), None)
    heads = {k: table.head[k] for k in (*texts, *numeric)}
    meter = (
        k
        for k, head in heads.items()
        if re.search(METER_WORDS, head.lower())
        and unit_of_words(head) is None
        and (k in texts or _names_meters(sample[k]))
    )
    return replace(made, unit=unit, direction=direction, flag=flag, meter=next(meter, None))


def _take_turns(cells: pd.DataFrame, made: Layout) -> bool:
    """Whether nearly every stamp stands in several rows, as where day and night have a row each."""
    return bool(cells.duplicated(_stamped_by(made), keep=False).mean() > MOSTLY_TWICE)


def _stamped_by(made: Layout) -> list[int]:
    return [made.stamp, *([] if made.time is None else [made.time])]


def _unknown_registers(table: Table, made: Layout, places: tuple[int, ...]) -> int | None:
    """A column whose few names, in whatever language, tell the rows of one stamp apart; None where there is none."""
    for k in places:
        few = 2 <= table.sample[k].nunique() <= MOST_REGISTERS and _name_registers(table.sample[k])
        if not few or re.search(METER_WORDS, table.head[k].lower()):
            continue
        if table.cells.duplicated([*_stamped_by(made), k]).mean() < 1.0 - MOSTLY_ALONE:
            return k
    return None


def _name_registers(cells: pd.Series) -> bool:
    """Whether cells may name registers: words, or numbers of a digit or two; no values and no numbers of meters."""
    codes = cells.str.fullmatch(r"\d{1,2}([.:]\d{1,2}[.:]\d{1,2})?")  # as 1.8.2 of IEC 62056
    return bool((codes | ~cells.map(is_number)).all())


def _names_meters(cells: pd.Series) -> bool:
    """Whether numbers are those of meters and no readings: whole, and few or never changing."""
    held = {cell for cell in cells if cell}
    return len(held) <= FEW_METERS and all(re.fullmatch(r"\d+", cell) for cell in held)


def _with_values(table: Table, made: Layout, numeric: list[int], said: Mapping[str, Any], *, others: bool) -> Layout:
    """The layout with its shape and its columns of values."""
    places = _places(table, numeric)
    if places:
        beside = beside_days(table, places, [k for k in numeric if k != made.meter])
        column = day_column(table, said, places, made.unit, [head for head, _ in beside])
        words = f"{len(places)} columns of a day"
        guesses = (*made.guesses, Guess("shape", "a day in each row", 0.97, words))
        return replace(made, shape="wide", columns=(column,), places=places, guesses=guesses, left=beside)
    number = _number_column(table.cells.iloc[:SAMPLE], numeric) if made.shape == "dated" else None
    values = [k for k in numeric if k not in (number, made.meter, made.direction)]
    numbers = {k: numbers_of(table.sample[k].tolist(), made.decimal, LOST) for k in values}
    at = parsed(table.sample[made.stamp].tolist(), made.order).naive
    apart = np.diff(at).astype(np.int64)
    turn = -1 if apart.size and np.median(apart) < 0 else 1  # the newest may stand first
    ways = np.zeros(len(at)) if made.direction is None else table.sample[made.direction].to_numpy()
    numbers = {
        k: held[ways == ways[0]][::turn] for k, held in numbers.items()
    }  # registers that take turns: one of them
    if said and not said_of_registers(table, made.direction, said):
        columns, more, left = said_columns(table, numbers, said), list[Guess](), list[tuple[str, str]]()
        if others:
            columns, more, left = with_others(table, made, numbers, columns, said)
    else:
        columns, more, left = value_columns(table, made, numbers)
        more += [] if said or made.direction is None else _registers_add_up(columns[0], ways)
        columns = (_with_terms(columns[0], next(iter(said.values()))), *columns[1:]) if said else columns
    words = "a date and a number in each row" if number is not None else "an interval in each row"
    guesses = (*made.guesses, Guess("shape", words, 0.97, "as the columns say"), *more)
    shape = "numbered" if number is not None else "rows"
    return replace(made, shape=shape, columns=columns, number=number, guesses=guesses, left=tuple(left))


def _registers_add_up(column: Column, ways: np.ndarray) -> list[Guess]:
    """Whether registers that take turns in the rows add up, where no word of theirs says what they are."""
    names = dict.fromkeys(ways.tolist())
    registers = [replace(column, head=name, quantity=quantity_of(name) or column.quantity) for name in names]
    return [add_up(quantity, heads) for quantity, heads in unparted(registers).items()]


def _with_terms(column: Column, terms: Mapping[str, Any]) -> Column:
    """A column with its unit, and whether it is a running total, as a mapping says."""
    register = terms.get("register")
    return replace(
        column, unit=str(terms.get("unit") or column.unit), register=column.register if register is None else register
    )


def _share(cells: pd.Series, test: Callable[[str], bool]) -> float:
    filled = [cell for cell in cells if cell]
    return sum(test(cell) for cell in filled) / max(len(filled), 1) if len(filled) > 0.2 * len(cells) else 0.0


def _places(table: Table, numeric: list[int]) -> tuple[int, ...]:
    """Positions of the intervals of a day where the head, or the number of columns, says that a row is a day."""
    timed = [k for k, head in enumerate(table.head) if minute_of_cell(head) is not None]
    if len(timed) >= WIDE_FROM:
        return tuple(timed)
    counted = [
        k
        for k, head in enumerate(table.head)
        if (m := re.fullmatch(r"\D{0,10}?(\d{1,3})", head)) and int(m.group(1)) <= 100
    ]
    if len(counted) >= WIDE_FROM:
        return tuple(counted)
    beside = [k for k in numeric if not re.search(r"total|sum", table.head[k].lower())]
    return (
        tuple(beside[-48:] if len(beside) in (49, 50) else beside)
        if not any(table.head) and len(beside) >= WIDE_FROM
        else ()
    )


def _number_column(sample: pd.DataFrame, numeric: list[int]) -> int | None:
    """A column that counts the intervals of a day from 1."""
    if len(sample) < WIDE_FROM:
        return None
    for k in numeric:
        cells = pd.to_numeric(sample[k], errors="coerce").dropna().to_numpy()
        if (
            len(cells) > 1
            and np.all(cells % 1 == 0)
            and cells.min() >= 0
            and cells.max() <= MOST_NUMBER
            and np.mean(np.diff(cells) == 1) > 0.9
        ):
            return k
    return None
