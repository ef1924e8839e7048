"""What homes import, step by step, in; what all of them import together, half-hour by half-hour, and its peak, out.

A street's peak is far below the sum of its homes' own, since they don't peak at once. It can't be told from results by
home, so each part keeps the sum of its homes. Loads are added up in whole watts: such sums are the same in any order,
however a table was parted and whoever made which part.
"""

from __future__ import annotations

import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.clock import TimeAxis
from simkit.notation import Notation

HALF_HOUR = 30  # minutes: no option is run on longer steps


class Variant(NamedTuple):
    """What is added up: homes with one option and tariff, on one clock."""

    option: str
    tariff: str
    zone: str
    year: int


class Load(NamedTuple):
    """So many homes together: the mean of each half-hour of the year, (half-hours,) [W]."""

    homes: int
    watts: Ints

    @property
    def peak_kw(self) -> float:
        """Highest half-hour [kW]."""
        return float(self.watts.max()) / 1000.0

    @property
    def each_kw(self) -> float:
        """Its share of each home: the maximum demand after diversity [kW]."""
        return self.peak_kw / self.homes

    def peak_at(self, variant: Variant, notation: Notation) -> str:
        """When that half-hour begins, wall time."""
        axis = TimeAxis(variant.zone, variant.year, HALF_HOUR)
        at = axis.local[int(self.watts.argmax())]
        return f"{notation.date(at.date())}, {at:%H:%M}"


Loads = dict[Variant, Load]


def gather(loads: Loads, axis: TimeAxis, import_kw: Floats, asked: Iterable[tuple[str, str, int]]) -> None:
    """Add homes to what is there of their variants.

    Parameters
    ----------
    loads
        What is there; changed.
    axis, import_kw
        Time axis, and what homes import in its steps, (steps, homes) [kW].
    asked
        Option, tariff and column of each home-year that counts.
    """
    per = HALF_HOUR // axis.step_minutes
    means = import_kw.reshape(-1, per, import_kw.shape[1]).mean(axis=1)
    watts = np.rint(1000.0 * means).astype(np.int64)
    columns: dict[Variant, list[int]] = {}
    for option, tariff, column in asked:
        columns.setdefault(Variant(option, tariff, axis.zone, axis.year), []).append(column)
    for variant, of in columns.items():
        _add(loads, variant, len(of), watts[:, of].sum(axis=1))


def _add(loads: Loads, variant: Variant, homes: int, watts: Ints) -> None:
    known = loads.get(variant)
    loads[variant] = Load(homes, watts) if known is None else Load(known.homes + homes, known.watts + watts)


def packed(loads: Loads) -> list[dict[str, Any]]:
    """Loads as plain values, for a file's own words; of those that are alike the first alone is written down."""
    said: list[dict[str, Any]] = []
    first: dict[bytes, int] = {}
    for variant, load in loads.items():
        raw = load.watts.astype("<i8").tobytes()
        known = first.setdefault(raw, len(said))
        held = {"watts": b64encode(zlib.compress(raw)).decode()} if known == len(said) else {"as": known}
        said.append({**variant._asdict(), "homes": load.homes, **held})
    return said


def together(parts: Iterable[Iterable[Mapping[str, Any]]]) -> Loads:
    """What all homes import together, of what parts say."""
    loads: Loads = {}
    for part in parts:
        read: list[Ints] = []
        for one in part:
            read.append(read[one["as"]] if "as" in one else _unpacked(one["watts"]))
            _add(loads, Variant(*(one[name] for name in Variant._fields)), one["homes"], read[-1])
    return loads


def _unpacked(held: str) -> Ints:
    return np.frombuffer(zlib.decompress(b64decode(held)), dtype="<i8")
