"""A home's year in; one sparse linear programme that every schedule of it satisfies, at or below its cost, out.

Rooms and cylinder losses are the kernel's own exact linear step; what bends is replaced by what lies under it:
electricity by convex pieces (`least_cost_of_heat`), the cylinder by layers, on-off states by shares of the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy import sparse

from simkit.arrays import Floats, Ints
from simkit.decide.optimum.least_cost_of_heat import Machine, Pieces, least_for_rooms, least_for_water
from simkit.decide.optimum.least_prices import LeastPrices
from simkit.kernel.inputs import HomeInputs
from simkit.physics.hot_water import APPROACH_K
from simkit.physics.records import Home
from simkit.year.comfort import SAFE_ROOM_C

EDGES = (0.375, 0.675, 1.0)  # between the layers of the cylinder, of the least temperature of use; own: 15, 27, 40 °C
HYGIENE_SLACK_K = 2.0  # own: a hot cycle counts as done within so many kelvins
NO_FUSE_KW = 1e3  # from here on no fuse is meant
INF = np.inf
Term = tuple[Ints, "Floats | float"]


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


@dataclass(eq=False)
class Programme:
    """A linear programme being put together: minimise cost·x, row bounds on A·x, bounds on x."""

    steps: int
    cost: list[Floats] = field(default_factory=list)
    low: list[Floats] = field(default_factory=list)
    high: list[Floats] = field(default_factory=list)
    at: dict[str, int] = field(default_factory=dict)
    links: dict[str, int] = field(default_factory=dict)
    entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    row_low: list[Floats] = field(default_factory=list)
    row_high: list[Floats] = field(default_factory=list)
    columns: int = 0
    rows: int = 0
    totals: dict[str, int] = field(default_factory=dict)

    def total(self, name: str, high: float, cost: float) -> Ints:
        """Add a single variable from 0 on."""
        for store, value in ((self.cost, cost), (self.low, 0.0), (self.high, high)):
            store.append(np.array([value]))
        self.totals[name] = self.columns
        self.columns += 1
        return np.array([self.columns - 1])

    def series(self, name: str, low: Floats | float, high: Floats | float, cost: Floats | float = 0.0) -> None:
        """Add one variable for each step."""
        for store, value in ((self.cost, cost), (self.low, low), (self.high, high)):
            store.append(np.broadcast_to(np.asarray(value, dtype=np.float64), (self.steps,)))
        self.at[name] = self.columns
        self.columns += self.steps

    def states(self, name: str, low: float, high: Floats | float) -> None:
        """Add a state: a variable at the start of each step and one at the end of the last."""
        for store, value in ((self.cost, 0.0), (self.low, low), (self.high, high)):
            store.append(np.broadcast_to(np.asarray(value, dtype=np.float64), (self.steps + 1,)))
        self.at[name] = self.columns
        self.columns += self.steps + 1

    def named(self, start: str) -> tuple[str, ...]:
        """Names that begin so, in the order in which they were added."""
        return tuple(name for name in self.at if name.startswith(start))

    def of(self, name: str, *, following: bool = False) -> Ints:
        """Columns of a series by step; `following` is the state after the step."""
        return self.at[name] + np.arange(self.steps) + int(following)

    def each_step(self, terms: Sequence[Term], low: Floats | float, high: Floats | float) -> None:
        """Add one row for each step: Σ factor·column between bounds."""
        rows = self.rows + np.arange(self.steps)
        for columns, factor in terms:
            self.entries.append((rows, columns, np.broadcast_to(np.asarray(factor, dtype=np.float64), (self.steps,))))
        for store, value in ((self.row_low, low), (self.row_high, high)):
            store.append(np.broadcast_to(np.asarray(value, dtype=np.float64), (self.steps,)))
        self.rows += self.steps

    def link(self, state: str, terms: Sequence[Term], constant: Floats | float) -> None:
        """Add the rows that carry a state on: Σ terms − state after the step = constant. Their dual is its value."""
        self.links[state] = self.rows
        self.each_step([*terms, (self.of(state, following=True), -1.0)], constant, constant)

    def several(self, rows: Ints, terms: Sequence[Term], count: int, high: float) -> None:
        """Add `count` rows, Σ factor·column up to `high`; `rows` says to which of them each term's columns belong."""
        for columns, factor in terms:
            self.entries.append(
                (self.rows + rows, columns, np.broadcast_to(np.asarray(factor, dtype=np.float64), rows.shape))
            )
        self.row_low.append(np.full(count, -INF))
        self.row_high.append(np.full(count, high))
        self.rows += count

    def once(self, terms: Sequence[tuple[Ints, Floats]], low: float, high: float) -> None:
        """Add a single row."""
        for columns, factor in terms:
            self.entries.append((np.full(len(columns), self.rows), columns, factor))
        self.row_low.append(np.array([low]))
        self.row_high.append(np.array([high]))
        self.rows += 1

    def matrix(self) -> sparse.csc_matrix:
        """The constraint matrix, columns compressed."""
        rows, columns, values = (np.concatenate(part) for part in zip(*self.entries, strict=True))
        kept = values != 0.0
        return sparse.csc_matrix((values[kept], (rows[kept], columns[kept])), shape=(self.rows, self.columns))


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


WIDEST_C = (10.0, 45.0)  # own: nodes of a home that is kept at 18 °C and whose windows open
MOST_VENTED_K = 70.0  # own: a room is never so much warmer than outdoors


def programme_of(stretch: Stretch) -> Programme:
    """Put the programme of a stretch together; states stand at the start of each step and at the end of the last."""
    made = Programme(stretch.steps)
    _states(made, stretch)
    _heat(made, stretch)
    _water(made, stretch)
    _rooms(made, stretch)
    _cylinder(made, stretch)
    _battery(made, stretch)
    _car(made, stretch)
    _grid(made, stretch)
    _peaks(made, stretch)
    _tiers(made, stretch)
    _fuse(made, stretch)
    return made


def _states(made: Programme, on: Stretch) -> None:
    for name in ("air", "fabric"):
        made.states(name, *WIDEST_C)
    for k in range(len(on.edges_c) - 1):
        made.states(f"layer_{k}", 0.0, on.home.cylinder_kwh_per_k * float(on.edges_c[k + 1] - on.edges_c[k]))
    made.states("stored", on.home.reserve_kwh, on.home.usable_kwh)
    if on.car is not None:
        made.states("car_held", 0.0, on.car.held_kwh)


def _heat(made: Programme, on: Stretch) -> None:
    """Heat of machine and back-up heater, means over the step [kW], and the time that rooms and water share."""
    season = on.series["heating_season"]
    for k, width in enumerate(on.pieces.width_kw):
        made.series(f"heat_{k}", 0.0, width * season)
    made.series("backup", 0.0, (on.series["outdoor_c"] < on.home.backup_below_c) * on.home.backup_kw * season)
    made.series("water_time", 0.0, 1.0)
    heat = [(made.of(n), 1.0 / on.most_kw) for n in made.named("heat_")]
    made.each_step([*heat, (made.of("water_time"), 1.0)], -INF, 1.0)


def _water(made: Programme, on: Stretch) -> None:
    """What goes into the layers of the cylinder and what leaves its top."""
    home = on.home
    reached = home.water_highest_flow_c - 0.5 * home.water_difference_k - APPROACH_K
    helped = np.where(on.series["immersion_allowed"] > 0, home.immersion_kw, 0.0)
    for k, edge in enumerate(on.edges_c[:-1].tolist()):
        made.series(f"charge_{k}", 0.0, np.where(reached > edge, on.most_kw, 0.0))
        made.series(f"immersion_{k}", 0.0, helped)
        if k:
            made.series(f"cooled_{k}", 0.0, on.most_kw)
    made.series("from_top", 0.0, on.drawn_kw)
    made.series("unmet", 0.0, on.drawn_kw, on.limits.per_unmet * on.hours)
    heats = [(made.of(n), 1.0 / on.most_kw) for n in made.named("charge_")]
    made.each_step([*heats, (made.of("water_time"), -1.0)], -INF, 0.0)


def _standing(made: Programme, on: Stretch, factor: Floats | float) -> tuple[list[Term], Floats]:
    """Terms of factor × standing loss, and its constant: of what is left after the draw, above the air [kW]."""
    per_kwh = on.home.cylinder_decay / on.hours
    per_air = per_kwh * on.home.cylinder_kwh_per_k
    terms: list[Term] = [(made.of(name), factor * per_kwh) for name in made.named("layer_")]
    terms += [(made.of("unmet"), factor * per_kwh * on.hours), (made.of("air"), -factor * per_air)]
    return terms, factor * (per_air * float(on.edges_c[0]) - per_kwh * on.hours * on.drawn_kw)


def _rooms(made: Programme, on: Stretch) -> None:
    """Both nodes of the building, step by step, and the warmth that people need."""
    home, series, room = on.home, on.series, on.room_c
    made.series("vented", 0.0, home.open_window_kw_per_k * MOST_VENTED_K)
    made.series("short", 0.0, room - SAFE_ROOM_C, on.limits.per_short * on.hours)
    s = home.emitter_mass_share
    gain_air = home.internal_to_air * series["internal_gain_kw"] + home.solar_to_air * series["solar_gain_kw"]
    gain_fabric = series["internal_gain_kw"] + series["solar_gain_kw"] - gain_air
    for kind, name in (("end", "air"), ("end", "fabric"), ("mean", "air")):
        by = {x: getattr(home, f"{kind}_{name[0]}{x}") for x in ("a", "f", "o", "qa", "qf")}
        known = by["o"] * series["outdoor_c"] + by["qa"] * gain_air + by["qf"] * gain_fabric
        terms: list[Term] = [(made.of("air"), by["a"]), (made.of("fabric"), by["f"]), (made.of("vented"), -by["qa"])]
        terms += [(made.of(n), (1.0 - s) * by["qa"] + s * by["qf"]) for n in (*made.named("heat_"), "backup")]
        more, constant = _standing(made, on, home.cylinder_loss_to_rooms * by["qa"])
        terms, known = terms + more, known + constant
        if kind == "end":
            made.link(name, terms, -known)
        else:
            made.each_step([*terms, (made.of("short"), 1.0)], room - known, INF)


def _cylinder(made: Programme, on: Stretch) -> None:
    """Content of each layer from step to step; a draw takes the same volume from all layers that it reaches."""
    hours, feed, edges = on.hours, on.series["cold_water_c"], on.edges_c
    width = np.maximum(edges[1:, None] - np.maximum(edges[:-1, None], feed), 0.0)
    top, lower = len(width) - 1, width[:-1].sum(axis=0)
    for k in range(top + 1):
        terms: list[Term] = [
            (made.of(f"layer_{k}"), 1.0), (made.of(f"charge_{k}"), hours), (made.of(f"immersion_{k}"), hours)
        ]  # fmt: skip
        constant = np.zeros(on.steps)
        if k == top:
            terms.append((made.of("from_top"), -hours))
        else:
            share = hours * width[k] / lower
            terms += [(made.of("from_top"), share), (made.of("unmet"), share)]
            constant = share * on.drawn_kw
        if k == 0:
            more, standing = _standing(made, on, -hours)
            terms, constant = terms + more, constant - standing
            terms += [(made.of(name), hours) for name in made.named("cooled_")]
        else:
            terms.append((made.of(f"cooled_{k}"), -hours))
        made.link(f"layer_{k}", terms, constant)
    reach = width[top] / lower  # the top gives no more than the drawn volume reaches up to
    made.each_step([(made.of("from_top"), 1.0 + reach), (made.of("unmet"), reach)], -INF, reach * on.drawn_kw)
    _hot_cycle(made, on)


def _hot_cycle(made: Programme, on: Stretch) -> None:
    """Where a hot cycle ends, the cylinder is hot right through, within `HYGIENE_SLACK_K`."""
    forced = on.series["water_forced"] > 0.5
    for end in np.flatnonzero(forced & ~np.append(forced[1:], True)).tolist():
        level = float(on.series["water_target_c"][end]) - HYGIENE_SLACK_K - float(on.edges_c[0])
        after = [made.of(name, following=True)[end : end + 1] for name in made.named("layer_")]
        made.once([(column, np.ones(1)) for column in after], on.home.cylinder_kwh_per_k * level, INF)


def _battery(made: Programme, on: Stretch) -> None:
    """Content, charge and discharge; both at once only as shares of one step.

    Behind the panels' inverter `into` is what passes it and `sun` what is stored before it, at the battery's terminals;
    of that `uncut` is what the inverter's limit would have cut away, the rest is missing in what the panels give.
    """
    home, series = on.home, on.series
    some, through = home.usable_kwh > 0, home.inverter_efficiency
    behind = some and through < 1.0
    left = np.maximum(home.shared_inverter_kw - series["solar_kw"], 0.0)
    made.series(
        "into", 0.0, min(home.charge_kw * home.per_inverter_efficiency, home.shared_inverter_kw) if some else 0.0
    )
    made.series("out", 0.0, np.minimum(home.discharge_kw, left) if some else 0.0)
    terms: list[Term] = [
        (made.of("stored"), 1.0), (made.of("into"), on.hours * home.charge_efficiency * through),
        (made.of("out"), -on.hours * home.per_discharge_efficiency),
    ]  # fmt: skip
    if behind:
        made.series("sun", 0.0, home.charge_kw)
        made.series("uncut", 0.0, series["clipped_kw"])
        terms.append((made.of("sun"), on.hours * home.charge_efficiency))
        made.each_step([(made.of("sun"), through), (made.of("uncut"), -1.0)], 0.0, series["solar_kw"])
    made.link("stored", terms, 0.0)
    if some:
        both: list[Term] = [(made.of("into"), through / home.charge_kw), (made.of("out"), 1.0 / home.discharge_kw)]
        both += [(made.of("sun"), 1.0 / home.charge_kw)] if behind else []
        made.each_step(both, -INF, 1.0)


def _car(made: Programme, on: Stretch) -> None:
    """What a session has taken so far, which leaves with the car: all of it, and no more, by the end of the session."""
    if on.car is None:
        return
    made.series("car", 0.0, on.car.most_kw)
    made.link("car_held", [(made.of("car_held"), 1.0), (made.of("car"), on.hours)], on.car.taken_kwh)


def _grid(made: Programme, on: Stretch) -> None:
    """What comes from the grid and goes to it, which is what costs; import and export only as shares of one step."""
    home, series, solar = on.home, on.series, on.series["solar_kw"]
    price_in, price_out = on.prices.import_per_kwh * on.hours, on.prices.export_per_kwh * on.hours
    below_zero = price_in + on.prices.least_tier * on.hours < 0
    most_out = np.minimum(on.limits.export_limit_kw, solar + (home.discharge_kw if on.limits.sells_stored else 0.0))
    made.series("bought", 0.0, INF, price_in)
    made.series("sold", 0.0, most_out, -price_out)
    made.series("curtailed", 0.0, solar)
    # a home may use more than the least: where energy is bought below 0 that lowers its bill
    most_used = on.most_kw + home.backup_kw + home.immersion_kw
    made.series("wasted", 0.0, np.where(below_zero, most_used, 0.0))
    slowest = np.minimum(on.least_kw, APPROACH_K / home.per_coil_kw_per_k)  # least power of a charge
    idle = np.where((series["heating_season"] < 0.5) & (slowest > 1e-6), home.standby_kw, 0.0)
    used = series["household_kw"] + home.battery_idle_kw + idle - solar
    used = used + (series["car_kw"] if on.car is None else 0.0)
    terms: list[Term] = [
        (made.of("bought"), 1.0), (made.of("sold"), -1.0), (made.of("curtailed"), -1.0), (made.of("out"), 1.0),
        (made.of("into"), -1.0), (made.of("backup"), -1.0), (made.of("wasted"), -1.0),
        (made.of("short"), on.pieces.per_cool_k),
    ]  # fmt: skip
    terms += [(made.of(name), -slope) for name, slope in zip(made.named("heat_"), on.pieces.slope, strict=True)]
    for name, electric in zip(made.named("charge_"), on.per_charge, strict=True):
        terms.append((made.of(name), idle / np.maximum(slowest, 1e-6) - electric))
    terms += [(made.of(name), -1.0) for name in made.named("immersion_")]
    if on.car is not None:
        terms.append((made.of("car"), -1.0))
    if "sun" in made.at:
        terms += [(made.of("sun"), -home.inverter_efficiency), (made.of("uncut"), 1.0)]
    made.each_step(terms, used, used)
    if (below_zero | (price_out > price_in)).any():
        most_in = float((used + solar).max()) + home.charge_kw * home.per_inverter_efficiency + float(most_used.max())
        most_in += 0.0 if on.car is None else float(on.car.most_kw.max())
        shares: list[Term] = [(made.of("bought"), 1.0 / most_in), (made.of("sold"), 1.0 / np.maximum(most_out, 1e-6))]
        made.each_step(shares, -INF, 1.0)


def _peaks(made: Programme, on: Stretch) -> None:
    """The peak of each billing month above its floor, at the share of its price that lies in this stretch."""
    bought = made.of("bought")
    for number, term in enumerate(on.prices.peaks):
        counted = np.flatnonzero(term.interval >= 0)
        if not len(counted):
            continue
        known, row = np.unique(term.interval[counted], return_inverse=True)
        months, place = np.unique(term.month[counted], return_inverse=True)
        columns = np.array(
            [
                made.total(f"peak_{number}_{month}", INF, float(term.per_kw[term.month == month].sum()))[0]
                for month in months.tolist()
            ]
        )
        of_row = np.zeros(len(known), dtype=np.int64)
        of_row[row] = columns[place]
        rows = np.concatenate([row, np.arange(len(known))])
        factor = np.concatenate([term.share[counted], np.full(len(known), -1.0)])
        made.several(rows, [(np.concatenate([bought[counted], of_row]), factor)], len(known), term.floor_kw)


def _tiers(made: Programme, on: Stretch) -> None:
    """Use of each billing month shared out on tiers that get dearer; what lies in another stretch begins anew below."""
    bought = made.of("bought")
    for number, term in enumerate(on.prices.tiers):
        for segment in np.unique(term.segment).tolist():
            mine = bought[term.segment == segment]
            tiers = [
                made.total(f"tier_{number}_{segment}_{k}", float(term.width_kwh[k, segment]), float(price))
                for k, price in enumerate(term.per_kwh[:, segment])
            ]
            terms = [(mine, np.full(len(mine), on.hours)), *((column, np.array([-1.0])) for column in tiers)]
            made.once(terms, 0.0, 0.0)


def _fuse(made: Programme, on: Stretch) -> None:
    """No more from the grid than the fuse lets through; what is above is charged, so that a programme always ends."""
    if on.limits.fuse_kw < NO_FUSE_KW:
        made.series("over_fuse", 0.0, INF, on.limits.per_over_fuse * on.hours)
        made.each_step([(made.of("bought"), 1.0), (made.of("over_fuse"), -1.0)], -INF, on.limits.fuse_kw)
