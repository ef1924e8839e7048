"""Weights by step and lines that use them in; energy and money of one home or of many by month out.

A row holds a weight for each step: the share of the step in a band, or that share times a price. What a row gives in a
month is the sum of weight × energy, for one home (steps,) or for many at once (steps, lanes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.billing.bill import Kind
from simkit.billing.charges.hours import runs
from simkit.clock import TimeAxis
from simkit.notation import Localised, at_price, at_rate


class Line(NamedTuple):
    """One line of a bill that goes with kilowatt-hours.

    Attributes
    ----------
    label, kind, unit
        As on the bill.
    price
        Price of one unit before the tax that is added [currency/unit]; NaN where each step has a price of its own.
    tax
        Tax that is added to it [-]; 0 where it is inside or not due.
    row
        Number of the row that gives the quantity.
    money_row
        Number of the row that gives the money, where `price` is NaN.
    """

    label: str
    kind: Kind
    unit: str
    price: float
    tax: float
    row: int
    money_row: int = -1


class Following(NamedTuple):
    """A part of the import that runs only inside a control window: its energy, and the window's share of each step.

    Both (steps,). Where the window cuts a step, this part is priced by the minutes of the window alone.
    """

    kwh: Floats
    inside: Floats


@dataclass(frozen=True, eq=False)
class KwhRows:
    """Lines that go with kilowatt-hours, and the rows of weights behind them, (rows, steps)."""

    lines: tuple[Line, ...]
    weights: Floats
    months: Ints  # first step of each month, (12,)

    def month_sums(self, kwh: Floats, following: Sequence[Following] = ()) -> Floats:
        """Sum weight × energy by row and month: (steps,) gives (rows, 12), (steps, lanes) gives (rows, 12, lanes)."""
        if kwh.ndim == 1:
            sums: Floats = np.add.reduceat(self.weights * kwh, self.months, axis=1)
        else:
            ends = [*self.months[1:].tolist(), len(kwh)]
            spans = zip(self.months.tolist(), ends, strict=True)
            sums = np.stack([self.weights[:, a:b] @ kwh[a:b] for a, b in spans], axis=1)
        for part in following:
            self._follow(sums, part)
        return sums

    def _follow(self, sums: Floats, part: Following) -> None:
        """Move the energy of a windowed load between bands, in the steps that its window and the bands both cut."""
        rows = [line.row for line in self.lines if line.kind == "energy"]
        cut = np.flatnonzero((part.inside > 0) & (part.inside < 1) & (part.kwh > 0))
        if not len(cut) or len(rows) < 2:
            return
        shares = self.weights[rows]
        moved = (_overlap(shares, part.inside, cut) / part.inside[cut] - shares[:, cut]) * part.kwh[cut]
        month = np.searchsorted(self.months, cut, side="right") - 1
        for row, amounts in zip(rows, moved, strict=True):
            sums[row] += np.bincount(month, weights=amounts, minlength=12)


def _overlap(shares: Floats, inside: Floats, cut: Ints) -> Floats:
    """Share of each cut step that lies in a band and in a window at once, (bands, cuts) [-].

    A window and a band each fill one end of a step that they cut: the end towards the step beside it in which they hold
    more. At one end they overlap by the smaller of the two, at opposite ends by what both hold beyond the step.
    """
    before, after = np.maximum(cut - 1, 0), np.minimum(cut + 1, len(inside) - 1)
    band, window = shares[:, cut], inside[cut]
    band_first = shares[:, before] >= shares[:, after]
    window_first = inside[before] >= inside[after]
    same = band_first == window_first
    found: Floats = np.where(same, np.minimum(band, window), np.maximum(band + window - 1.0, 0.0))
    total = found.sum(axis=0)
    return np.where(total > 0, found * (window / np.where(total > 0, total, 1.0)), band * window)


class Rows:
    """Collects rows and lines; lines of one name, kind, price and tax become one."""

    def __init__(self, axis: TimeAxis) -> None:
        self._axis = axis
        self._weights: dict[tuple[str, str, float, float], Floats] = {}
        self._money: dict[tuple[str, str, float, float], Floats] = {}
        self._units: dict[tuple[str, str, float, float], str] = {}

    def add(
        self, label: str, kind: Kind, weights: Floats, *, price: float, tax: float, money: Floats | None = None,
        unit: str = "kWh",
    ) -> None:  # fmt: skip
        """Add weights of a line, (steps,), and where each step has its own price, weights × price as `money`."""
        key = (label, kind, -np.inf if money is not None else price, tax)
        self._units[key] = unit
        self._weights[key] = self._weights[key] + weights if key in self._weights else weights
        if money is not None:
            self._money[key] = self._money[key] + money if key in self._money else money

    def scale(self, factor: Floats, kinds: tuple[Kind, ...]) -> None:
        """Multiply the weights of some kinds by a factor for each step, (steps,)."""
        for store in (self._weights, self._money):
            for key in store:
                if key[1] in kinds:
                    store[key] = store[key] * factor

    def made(self) -> KwhRows:
        """Everything collected, with labels that tell lines of one name apart by price, or by tax."""
        keys, lines = list(self._weights), []
        money = {key: len(keys) + number for number, key in enumerate(self._money)}
        for row, key in enumerate(keys):
            own_prices = key in money
            price = float("nan") if own_prices else key[2]
            kind: Kind = key[1]  # type: ignore[assignment]
            lines.append(Line(self._label(key), kind, self._units[key], price, key[3], row, money.get(key, -1)))
        weights = [*self._weights.values(), *self._money.values()]
        stacked = np.array(weights) if weights else np.zeros((0, self._axis.steps))
        return KwhRows(tuple(lines), stacked, runs(self._axis.month))

    def _label(self, key: tuple[str, str, float, float]) -> str:
        alike = [other for other in self._weights if other[:2] == key[:2]]
        if len(alike) == 1:
            return key[0]
        if len({other[2] for other in alike}) == len(alike):
            return at_price(key[0], key[2])
        priced, taxed = at_price(key[0], key[2]), at_rate(", taxed", key[3])
        return Localised(lambda notation: priced.write(notation) + taxed.write(notation))
