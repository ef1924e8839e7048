"""Numbers, amounts, ranges and dates in; the text for them out, in the notation of one place, the same on every face.

What a number looks like (its decimal sign, its groups, where the sign of the currency stands) is taken from the Unicode
data in Babel. Words are English whatever the place.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from math import floor, isfinite
from typing import TYPE_CHECKING, NamedTuple, Protocol

from simkit.kept.memory import memo
from simkit.physics.constants import SAFE_ROOM_C
from simkit.quantities import column_label, quantity, rounding_unit

if TYPE_CHECKING:
    import pandas as pd

UNKNOWN = "not known"
NONE = "–"
MINUS = "−"
JOINED = "\u00a0"  # a space at which no line breaks
UNIT = re.compile(  # the space between a number and its unit
    r"(?<=\d) (?=[°%€]|kr\.|[kM]?Wh?\b|[KAhm]\b|W/K|[mk]?g\b|litres?\b|hours?\b|days?\b|minutes?\b|years?\b|months?\b)"
)


class Range(Protocol):
    """What has two ends: a range of `simkit.uncertainty`, which stands above."""

    @property
    def low(self) -> float:
        """Its lower end."""
        ...

    @property
    def high(self) -> float:
        """Its upper end."""
        ...


class Ends(NamedTuple):
    """The ends of a range that stands in a table."""

    low: float
    high: float


@dataclass(frozen=True)
class Notation:
    """How numbers are written for one case.

    Parameters
    ----------
    locale
        Name of a locale in Babel, such as ``en_IE`` or ``de_AT``.
    currency
        ISO 4217 code; empty where amounts have none, and are then written as plain numbers.
    """

    locale: str
    currency: str

    @property
    def sign(self) -> str:
        """The sign of the currency: ``€``, ``kr.``; empty where there is none."""
        from babel.numbers import get_currency_symbol

        return str(get_currency_symbol(self.currency, locale=self.locale)) if self.currency else ""

    def in_money(self, words: str) -> str:
        """What stands on an axis of amounts: ``Saved a year [€]``."""
        return f"{words} [{self.sign}]" if self.currency else words

    def axis(self, column: str) -> str:
        """Label and unit of a column, for an axis: ``Room temperature [°C]``, ``Cost a year [€]``."""
        return column_label(column, currency=self.sign or None)

    def number(self, value: float, digits: int = 0) -> str:
        """A number with so many decimals, a true minus before what is negative; ``–`` for none."""
        if value is None or not isfinite(value):
            return NONE
        text = _decimal(abs(value), digits, self.locale)
        return (MINUS if value < 0 and any(mark in text for mark in "123456789") else "") + text

    def brief(self, value: float, most: int = 2) -> str:
        """A number with no more decimals than it needs, and so many at most: ``55``, ``52.5``."""
        if value is None or not isfinite(value):
            return NONE
        return self.number(
            value, next(digits for digits in range(most + 1) if round(value, digits) == round(value, most))
        )

    def money(self, amount: float, digits: int = 0, *, unit: float = 1.0) -> str:
        """An amount: ``€3,579``, ``14.210 kr.``, with two digits ``€3,579.02``; rounded to a multiple of `unit`."""
        if amount is None or not isfinite(amount):
            return UNKNOWN
        whole = abs(amount) if digits else round(abs(amount) / unit) * unit
        text = _money(whole, self.currency, self.locale, digits) if self.currency else self.number(whole, digits)
        return (MINUS if amount < 0 and any(mark in text for mark in "123456789") else "") + text

    def amount(self, exact: float) -> str:
        """An amount that was billed or paid, to the smallest unit of its currency: ``€3,579.02``, ``¥1,200``."""
        return self.money(exact, currency_digits(self.currency) if self.currency else 2)

    def price(self, per_kwh: float) -> str:
        """A price of a kilowatt-hour, to a hundredth of the smallest unit of the currency."""
        if not isfinite(per_kwh):
            return UNKNOWN
        return f"{self.money(per_kwh, 4)}/kWh"

    def estimate(self, amount: float, found: Range | None = None) -> str:
        """An amount no finer than its range allows."""
        return self.money(amount, unit=unit_of_range(found))

    def span(self, found: Range) -> str:
        """A range of amounts: ``€3,100 to €4,160``."""
        if not (isfinite(found.low) and isfinite(found.high)):
            return UNKNOWN
        unit = unit_of_range(found)
        return f"{self.money(found.low, unit=unit)} to {self.money(found.high, unit=unit)}"

    def more_or_less(self, amount: float, found: Range | None = None) -> str:
        """A difference in cost: ``€147 more``, ``€60 less``, ``as much``."""
        unit = unit_of_range(found)
        if amount is None or not isfinite(amount):
            return UNKNOWN
        if round(amount / unit) == 0:
            return f"as{JOINED}much"
        return f"{self.money(abs(amount), unit=unit)}{JOINED}{'more' if amount > 0 else 'less'}"

    def span_more_or_less(self, found: Range) -> str:
        """A range of differences in cost: ``€250 less to €560 more``, ``€20 to €430 less``."""
        if not (isfinite(found.low) and isfinite(found.high)):
            return UNKNOWN
        unit = unit_of_range(found)
        low, high = (round(end / unit) * unit for end in (found.low, found.high))
        if low < 0 < high:
            return f"{self.more_or_less(low, found)} to {self.more_or_less(high, found)}"
        near, far = sorted((abs(low), abs(high)))
        word = "more" if low + high > 0 else "less"
        if near == far:
            return f"{self.money(far, unit=unit)}{JOINED}{word}"
        return f"{self.money(near, unit=unit)} to {self.money(far, unit=unit)}{JOINED}{word}"

    def share(self, value: float, digits: int = 0) -> str:
        """A share as per cent."""
        return NONE if value is None or not isfinite(value) else f"{self.number(100.0 * value, digits)}{JOINED}%"

    def brief_share(self, value: float) -> str:
        """A share as per cent with no more decimals than it needs: ``9 %``, ``13.5 %``."""
        return NONE if value is None or not isfinite(value) else f"{self.brief(100.0 * value)}{JOINED}%"

    def change(self, value: float, digits: int = 0) -> str:
        """A share by which something rises or falls, as per cent with its sign: ``+2.0 %``, ``−1.5 %``."""
        said = self.share(value, digits)
        return f"+{said}" if value > 0 and said != self.share(0.0, digits) else said

    def date(self, when: dt.date) -> str:
        """A date in words: ``3 February 2026``."""
        from babel.dates import format_date

        return format_date(when, "d MMMM y", locale="en")

    def cell(self, column: str, value: object) -> str:
        """A value of a table as its column is written; words as they are."""
        if isinstance(value, str | bool | dt.date):
            return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
        if value is None or not isinstance(value, int | float) or not isfinite(value):
            return NONE
        known, amount = quantity(column), float(value)
        if known.unit == "currency/kWh":
            return self.price(amount)
        if known.unit == "currency":
            return self.money(amount, known.digits)
        if column == "min_room_c":
            return lowest_room(amount, self.number)
        return (self.share if known.unit == "share" else self.number)(amount, known.digits)

    def frame(self, frame: pd.DataFrame, digits: int = 2) -> str:
        """A table of numbers as text, for a result that is printed: every value with so many decimals."""
        return str(frame.to_string(float_format=lambda value: self.number(value, digits), na_rep=NONE))

    def title(self, column: str) -> str:
        """The head of a column: its label and, where the cells don't show it, its unit."""
        known = quantity(column)
        shown = known.unit in ("currency", "currency/kWh", "share", "–", "")
        return known.label if shown else f"{known.label} {known.unit}"


@memo
def currency_digits(currency: str) -> int:
    """Digits after the point in amounts of a currency, by the Unicode data in Babel (2 for EUR, 0 for JPY)."""
    from babel.numbers import get_currency_precision

    return int(get_currency_precision(currency))


def named(name: str) -> str:
    """A name in quotation marks: names of options hold commas and verbs."""
    return f"“{name}”"


@memo  # a slider that moves writes most numbers again, and Babel takes a quarter of a millisecond for each
def _decimal(value: float, digits: int, locale: str) -> str:
    """A number that is not negative, with so many decimals."""
    from babel.numbers import format_decimal

    return str(format_decimal(value, f"#,##0{'.' + '0' * digits if digits else ''}", locale=locale))


@memo
def _money(amount: float, currency: str, locale: str, digits: int) -> str:
    """An amount that is not negative, the sign of its currency where the locale has it."""
    from babel import Locale
    from babel.numbers import format_currency, get_currency_symbol

    places = "." + "0" * digits if digits else ""
    gap = JOINED if get_currency_symbol(currency, locale=locale)[-1].isalpha() else ""
    first = Locale.parse(locale).currency_formats["standard"].pattern.strip().startswith("¤")
    pattern = f"¤{gap}#,##0{places}" if first else f"#,##0{places}{JOINED}¤"
    return str(format_currency(amount, currency, pattern, locale=locale, currency_digits=False))


def unit_of_range(found: Range | None) -> float:
    """What an estimate is rounded to: the power of ten, 1 or more, that goes at least twenty times into its range."""
    return 1.0 if found is None else rounding_unit(found.low, found.high)


@memo
def usual_locale(country: str) -> str:
    """English in the usage of a country, by the Unicode data; that of Britain where there is none."""
    from babel.localedata import exists

    return f"en_{country}" if exists(f"en_{country}") else "en_GB"


PLAIN = Notation("en_GB", "")  # of what knows no place and no currency


class Localised(str):
    """A text of what knows no place, such as a file or a tariff: plain English until `in_notation` writes it anew.

    Parameters
    ----------
    write
        Makes the text in a notation.
    """

    write: Callable[[Notation], str]

    def __new__(cls, write: Callable[[Notation], str]) -> Localised:
        """Write it plainly, and keep how."""
        made = super().__new__(cls, write(PLAIN))
        made.write = write
        return made

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        """Another process gets the plain text."""
        return str, (str(self),)


def lowest_room(celsius: float, number: Callable[[float, int], str]) -> str:
    """The coldest that a room was [°C], to a tenth; further where the tenth would hide that it is under 18 °C."""
    hidden = celsius < SAFE_ROOM_C <= round(celsius, 1)
    return number(floor(100.0 * celsius) / 100.0, 2) if hidden else number(celsius, 1)


def at_price(words: str, price: float) -> Localised:
    """What lines of a bill are told apart by: ``Standing charge at 0.7777``."""
    return Localised(lambda notation: f"{words} at {notation.brief(price, 6)}")


def at_rate(words: str, share: float, end: str = "") -> Localised:
    """Words and a rate of tax: ``Tax at 13.5 %``."""
    return Localised(lambda notation: f"{words} at {notation.brief(100.0 * share)} %{end}")


def joined(text: str) -> str:
    """A text whose numbers stay on one line with their units, for a face that breaks lines."""
    return UNIT.sub(JOINED, text)


def in_notation(text: str, notation: Notation) -> str:
    """A text as it is written in a notation, where it knows how."""
    return text.write(notation) if isinstance(text, Localised) else text
