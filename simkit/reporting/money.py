"""An amount and its currency in, the words for it out: by the Unicode data in Babel, in English notation."""

from __future__ import annotations

from functools import lru_cache
from math import isfinite

UNKNOWN = "not known"
MINUS = "−"


@lru_cache(maxsize=4096)
def money(amount: float, currency: str, *, cents: bool = False) -> str:
    """Word an amount: ``€3,579``, ``DKK 14,210``, with cents ``€3,579.02``; a true minus before what is earned.

    Parameters
    ----------
    amount
        Amount [currency].
    currency
        ISO 4217 code.
    cents
        Whether to show the smallest unit of the currency; without, whole units.
    """
    from babel.numbers import format_currency, get_currency_symbol

    if not isfinite(amount):
        return UNKNOWN
    gap = " " if get_currency_symbol(currency, locale="en")[-1].isalpha() else ""
    pattern = f"¤{gap}#,##0.00" if cents else f"¤{gap}#,##0"
    text = format_currency(abs(amount), currency, pattern, locale="en", currency_digits=cents)
    sign = MINUS if amount < 0 and any(digit in text for digit in "123456789") else ""
    return sign + text


def rough(amount: float) -> float:
    """Round the end of a range to what it is worth: units below 100, tens below 10,000, hundreds above."""
    if not isfinite(amount):
        return amount
    size = abs(amount)
    unit = 1 if size < 100 else 10 if size < 10_000 else 100
    return float(round(amount / unit) * unit)


def span(low: float, high: float, currency: str) -> str:
    """Word a range of amounts, its ends rounded: ``€3,100 to €4,160``."""
    if not (isfinite(low) and isfinite(high)):
        return UNKNOWN
    return f"{money(rough(low), currency)} to {money(rough(high), currency)}"


def more_or_less(amount: float, currency: str) -> str:
    """Word a difference in cost: ``€147 more``, ``€60 less``, ``as much``."""
    if not isfinite(amount):
        return UNKNOWN
    if round(amount) == 0:
        return "as much"
    return f"{money(abs(amount), currency)} {'more' if amount > 0 else 'less'}"


def span_of_difference(low: float, high: float, currency: str) -> str:
    """Word a range of differences in cost: ``€250 less to €560 more``, ``€20 to €430 less``."""
    if not (isfinite(low) and isfinite(high)):
        return UNKNOWN
    low, high = rough(low), rough(high)
    if low < 0 < high:
        return f"{more_or_less(low, currency)} to {more_or_less(high, currency)}"
    near, far = sorted((low, high), key=abs)
    word = "more" if low + high > 0 else "less"
    return f"{money(abs(near), currency)} to {money(abs(far), currency)} {word}"
