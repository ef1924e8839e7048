"""A home's year in; the stretch of it that a programme is made of, and the limits that every schedule keeps to, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.decide.optimum.least_cost_of_heat import Machine, Pieces, least_for_rooms, least_for_water
from simkit.decide.optimum.least_prices import LeastPrices
from simkit.kernel.inputs import HomeInputs
from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.records import Home

EDGES = (0.375, 0.675, 1.0)  # between the layers of the cylinder, of the least temperature of use; own: 15, 27, 40 °C
NO_FUSE_KW = 1e3  # from here on no fuse is meant
WIDEST_C = (10.0, 45.0)  # own: nodes of a home that is kept at 18 °C and whose windows open


@dataclass(frozen=True)
class Limits:
    """What a schedule must keep to, as totals of the year, and what joins the home to the grid.

    Attributes
    ----------
    below_k, unmet_kwh
        Missing warmth [K·h] and unmet hot water [kWh] allowed.
    export_limit_kw, fuse_kw
        Most power out and in [kW]; a fuse from `NO_FUSE_KW` on is none.
    sells_stored
        Whether stored energy may be sold.
    per_over_fuse
        What a kWh above the fuse is charged with, from 0 on; who keeps to the fuse pays none.
    per_short, per_unmet
        What a K·h of missing warmth and a kWh of unmet water is charged with in place of the limits, which join the
        whole year; any price from 0 on keeps the bound a bound [currency].
    """

    below_k: float
    unmet_kwh: float
    export_limit_kw: float
    fuse_kw: float
    sells_stored: bool
    per_short: float
    per_unmet: float
    per_over_fuse: float = 1.0


@dataclass(frozen=True, eq=False)
class CarNeed:
    """What a car must be charged with, moved freely inside each of its sessions.

    Attributes
    ----------
    most_kw
        Most power in each step, 0 where it is away, (steps,).
    taken_kwh
        What a session takes, at its last step, (steps,).
    held_kwh
        Most that the session under way may have taken at the start of each step and at the end of the last,
        (steps + 1,).
    """

    most_kw: Floats
    taken_kwh: Floats
    held_kwh: Floats

    @classmethod
    def of(cls, sessions: Sequence[Ints], most_kw: Floats, car_kw: Floats, hours: float) -> CarNeed:
        """Sessions that each take what this course of charging gives them; a session's steps are in order of time."""
        taken, held = np.zeros(len(car_kw)), np.zeros(len(car_kw))
        for mine in sessions:
            need = float(car_kw[mine].sum()) * hours
            taken[mine[-1]] += need
            held[mine[1:]] = need
        return cls(np.maximum(most_kw, car_kw), taken, np.append(held, held[0]))

    def part(self, at: Ints) -> CarNeed:
        """These steps of it, which follow one another."""
        return CarNeed(
            self.most_kw[at], self.taken_kwh[at], self.held_kwh[np.append(at, (at[-1] + 1) % len(self.most_kw))]
        )


@dataclass(frozen=True, eq=False)
class Stretch:
    """A home over a stretch of the year, with everything that its programme is made of.

    Attributes
    ----------
    home, series
        Constants and series as the kernel takes them; set-points, water windows and battery switches are set free.
    pieces, per_charge
        Least electricity for the rooms, and for a kWh into each layer of the cylinder, (layers, steps).
    most_kw, least_kw
        Most heat at the best and at the worst flow, (steps,).
    edges_c
        Lower edges of the layers of the cylinder, and the top, (layers + 1,).
    prices
        What energy costs at least.
    hours
        Length of a step [h].
    car
        What the car may move; None leaves its charging as it is.
    """

    home: Home
    series: dict[str, Floats]
    pieces: Pieces
    per_charge: Floats
    most_kw: Floats
    least_kw: Floats
    edges_c: Floats
    prices: LeastPrices
    hours: float
    limits: Limits
    car: CarNeed | None = None

    @classmethod
    def of(
        cls, inputs: HomeInputs, hours: float, *, prices: LeastPrices, limits: Limits, car: CarNeed | None = None
    ) -> Stretch:
        """The whole year of a home."""
        home, series = inputs.home, inputs.series
        machine = Machine.of(home, series)
        room = np.maximum(series["needed_c"] - home.tolerance_k, SAFE_ROOM_C)
        top = float(np.max(series["water_target_c"], initial=max(home.use_c, inputs.start.hot_c)))
        feed = float(series["cold_water_c"].min())
        between = np.maximum(np.array(EDGES) * home.use_c, feed + np.arange(1.0, len(EDGES) + 1.0))
        edges = np.array([feed, *between, max(top, between[-1] + 1.0)])
        return cls(
            home, series, least_for_rooms(machine, room), least_for_water(machine, edges[:-1]),
            np.maximum(machine.most_kw, 1e-6), machine.capacity_kw.min(axis=0), edges, prices, hours, limits, car,
        )  # fmt: skip

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.prices.import_per_kwh)

    @property
    def room_c(self) -> Floats:
        """Warmth that missing degree-hours are counted from, (steps,) [°C]."""
        return np.maximum(self.series["needed_c"] - self.home.tolerance_k, SAFE_ROOM_C)

    @property
    def drawn_kw(self) -> Floats:
        """Hot water wanted, (steps,) [kW]."""
        return self.home.draw_scale * self.series["draw_kw"]

    def part(self, begin: int, end: int) -> Stretch:
        """Steps `begin` to `end` of it; past its last step the first ones follow."""
        at = np.arange(begin, end) % self.steps
        pieces = Pieces(self.pieces.width_kw[:, at], self.pieces.slope[:, at], self.pieces.per_cool_k[at])
        return replace(
            self, series={name: values[at] for name, values in self.series.items()}, pieces=pieces,
            per_charge=self.per_charge[:, at], most_kw=self.most_kw[at], least_kw=self.least_kw[at],
            prices=self.prices.part(at), car=None if self.car is None else self.car.part(at),
        )  # fmt: skip
