"""A stretch of a home's year in; one sparse linear programme that every schedule of it satisfies, at its cost or below.

Rooms and cylinder losses are the kernel's own exact linear step; what bends is replaced by what lies under it:
electricity by convex pieces (`least_cost_of_heat`), the cylinder by layers, on-off states by shares of the step, the
emitters by a store that gives its heat whenever it is wanted.
"""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.decide.optimum.least_cost_of_heat import HOTTEST_C
from simkit.decide.optimum.linear import INF, Programme, Term
from simkit.decide.optimum.stretch import NO_FUSE_KW, WIDEST_C, Stretch
from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.hot_water import APPROACH_K

HYGIENE_SLACK_K = 2.0  # own: a hot cycle counts as done within so many kelvins
MOST_VENTED_K = 70.0  # own: a room is never so much warmer than outdoors


def programme_of(stretch: Stretch) -> Programme:
    """Put the programme of a stretch together; states stand at the start of each step and at the end of the last."""
    made = Programme(stretch.steps)
    for name in ("air", "fabric"):
        made.states(name, *WIDEST_C)
    for k, width_k in enumerate(np.diff(stretch.edges_c).tolist()):
        made.states(f"layer_{k}", 0.0, stretch.home.cylinder_kwh_per_k * width_k)
    if stretch.home.emitter_kwh_per_k > 0.0:
        made.states("held", 0.0, stretch.home.emitter_kwh_per_k * HOTTEST_C)
    made.states("stored", stretch.home.reserve_kwh, stretch.home.usable_kwh)
    if stretch.car is not None:
        made.states("car_held", 0.0, stretch.car.held_kwh)
    _heat(made, stretch)
    _emitters(made, stretch)
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


def _heat(made: Programme, on: Stretch) -> None:
    """Heat of machine and back-up heater, means over the step [kW], and the time that rooms and water share."""
    season = on.series["heating_season"]
    for k, width in enumerate(on.pieces.width_kw):
        made.series(f"heat_{k}", 0.0, width * season)
    made.series("backup", 0.0, (on.series["outdoor_c"] < on.home.backup_below_c) * on.home.backup_kw * season)
    made.series("water_time", 0.0, 1.0)
    heat = [(made.of(n), 1.0 / on.most_kw) for n in made.named("heat_")]
    made.each_step([*heat, (made.of("water_time"), 1.0)], -INF, 1.0)


def _emitters(made: Programme, on: Stretch) -> None:
    """What the emitters give to the rooms of what they are fed and hold; how fast they let it out is left free."""
    if on.home.emitter_kwh_per_k > 0.0:
        made.series("emitted", 0.0, INF)
        terms: list[Term] = [(made.of("held"), 1.0), (made.of("emitted"), -on.hours)]
        made.link("held", [*terms, *((made.of(n), on.hours) for n in (*made.named("heat_"), "backup"))], 0.0)


def _water(made: Programme, on: Stretch) -> None:
    """What goes into the layers of the cylinder and what leaves its top."""
    home = on.home
    reached = home.water_highest_flow_c - APPROACH_K
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
    into_rooms = ("emitted",) if "emitted" in made.at else (*made.named("heat_"), "backup")
    gain_air = home.internal_to_air * series["internal_gain_kw"] + home.solar_to_air * series["solar_gain_kw"]
    gain_fabric = series["internal_gain_kw"] + series["solar_gain_kw"] - gain_air
    for kind, name in (("end", "air"), ("end", "fabric"), ("mean", "air")):
        by = {x: getattr(home, f"{kind}_{name[0]}{x}") for x in ("a", "f", "o", "qa", "qf")}
        known = by["o"] * series["outdoor_c"] + by["qa"] * gain_air + by["qf"] * gain_fabric
        terms: list[Term] = [(made.of("air"), by["a"]), (made.of("fabric"), by["f"]), (made.of("vented"), -by["qa"])]
        terms += [(made.of(n), (1.0 - s) * by["qa"] + s * by["qf"]) for n in into_rooms]
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
        made.several([(column, 1.0) for column in after], on.home.cylinder_kwh_per_k * level, INF)


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
    across = 0.5 * home.water_difference_k / np.maximum(on.least_kw, 1e-9)  # at the hottest flow, see `reheat`
    slowest = np.minimum(on.least_kw, APPROACH_K / (home.per_coil_kw_per_k + across))  # least power of a charge
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
        terms = [(np.concatenate([bought[counted], of_row]), factor)]
        made.several(terms, -INF, term.floor_kw, count=len(known), to=rows)


def _tiers(made: Programme, on: Stretch) -> None:
    """Use of each billing month shared out on tiers that rise in price; what lies in another stretch begins anew."""
    bought = made.of("bought")
    for number, term in enumerate(on.prices.tiers):
        for segment in np.unique(term.segment).tolist():
            mine = bought[term.segment == segment]
            tiers = [
                made.total(f"tier_{number}_{segment}_{k}", float(term.width_kwh[k, segment]), float(price))
                for k, price in enumerate(term.per_kwh[:, segment])
            ]
            made.several([(mine, on.hours), *((column, -1.0) for column in tiers)], 0.0, 0.0)


def _fuse(made: Programme, on: Stretch) -> None:
    """No more from the grid than the fuse lets through; what is above is charged, so that a programme always ends."""
    if on.limits.fuse_kw < NO_FUSE_KW:
        made.series("over_fuse", 0.0, INF, on.limits.per_over_fuse * on.hours)
        made.each_step([(made.of("bought"), 1.0), (made.of("over_fuse"), -1.0)], -INF, on.limits.fuse_kw)
