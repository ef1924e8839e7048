"""A figure or a text in; the numbers that it reads, as they may be typed, out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from simkit.explaining.chain import MONEY, Figure, InputFigure
from simkit.quantities import quantity

NUMBER = re.compile(r"\D{0,4}\d[\d.,\s’'\u00a0\u202f]*\D{0,8}")
WITHIN = re.compile(r"\d(?:[\d.,’\u00a0\u202f]*\d)?")
ROUNDED = ("more_cost", "worth_today_amount", "year_cost", "whole_life_cost")  # they are shown with their ranges
THOUSAND = 3  # digits

Number = tuple[str, int]


def reads(figure: Figure, what: str) -> bool:
    """Whether a figure is shown as this number: its digits, and as many of them decimals."""
    return number_of(what) in numbers_read(figure)


def numbers_read(figure: Figure) -> set[Number]:
    """The numbers that a figure is shown as."""
    return {number_of(text) for text in _texts(figure)}


def number_of(text: str) -> Number:
    """Digits of a number as it is written, and how many of them are decimals; three after a mark are thousands."""
    last = re.search(r"[.,](\d+)\D*$", text)
    return re.sub(r"\D", "", text), 0 if last is None or len(last[1]) == THOUSAND else len(last[1])


def numbers_in(text: str) -> Iterator[Number]:
    """Every number that stands in a text."""
    return map(number_of, WITHIN.findall(text))


def _texts(figure: Figure) -> list[str]:
    """How a figure is shown: in tables, and rounded as sentences round it."""
    amount, notation = figure.amount, figure.notation
    texts = [figure.text()]
    if isinstance(figure, InputFigure):
        return [*texts, *WITHIN.findall(texts[0])]  # a list holds several
    if quantity(figure.column).unit == MONEY:
        units = (10.0, *((50.0, 100.0) if figure.column in ROUNDED else ()))
        texts += [notation.money(amount), notation.money(amount, 2)]
        texts += [notation.money(amount, unit=unit) for unit in units]
    if figure.column == "spf":
        texts.append(notation.number(amount, 1))
    return texts
