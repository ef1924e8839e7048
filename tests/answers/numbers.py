"""An answer in; what its faces write of numbers and amounts, and what its JSON allows them after the one rounding, out."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterator
from html import unescape
from itertools import combinations
from typing import Any

from babel.numbers import get_decimal_symbol, get_group_symbol

from simkit.answers.answer import Answer
from simkit.notation import Ends, Notation, unit_of_range
from simkit.reporting.as_data import answer_json

FIGURE = r"\d(?:[\d.,’'\u00a0\u202f]*\d)?"
NUMBER = re.compile(rf"(?<![\w.,/’'-]){FIGURE}")
GAP = r"[\u00a0\u202f]?"
# what has a writing of its own wherever it is read: values as they stand in the case's file, standards and sources,
# versions and digests, times of day
AS_THEY_ARE = re.compile(
    r"Assumed for you: .*|\b\w+ = \S+|\((?:tried|own|common practice|EN |Dobos|[A-Z][^()]*\d{4}).*|EN \d+|"
    r"simkit: .*|\d\d:\d\d|\d{4}-\d\d-\d\d"
)


def allowed(answer: Answer) -> set[str]:
    """Every amount that the JSON of an answer lets a face show: its numbers, and differences within one column."""
    data, notation = json.loads(answer_json(answer)), answer.notation
    values = set(_values(data))
    found = {
        text for value in values for text in (notation.money(value), notation.amount(value), notation.money(value, 4))
    }
    for rows in data["tables"].values():  # a cell of words stands in the JSON word for word
        for cell in (cell for row in rows for cell in row.values() if isinstance(cell, str)):
            found |= set(amounts_in(cell, notation))
    for column in _columns(data):
        found |= {notation.money(abs(one - other)) for one, other in combinations(column, 2)}
    for ends in set(_ranges(data)):
        unit, (low, high) = unit_of_range(ends), sorted(map(abs, ends))
        near = values if ends.low < 0.0 < ends.high else {value for value in values if low <= value <= high}
        found |= {notation.money(value, unit=unit) for value in (low, high, *near)}
    return found


def amounts_in(text: str, notation: Notation) -> Iterator[str]:
    """Every amount of money in a text, without what it is less or more."""
    if not notation.currency:  # a file that was read has numbers and no money
        return
    sign = re.escape(notation.sign)
    for one in re.finditer(rf"(?<!\w){sign}{GAP}{FIGURE}|(?<![\w.,]){FIGURE}{GAP}{sign}(?!\w)", text):
        yield one.group()


def misshapen(text: str, notation: Notation) -> list[str]:
    """Numbers of a text that its place would not write so: groups of three from 1,000 on, and one decimal sign."""
    group, point = (re.escape(symbol(locale=notation.locale)) for symbol in (get_group_symbol, get_decimal_symbol))
    right = re.compile(rf"(?:\d{{1,3}}(?:{group}\d{{3}})+|\d{{1,3}}|(?:19|20)\d\d)(?:{point}\d+)?")
    return [one for one in NUMBER.findall(AS_THEY_ARE.sub(" ", text)) if not right.fullmatch(one)]


def texts_of_page(page: str) -> list[str]:
    """What a page shows, element by element, and what is written in its pictures."""
    drawn = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', page)
    pictures = [words for svg in drawn for words in re.findall(r"<!-- (.*?) -->", base64.b64decode(svg).decode())]
    shown = re.sub(r"<style.*?</style>|<script.*?</script>|<footer.*?</footer>", "", page, flags=re.DOTALL)
    return [unescape(text) for text in (*re.findall(r">([^<>]+)<", shown), *pictures) if text.strip()]


def _values(data: Any) -> Iterator[float]:
    """Every number of a JSON object, whatever its sign."""
    if isinstance(data, dict | list):
        for one in data.values() if isinstance(data, dict) else data:
            yield from _values(one)
    elif isinstance(data, int | float) and not isinstance(data, bool):
        yield abs(float(data))


def _columns(data: Any) -> Iterator[list[float]]:
    """The numbers of each column of each table, and of each key that the objects of a list share."""
    if isinstance(data, list) and data and all(isinstance(one, dict) for one in data):
        for name in data[0]:
            yield [one[name] for one in data if isinstance(one.get(name), int | float)]
    if isinstance(data, dict | list):
        for one in data.values() if isinstance(data, dict) else data:
            yield from _columns(one)


def _ranges(data: Any) -> Iterator[Ends]:
    """Every range: two numbers in a list, or three in order, or two keys that end in low and high."""
    numbers = isinstance(data, list) and len(data) in (2, 3) and all(isinstance(one, int | float) for one in data)
    if numbers and (len(data) == 2 or data == sorted(data)):
        yield Ends(data[0], data[-1])
    if isinstance(data, dict):
        for name, low in data.items():
            high = data.get(f"{name.removesuffix('low')}high") if name.endswith("low") else None
            if isinstance(low, int | float) and isinstance(high, int | float):
                yield Ends(low, high)
    if isinstance(data, dict | list):
        for one in data.values() if isinstance(data, dict) else data:
            yield from _ranges(one)
