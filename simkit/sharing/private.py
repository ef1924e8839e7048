"""What a user said of a home in; the same without names, notes, days and the exact place, and what was changed, out."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from simkit.case.home.absence import LEAP_YEAR, Days
from simkit.profiles.absence import length_d

PLACE_DEG = 0.5  # own: about fifty kilometres, some hundred thousand people in most of Europe
HEIGHT_M = 50.0
DROPPED = ("note", "source", "reason", "safety")
STATED = "as stated"  # where a text must stand
ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
ABSENCES = ("away", "guests")  # when nobody is at home is nobody's business
NAMES = ("name", "baseline", "against")
KEPT = (
    "time zone, country, year and currency", "monthly weather, prices, bands and days of the tariffs",
    "amounts and kinds of the ledgers", "sizes, areas and settings of the home",
)  # fmt: skip


class Change(NamedTuple):
    """One thing that was taken out or made less exact."""

    where: str
    what: str


class Blurred:
    """Makes tables without private data, one name for one name, so that what refers to a name still does.

    Attributes
    ----------
    changes
        What was changed, in order.
    """

    def __init__(self) -> None:
        self.changes: list[Change] = []
        self._names: dict[tuple[str, str], str] = {}
        self._counts: dict[str, int] = {}

    def case(self, stated: Mapping[str, Any]) -> dict[str, Any]:
        """A case as it stands in its file, its options among it."""
        return self._table(stated, "", "home")

    def tariff(self, table: Mapping[str, Any], number: int) -> dict[str, Any]:
        """A tariff as it stands in its file; the names of its bands, which stand on every bill, stay."""
        self._say(f"tariff {number}", "name and note replaced")
        return {**table, "name": f"Tariff {number}", "note": STATED}

    def name(self, original: str, kind: str) -> str:
        """The name that stands for a name."""
        if (kind, original) not in self._names:
            self._counts[kind] = self._counts.get(kind, 0) + 1
            self._names[kind, original] = "Home" if kind == "home" else f"{kind.capitalize()} {self._counts[kind]}"
        return self._names[kind, original]

    def _say(self, where: str, what: str) -> None:
        if (change := Change(where, what)) not in self.changes:
            self.changes.append(change)

    def _table(self, table: Mapping[str, Any], path: str, kind: str) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, value in table.items():
            at = f"{path}.{key}".lstrip(".")
            if key in DROPPED and isinstance(value, str):
                self._say(at, "taken out")
                if key == "reason" or at.endswith("carbon.source"):
                    made[key] = STATED
                continue
            made[key] = self._value(key, value, at, kind)
        return made

    def _value(self, key: str, value: Any, at: str, kind: str) -> Any:
        if isinstance(value, Mapping):
            return self._table(value, at, key.replace("_", " "))
        if isinstance(value, list | tuple):
            if key in ABSENCES:
                self._say(at, "moved to the first of the month, as long as they were")
            return [_early(one) if key in ABSENCES else self._value(key, one, at, kind) for one in value]
        if (day := _day(value)) is not None:
            self._say(at, "moved to the first of its month")
            return day.replace(day=1)
        if key in NAMES or (key == "label" and kind == "item"):
            self._say(at, "replaced by a name that tells nothing")
            return self.name(str(value), {"baseline": "option", "against": "line", "label": "line"}.get(key, kind))
        if at.endswith(("site.latitude_deg", "site.longitude_deg")):
            return self._rounded(at, float(value), PLACE_DEG, "°")
        return self._rounded(at, float(value), HEIGHT_M, "m") if at.endswith("site.altitude_m") else value

    def _rounded(self, at: str, value: float, unit: float, sign: str) -> float:
        self._say(at, f"rounded to {unit:g} {sign}")
        return round(value / unit) * unit


def _early(days: Mapping[str, Any]) -> dict[str, Any]:
    """Days of a year from the first of their month on, as many as they were."""
    span = Days(first=str(days["first"]), last=str(days["last"]))
    first = dt.date(LEAP_YEAR, int(span.first[:2]), 1)
    last = first + dt.timedelta(days=length_d(span) - 1)
    return {**days, "first": f"{first:%m-%d}", "last": f"{last:%m-%d}"}


def _day(value: object) -> dt.date | None:
    """A day, written as one or in quotation marks; None for anything else."""
    if isinstance(value, str) and ISO.fullmatch(value):
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            return None
    return value if isinstance(value, dt.date) else None
