"""A country as it was written in; whether it is a code of ISO 3166, and which one is meant, out."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from simkit.errors import Fault, nearest

COLLOQUIAL = {"UK": "GB", "EN": "GB", "EL": "GR"}  # letters that people write, and the code that is meant


def country_faults(key: str, given: str) -> Iterator[Fault]:
    """Yield what is wrong with a country code under some key, and which code is meant."""
    codes = country_codes()
    if given in codes:
        return
    upper = given.strip().upper()
    names = {name.lower(): code for code, name in codes.items()}
    near = nearest(given.strip().lower(), names)
    remedy = f'Perhaps "{names[near]}" is meant' if near else 'Write a code of two capital letters such as "IE"'
    if COLLOQUIAL.get(upper, upper) in codes:
        remedy = f'Write "{COLLOQUIAL.get(upper, upper)}"'
    yield Fault("", f'{key} = "{given}"', "is not a country code of ISO 3166", remedy)


@cache
def country_of_zone() -> dict[str, str]:
    """Country code by time zone, from the IANA database in the tzdata package; zones of no one country are left out."""
    return {row[2]: row[0] for row in _rows("zone.tab")}


@cache
def country_codes() -> dict[str, str]:
    """Country name by ISO 3166 code, from the tzdata package."""
    return {row[0]: row[1] for row in _rows("iso3166.tab")}


def _rows(name: str) -> list[list[str]]:
    lines = (files("tzdata") / "zoneinfo" / name).read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if line and not line.startswith("#")]
