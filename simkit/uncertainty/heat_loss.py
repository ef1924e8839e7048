"""Rows of sampled inputs in; the heat loss with which each sampled home burns the stated fuel out.

What was burnt is known about: where the loss came from fuel it is found anew in each sample, so that a better boiler
means a leakier home, and so does a milder winter in which it was burnt. One search serves a range of 64 samples and a
worth of thousands.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import product

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.heat_loss import (
    LEAST_W_PER_K,
    Burnt,
    burnt_home,
    found_from_fuel,
    fuel_burnt,
    loss_before_w_per_k,
    stated_kwh,
)
from simkit.assemble.home import Adjustment
from simkit.case.case import Case
from simkit.kept.disk import kept_as
from simkit.kept.memory import memo_of_last

KNOWN_BY = ("boiler", "set_point_k", "draws", "fuel_amount", "fuel_winter", "stove")  # what a loss from fuel depends on
EXACT_ROWS = 1024  # rows searched one by one; the loss of more is laid through these, within 0.5 % of the fuel (tested)
LEAST_SHARE = 0.2  # own: of the loss as stated; keeps a step of the search from leaving what a home may be


def sampled_losses(case: Case, draws: pd.DataFrame) -> tuple[Floats, tuple[Adjustment, ...]]:
    """Heat loss of every row before its air was held back, (rows,) [W/K], and how each sampled home differs else.

    Parameters
    ----------
    case
        The home.
    draws
        Rows of sampled inputs, columns as `distributions_of` names them.
    """
    draws = draws if "stove" in draws else draws.assign(stove=1.0)
    found, rows = np.full(len(draws), loss_before_w_per_k(case)), draws
    if found_from_fuel(case):
        columns = [draws[name].to_numpy(dtype=np.float64) for name in KNOWN_BY]
        found, boiler = _losses_from_fuel(burnt_home(case), float(found[0]), columns)
        rows = draws.assign(loss=1.0, boiler=boiler)
    names = ("efficiency", "set_point_k", "boiler", "loss", "draws", "stove")
    each = zip(*(rows[name].tolist() for name in names), strict=True)
    return found, tuple(Adjustment(**dict(zip(names, values, strict=True))) for values in each)


def _losses_from_fuel(burnt_by: Burnt, central: float, columns: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Heat loss of every row [W/K], and the boiler's factor that goes with it; every option of a case asks for them."""
    boiler, shift, draws, amount, winter, stove = columns
    # what is searched for is the fuel of the usual year: the amount as sampled, less what that winter did to it
    usual = amount / _about(burnt_by, central).against_usual(winter)
    rows = np.stack([boiler, shift, draws, usual, stove], axis=1)
    found = _searched(burnt_by, central, rows[:EXACT_ROWS])
    losses, boilers = found[:, 0], np.concatenate([found[:, 1], boiler[EXACT_ROWS:]])
    if len(boiler) > EXACT_ROWS:
        terms = _terms(boiler, shift, draws, usual, stove)
        weights, *_ = np.linalg.lstsq(terms[:EXACT_ROWS], np.log(losses / central), rcond=None)
        losses = np.concatenate([losses, central * np.exp(terms[EXACT_ROWS:] @ weights)])
    return losses, boilers


class _About:
    """What is found about a home that burnt fuel: its slope, its winters, and every row that was searched."""

    def __init__(self, burnt_by: Burnt, central: float) -> None:
        self.burnt_by, self.central = burnt_by, central
        self.rows: dict[bytes, Floats] = {}

    @cached_property
    def per_kwh(self) -> float:
        """How much more loss burns a kWh more [W/K]."""
        low, high = fuel_burnt(self.burnt_by, np.array([self.central, 1.05 * self.central]))
        return float(0.05 * self.central / (high - low))

    @cached_property
    def _curve(self) -> tuple[float, float]:
        return kept_as(self._against_warmth, "fuel against warmth", self.burnt_by.made_from, self.central)

    def _against_warmth(self) -> tuple[float, float]:
        """The home as stated is simulated a kelvin colder and a kelvin warmer, and a curve laid through the three."""
        at = np.array([self.central])
        colder, usual, warmer = (float(np.log(fuel_burnt(self.burnt_by, at, warmer_k=k)[0])) for k in (-1.0, 0.0, 1.0))
        return (warmer - colder) / 2.0, (warmer + colder) / 2.0 - usual

    def against_usual(self, winter_k: Floats) -> Floats:
        """Fuel of winters that were so much warmer than usual [K] over that of the usual one, (rows,)."""
        if not winter_k.any():
            return np.ones(len(winter_k))
        slope, bend = self._curve
        return np.asarray(np.exp(slope * winter_k + bend * winter_k**2))


@memo_of_last(16)
def _about(burnt_by: Burnt, central: float) -> _About:
    return _About(burnt_by, central)


def _searched(burnt_by: Burnt, central: float, rows: Floats) -> Floats:
    """Heat loss [W/K] and factor of the boiler by rows of what they depend on, (rows, 2); each row is searched once.

    A row's loss depends on no other row, so that the 64 of a range are the first of the hundreds behind a worth.
    """
    about, keys = _about(burnt_by, central), [row.tobytes() for row in rows]
    unknown = list({key: at for at, key in enumerate(keys) if key not in about.rows}.values())
    if unknown:
        some = rows[unknown]
        found = kept_as(lambda: _search(about, some), "losses", burnt_by.made_from, central, some)
        about.rows |= zip((keys[at] for at in unknown), found, strict=True)
    return np.stack([about.rows[key] for key in keys])


def _search(about: _About, rows: Floats) -> Floats:
    """Two steps by the secant: the slope of the first is that of the home as stated, of the second each row's own.

    What is left then (under 0.3 %, tested) is within what a cylinder's hysteresis makes of any loss, and no loss would
    remove it: it is laid on the sampled efficiency, so that the fuel is the sampled one exactly.
    """
    burnt_by, central = about.burnt_by, about.central
    factors, ratio = rows[:, 0], rows[:, 3]
    least, wanted = LEAST_SHARE * central, stated_kwh(burnt_by.before) * ratio
    known = [Adjustment(boiler=b, set_point_k=s, draws=d, stove=f) for b, s, d, _, f in rows.tolist()]
    first = central * factors * ratio
    burnt_first = fuel_burnt(burnt_by, first, known)
    second = np.maximum(first + (wanted - burnt_first) * factors * about.per_kwh, least)
    burnt = fuel_burnt(burnt_by, second, known)
    moved = np.abs(second - first) > 1e-6 * central  # the rest burn the fuel already
    per_fuel = np.where(moved, (second - first) / np.where(moved, burnt - burnt_first, 1.0), 0.0)
    losses = np.maximum(second + (wanted - burnt) * per_fuel, max(least, LEAST_W_PER_K))
    return np.stack([losses, factors * (fuel_burnt(burnt_by, losses, known) / wanted)], axis=1)


def _terms(boiler: Floats, shift_k: Floats, draws: Floats, fuel: Floats, stove: Floats) -> Floats:
    """All products up to the third order of the inputs that vary, of four of them (rows, 35)."""
    x = np.stack([np.log(boiler), shift_k, np.log(draws), np.log(fuel), *([stove] if np.ptp(stove) else [])])
    powers = [p for p in product(range(4), repeat=len(x)) if sum(p) <= 3]
    return np.stack([np.prod(x ** np.array(p)[:, None], axis=0) for p in powers], axis=1)
