"""A home on one tariff and the moves allowed in; the cheapest of them within window, power, fuse and comfort, out.

Moves run on lanes and are charged as the bill charges them, so that a demand charge and tiers count. Those that make
rooms cooler, leave water unmet or bring more hours over the main fuse are thrown out before their cost is looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.assemble.home import home_inputs
from simkit.assemble.series import Setting
from simkit.billing.charges.granted import granted_shares
from simkit.billing.cost import cost_of
from simkit.case.case import Case
from simkit.decide.tariff.shifting import Move, Shifting, moves_of
from simkit.decide.variants import Needs
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import EXTREMES
from simkit.kernel.run import HomeYear, run_home, run_homes
from simkit.profiles.car import car_kw
from simkit.year.fuse import fuse_kw
from simkit.year.year import Year

OVER_FUSE_H = 0.01
UNCHARGED_SHARE = 0.002  # own: of what the car takes in a year
PEAK_LEVELS = (1.0, 1.25, 1.6)  # own: how far the car may lift the peak of the rest, where peaks are charged


@dataclass(frozen=True, eq=False)
class Home:
    """A home on one tariff: what all of its moves share.

    Attributes
    ----------
    case, setting
        The home on that tariff, its axis, weather and prices.
    loss_w_per_k
        Heat loss, the same whatever is moved [W/K].
    granted
        Whether the half-hours that the supplier may grant are counted, as a scenario.
    """

    case: Case
    setting: Setting
    loss_w_per_k: float
    granted: bool = False
    inputs: HomeInputs = field(init=False)

    def __post_init__(self) -> None:
        made = home_inputs(self.case, self.setting, self.loss_w_per_k)
        if self.granted and self.case.car is not None:
            made.series["car_kw"] = self.car_kw(by_price=self.case.car.charging == "by_price")
        object.__setattr__(self, "inputs", made)

    def car_kw(self, *, by_price: bool, limit_kw: Floats | None = None, price: Floats | None = None) -> Floats:
        """Power of the car, at a price that may differ from the real one, (steps,) [kW]."""
        car, tariff = self.case.car, self.case.tariff
        assert car is not None  # asked of homes with a car only
        extra = granted_shares(tariff.granted, self.setting.axis) if self.granted and tariff.granted else None
        chosen = car.model_copy(update={"charging": "by_price" if by_price else "at_once"})
        seen = self.setting.signal.import_per_kwh if price is None else price
        return car_kw(self.setting.axis, chosen, seen, limit_kw=limit_kw, extra=extra)

    def with_series(self, series: dict[str, Floats], after: HomeYear | None = None) -> HomeInputs:
        """The home with some series changed, starting where `after` ended."""
        start = self.inputs.start
        if after is not None:
            start = after.after._replace(**EXTREMES)
        return HomeInputs(self.inputs.home, start, {**self.inputs.series, **series})

    def run(self, series: dict[str, Floats]) -> HomeYear:
        """Simulate one variant with every step recorded."""
        return run_home(self.with_series(series), self.setting.axis.steps, self.setting.axis.hours)

    def year(self, case: Case, move: Move, run: HomeYear | None = None) -> Year:
        """The year of the home with something moved, `case` as `vary` makes it; run unless that has been done."""
        inputs, run = self.with_series(move.series), run or self.run(move.series)
        return Year(case, self.setting.axis, self.loss_w_per_k, self.setting, inputs, run)


def best_shift(home: Home, today: HomeYear, shifting: Shifting) -> Move:
    """Find the cheapest move of a home on one tariff.

    Parameters
    ----------
    home
        The home on that tariff.
    today
        Its year as it is on that tariff: what every move is held against.
    shifting
        What may be moved.
    """
    moves = [Move(), *moves_of(home.case, home.setting, shifting)]
    car, *_ = _cars(home, np.maximum(today.flow("grid_import") - today.flow("car"), 0.0), shifting)
    first = [moves[0], *(move + car for move in moves[1:])]
    cost, kept, rests = _tried(home, first, today)
    best = int(np.argmin(np.where(kept, cost, np.inf)))
    if home.case.car is not None and shifting.car:  # once more, now that it is known what the rest of the home draws
        again = [moves[best] + car for car in _cars(home, rests[:, best], shifting)]
        more, fine, _ = _tried(home, again, today)
        other = int(np.argmin(np.where(fine, more, np.inf)))
        if fine[other] and more[other] < cost[best]:
            return again[other]
    return first[best]


def cheapest_move(home: Home, today: HomeYear, moves: Sequence[Move]) -> Move:
    """The cheapest of some moves that keeps to the limits; the first, which moves nothing, always does."""
    cost, kept, _ = _tried(home, moves, today)
    return moves[int(np.argmin(np.where(kept, cost, np.inf)))]


def _tried(home: Home, moves: Sequence[Move], today: HomeYear) -> tuple[Floats, Bools, Floats]:
    """Cost of each move, whether it keeps to the limits, and what the home draws without its car, (steps, n) [kW]."""
    axis = home.setting.axis
    made = run_homes([home.with_series(move.series, today) for move in moves], axis.steps, axis.hours, run_in=False)
    cars = np.stack([home.with_series(move.series).series["car_kw"] for move in moves], axis=1)
    needs = replace(Needs.of(today, home.case), peak_kw=np.inf)
    kept = needs.kept(made) & (made.totals.car >= today.totals.car * (1.0 - UNCHARGED_SHARE))
    bought, limit = made.flow("grid_import"), fuse_kw(home.case.site)
    if limit is not None:
        now = float((today.flow("grid_import") > limit + 1e-9).sum()) * axis.hours
        kept &= (bought > limit + 1e-9).sum(axis=0) * axis.hours <= now + OVER_FUSE_H
    return cost_of(home.case, axis, made, granted=home.granted).total, kept, np.maximum(bought - cars, 0.0)


def _cars(home: Home, rest_kw: Floats, shifting: Shifting) -> list[Move]:
    """Ways to charge: as it is, or in the cheapest hours below the fuse, and where peaks are charged below a level."""
    car = home.case.car
    if car is None or not shifting.car:
        return [Move()]
    fuse = fuse_kw(home.case.site)
    levels: list[float] = [np.inf]
    if any(terms.demand for terms in home.case.tariff.versions):
        levels += [float(rest_kw.max()) * level for level in PEAK_LEVELS]
    found = []
    for level in levels:
        most = min(level, np.inf if fuse is None else fuse)
        limit = None if not np.isfinite(most) else most - rest_kw
        below = f", the whole home below {home.case.notation.number(level, 1)} kW" if np.isfinite(level) else ""
        series = {"car_kw": home.car_kw(by_price=True, limit_kw=limit)}
        found.append(Move((f"car in the cheapest hours{below}",), {"car.charging": "by_price"}, series))
    return found
