"""What a run summed up and where it began and ended in; what is left over of each energy balance out.

Every run is checked, one home's and those on lanes: what does not close is a defect of the laws, and said.
"""

from __future__ import annotations

from collections.abc import Sequence
from operator import attrgetter
from typing import Any, NamedTuple

import numpy as np

from simkit.kernel.say import say_once
from simkit.physics.hot_water import content_kwh
from simkit.physics.records import Flows, Home, State

CLOSED_KWH, CLOSED_SHARE = 1e-6, 1e-10  # own: rounding of half a million steps; of what flows, where much flows


class Constants(NamedTuple):
    """Heat capacities of many homes, (homes,) each [kWh/K]."""

    air_kwh_per_k: Any
    fabric_kwh_per_k: Any
    emitter_kwh_per_k: Any
    cylinder_kwh_per_k: Any


CAPACITIES = attrgetter(*Constants._fields)


def balances(home: Home | Constants, totals: Flows, before: State, after: State) -> dict[str, Any]:
    """What is left over of each energy balance [kWh]: building, emitters, cylinder, battery, electricity.

    Parameters
    ----------
    home
        One home, or the `Constants` of many.
    totals
        Sums over the run [kWh]; floats, or arrays, (homes,).
    before, after
        State where the sums begin and end, alike.
    """
    t, a, b = totals, before, after
    warmed = home.air_kwh_per_k * (b.air_c - a.air_c) + home.fabric_kwh_per_k * (b.fabric_c - a.fabric_c)
    held = [content_kwh(one.hot_c, one.cold_c, one.hot_share, home.cylinder_kwh_per_k) for one in (a, b)]
    gains = t.emitted + t.solar_gain + t.internal_gain + t.cylinder_to_rooms
    used = t.heat_pump_space + t.heat_pump_water + t.backup_heater + t.immersion + t.pumps_space + t.pumps_water
    used += t.standby + t.boiler + t.household + t.car + t.battery_idle
    return {
        "building": gains - t.vented - t.envelope_loss - warmed,
        "emitters": t.space_heat - t.emitted - home.emitter_kwh_per_k * (b.emitter_k - a.emitter_k),
        "cylinder": t.hot_water - t.tap_water - t.cylinder_loss - (held[1] - held[0]),
        "battery": t.battery_charge - t.battery_discharge - t.battery_lost - (b.stored_kwh - a.stored_kwh),
        "electricity": t.grid_import + t.solar + t.battery_discharge - t.grid_export - t.curtailed
        - t.battery_charge - used,
    }  # fmt: skip


def unclosed(home: Home | Constants, totals: Flows, before: State, after: State) -> dict[str, float]:
    """The balances that don't close, and the most that is left over of each [kWh]; parameters as of `balances`."""
    left = balances(home, totals, before, after)
    through = totals.space_heat + totals.solar_gain + totals.internal_gain + totals.grid_import + totals.solar
    most = CLOSED_KWH + CLOSED_SHARE * through
    if np.all(sum(map(abs, left.values())) <= most):  # not a number is not below it
        return {}
    return {
        what: float(np.max(np.abs(kwh))) for what, kwh in left.items() if not np.all(np.abs(kwh) <= most / len(left))
    }


def unclosed_words(left: dict[str, float]) -> str:
    """What doesn't close, as a sentence."""
    told = " and ".join(f"{kwh:.2g} kWh of the {what}" for what, kwh in left.items())
    return f"The energy balance of a year does not close: {told} are left over, so don't build on its numbers."


def say_unclosed(home: Home | Constants, totals: Flows, before: State, after: State) -> None:
    """Say once where a run does not balance."""
    left = unclosed(home, totals, before, after)
    if left:
        say_once(unclosed_words(left))


def constants_of(homes: Sequence[Home]) -> Constants:
    """The constants of many homes that their balances are drawn up with, (homes,) each."""
    return Constants(*np.array([CAPACITIES(one) for one in homes]).T)
