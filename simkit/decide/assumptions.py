"""Simulated years of a case in; how much each value that was filled in moves their cost, worst first, out.

Each filled-in value is moved down and up by what it may plausibly be off, one lane each, all else as it stands; what
follows from it (a heat loss found from fuel, a controller that holds the needed warmth) follows. Values move one at a
time: two that are off together may move more, or less, than both beside each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple, get_args, get_origin

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.heat_loss import find_losses, loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import setting_for
from simkit.billing.cost import CHARGED_AT_ONCE, cost_of, fuel_costs
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.defaults import Assumed
from simkit.errors import CaseError
from simkit.kernel.run import run_homes
from simkit.schema.hints import bounds_of, example_of, meaning_of, neat, shown, unit_of
from simkit.times_of_day import DAY_MINUTES, minute_of, time_of
from simkit.year.year import Year

TENTH = 1.2816  # of a normal distribution: standard deviations from the middle to the 10th and to the 90th percentile
USUAL_SHARE = 0.2  # own: a fifth either way, where no spread is known
USUAL_K = 2.0  # own: two kelvin either way of a temperature
ROOM_K = 1.0  # own: a kelvin either way of a room's temperature
LATER_MINUTES = 120  # own: two hours either way of a time of day
KNOWN = {
    "heat_pump.efficiency_scale": "installation_sd", "boiler.space_efficiency": "boiler_efficiency_sd",
    "boiler.water_efficiency": "boiler_efficiency_sd",
}  # fmt: skip
NO_COST = ("uncertainty", "carbon", "money", "ledger")  # what these hold is in no bill of the year
# Common practice: who or what knows a value better, by key or by section.
SETTLED_BY: Mapping[str, str] = {
    "heat_pump.efficiency_scale": "a heat meter and an electricity meter over some winter weeks",
    "controls": "the settings of the controller", "comfort": "a thermometer in the rooms, over a week",
    "emitters": "a list of the radiators: size and type", "heat_pump": "the data sheet of the machine",
    "hot_water": "the label of the cylinder and the settings of its controller",
    "hot_water.cold_water_c": "a thermometer under the cold tap, in winter and in summer",
    "hot_water.cold_water_swing_k": "a thermometer under the cold tap, in winter and in summer",
    "boiler": "the label of the boiler, and its last service sheet", "fuel": "a bill", "hybrid": "its controller",
    "household": "half-hourly readings of the electricity meter", "car": "the car's own record", "solar.losses":
    "a year's readings of the inverter", "solar": "the data sheet of panels and inverter",
    "battery": "the data sheet of the battery", "weather": "a file of hours of the nearest station",
    "site": "a map, and the label of the main fuse", "home": "a survey of the house",
    "home.loss.fuel_includes_water": "a bill of the months without heating", "home.window":
    "a look at the windows: panes, frames, shade", "room": "a survey of the rooms",
}  # fmt: skip


class Move(NamedTuple):
    """What a filled-in value may be instead, and who says by how much."""

    values: tuple[Any, ...]
    words: str
    spread_source: str


UNMOVED = Move((), "", "")


@dataclass(frozen=True, eq=False)
class Assumptions(Answered):
    """What a case leaves open, and what it matters.

    Attributes
    ----------
    year
        The year of the case itself.
    options
        Those of its options.
    table
        One row by filled-in value, worst first: `moved_cost`, the most that the cost of a year changes, up or down, in
        any of the years (0 where it changes nothing, none where it wasn't moved) [currency]; `value_words`,
        `tried_words`, `spread_words`, `source_words`, `settled_words`, `unit_words`,
        `meaning_words`.
    """

    answered_by = "simkit.answers.description:description_answer"
    year: Year
    options: tuple[Year, ...]
    table: pd.DataFrame


def assumptions_of(year: Year, options: Sequence[Year] = ()) -> Assumptions:
    """Rank what a case and its options leave open by how much it moves the cost of a year.

    Parameters
    ----------
    year
        The year of the case itself.
    options
        Years of its options.
    """
    rows: dict[str, dict[str, Any]] = {}
    # homes that differ: an option that only names another tariff answers an assumption as its case does
    for one in {each.case.digest: each for each in (year, *options)}.values():
        for assumed, move, moved in zip(*moved_costs(one), strict=True):
            row = rows.setdefault(assumed.key, _row(assumed, move))
            row["moved_cost"] = float(np.fmax(row["moved_cost"], moved))
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("key")
    if rows:
        table = table.sort_values("moved_cost", ascending=False, kind="stable", na_position="last")
    return Assumptions(year, tuple(options), table)


def moved_costs(year: Year) -> tuple[tuple[Assumed, ...], list[Move], Floats]:
    """Move each filled-in value of a case by itself.

    Returns
    -------
    assumed, moves
        The values, and what each was moved to.
    moved
        The most that the cost of the year changes, (values,) [currency]; nan where a value can't be moved.
    """
    case = year.case
    moves = [_move(one, case) for one in case.assumed]
    varied = [(i, made) for i, move in enumerate(moves) for made in _varied(case, case.assumed[i], move)]
    find_losses(made for _, made in varied)
    lanes = [(i, made) for i, made in varied if _has_loss(made)]
    cost = _costs(year, [made for _, made in lanes])
    moved = np.full(len(moves), np.nan)
    for (i, _), other in zip(lanes, cost[1:], strict=True):
        moved[i] = np.fmax(moved[i], abs(other - cost[0]))
    still = [one.paths[0].split(".", maxsplit=1)[0] in NO_COST for one in case.assumed]
    return case.assumed, moves, np.where(still, 0.0, moved)


def _costs(year: Year, cases: Sequence[Case]) -> Floats:
    """What the year of a case and those of its variants cost, all on the same step, (1 + cases,) [currency]."""
    case, axis, found = year.case, year.axis, []
    every = [case, *cases]
    for first in range(0, len(every), CHARGED_AT_ONCE):
        some = every[first : first + CHARGED_AT_ONCE]
        homes = [home_inputs(one, setting_for(one, axis.step_minutes), loss_w_per_k(one)) for one in some]
        made = run_homes(homes, axis.steps, axis.hours)
        electricity, burnt = cost_of(case, axis, made).electricity, np.atleast_1d(made.totals.fuel)
        for place, one in enumerate(some):
            fuel, standing, _ = fuel_costs(one, burnt[place : place + 1], len(axis.dates))
            found.append(float(electricity[place] + fuel[0] + standing[0]))
    return np.array(found)


def _varied(case: Case, one: Assumed, move: Move) -> Iterator[Case]:
    """The case with a value moved; none where the case allows no such value."""
    for value in move.values:
        with suppress(CaseError):
            yield vary(case, dict.fromkeys(one.paths, value))


def _has_loss(case: Case) -> bool:
    """Whether there is a heat loss that burns the fuel which the case states."""
    with suppress(CaseError):
        loss_w_per_k(case)
        return True
    return False


def _row(one: Assumed, move: Move) -> dict[str, Any]:
    keys = [part for part in one.paths[0].split(".") if not part.isdigit()]
    value = one.said.removeprefix(f"{one.key} = ").removesuffix(f" ({one.source})")
    above = (".".join(keys[:end]) for end in range(len(keys), 0, -1))  # the key itself, then what holds it
    known = next((SETTLED_BY[name] for name in above if name in SETTLED_BY), "")
    tried = f"{value} (tried: {move.words})" if move.words else value
    return {
        "moved_cost": np.nan, "value_words": value, "tried_words": tried,
        "spread_words": move.spread_source, "source_words": one.source, "settled_words": known,
        "unit_words": unit_of(one.field), "meaning_words": meaning_of(one.field),
    }  # fmt: skip


def _move(one: Assumed, case: Case) -> Move:
    """What a value may be instead: by its known spread, else by what its kind allows; never less hygiene."""
    move = _free_move(one, case)
    if not one.paths[0].startswith("hot_water.hygiene.") or not move.values:
        return move
    kept = [value for value in move.values if value != "never" and (isinstance(value, str) or value >= one.value)]
    return _others(*kept)


def _free_move(one: Assumed, case: Case) -> Move:
    value, path = one.value, one.paths[0]
    if path.split(".", maxsplit=1)[0] in NO_COST:
        return UNMOVED
    if path in KNOWN:
        share = TENTH * getattr(case.uncertainty, KNOWN[path])
        return _between(one, value * (1.0 - share), value * (1.0 + share), f"[uncertainty] {KNOWN[path]}")
    if isinstance(value, bool):
        return _others(not value)
    if not isinstance(value, int | float):
        return _word(one, value) if isinstance(value, str) else _list(value)
    if value == 0.0:
        other = example_of(one.field)
        return _others(other) if other else UNMOVED
    by = USUAL_K if unit_of(one.field) == "°C" else USUAL_SHARE * abs(value)
    return _between(one, value - by, value + by, "own")


def _between(one: Assumed, low: float, high: float, source: str) -> Move:
    """Two ends, within what the key may hold."""
    least, most = bounds_of(one.field) or (-np.inf, np.inf)
    ends = tuple(float(np.clip(end, least, most)) for end in (low, high))
    return Move(ends, " to ".join(neat(float(f"{end:.3g}")) for end in ends), source)


def _others(*values: Any) -> Move:
    return Move(values, " or ".join(shown(value) for value in values), "own")


def _word(one: Assumed, value: str) -> Move:
    if get_origin(one.field.annotation) is Literal:
        return _others(*(other for other in get_args(one.field.annotation) if other != value))
    if value[2:3] == ":":
        minute = minute_of(value)
        moved = (max(minute - LATER_MINUTES, 0), min(minute + LATER_MINUTES, DAY_MINUTES - 60))
        return _others(*(time_of(minutes) for minutes in moved))
    return UNMOVED


def _list(value: Sequence[Any]) -> Move:
    """Twelve months a fifth lower and higher, rooms a kelvin cooler and warmer, areas a fifth smaller and larger."""
    first = value[0] if value else None
    if isinstance(first, int | float):
        top = 1.0 if max(value) <= 1.0 else np.inf
        scaled = tuple([min(one * share, top) for one in value] for share in (1.0 - USUAL_SHARE, 1.0 + USUAL_SHARE))
        return Move(scaled, "each a fifth lower or higher", "own")
    if isinstance(first, Mapping) and "c" in first:
        shifted = tuple([{**one, "c": one["c"] + by} for one in value] for by in (-ROOM_K, ROOM_K))
        return Move(shifted, "each a kelvin lower or higher", "own")
    if isinstance(first, Mapping) and "area_m2" in first:
        sized = tuple([{**one, "area_m2": one["area_m2"] * share} for one in value] for share in (0.8, 1.2))
        return Move(sized, "each a fifth smaller or larger", "own")
    return UNMOVED
