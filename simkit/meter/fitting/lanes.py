"""A window of a home's time and many sets of its unknowns in; what every meter would show, block by block, out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import air_saved_w_per_k, shell
from simkit.assemble.home import Adjustment, home_inputs
from simkit.case.case import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home, run_spans
from simkit.meter.fitting.parameters import COLD_PIVOT_C, Parameter
from simkit.meter.fitting.window import UNREAL_C, Window
from simkit.physics.building import response
from simkit.physics.heat_pump import KNOTS
from simkit.physics.records import Flows, Home

LANES_AT_ONCE = 64
# What a meter of that name counts: flows of the kernel.
COUNTED = {
    "import_kwh": ("grid_import",),
    "export_kwh": ("grid_export",),
    "heat_pump_kwh": (
        "heat_pump_space", "heat_pump_water", "backup_heater", "immersion", "pumps_space", "pumps_water", "standby",
    ),
    "heat_kwh": ("heat_pump_space_heat", "heat_pump_water_heat", "backup_heater"),
    "fuel_kwh": ("fuel",),
}  # fmt: skip
NET = "net_kwh"  # import less export
# What makes heat, and of what a meter counts the part that goes into it: heat that flows whatever the weather is made
# as all other heat of the span, and shows on each meter in that proportion.
MADE = ("heat_pump_space_heat", "heat_pump_water_heat", "backup_heater", "boiler_space_heat", "boiler_water_heat")
SPACE = ("heat_pump_space_heat", "backup_heater", "boiler_space_heat")
INTO_HEAT = {
    "import_kwh": ("heat_pump_space", "heat_pump_water", "backup_heater"),
    "heat_pump_kwh": ("heat_pump_space", "heat_pump_water", "backup_heater"),
    "heat_kwh": COUNTED["heat_kwh"], "fuel_kwh": ("fuel",),
}  # fmt: skip
METERED_AS = {
    NET: (
        "Import and export are fitted as one, import less export of a day: how they part inside a half-hour depends on "
        "the very minutes in which people use electricity."
    ),
    "heat_pump_kwh": (
        "The heat pump's own meter is taken to count all of it: compressor, heaters, pumps and standby (H4)."
    ),
    "heat_kwh": (
        "The heat meter is taken to count the heat pump's and the back-up heater's heat, not the immersion heater's."
    ),
}


def adjusted(case: Case, window: Window, values: dict[str, float]) -> HomeInputs:
    """One home with its unknowns set, on the window's surroundings; its series are not the window's yet."""
    efficiency = values.get("efficiency", 1.0)
    boiler = case.heat_source == "boiler"
    how = Adjustment(
        efficiency=1.0 if boiler else efficiency, boiler=efficiency if boiler else 1.0,
        set_point_k=values.get("held_k", 0.0), draws=values.get("draws", 1.0),
    )  # fmt: skip
    made = home_inputs(case, window.setting, values["loss_w_per_k"], how)
    if values.get("mass", 1.0) == 1.0:
        return made
    house = shell(case.home, values["loss_w_per_k"], case.emitters.mass_share, window.hours, air_saved_w_per_k(case))
    exact = response(
        house.air_side_kw_per_k, house.coupling_kw_per_k, house.fabric_side_kw_per_k, house.air_kwh_per_k,
        house.fabric_kwh_per_k * values["mass"], window.hours,
    )  # fmt: skip
    share = case.emitters.mass_share
    home: Home = made.home._replace(
        **exact._asdict(), fabric_kwh_per_k=house.fabric_kwh_per_k * values["mass"], per_end_aqa=1.0 / exact.end_aqa,
        per_end_by_emitter=1.0 / ((1.0 - share) * exact.end_aqa + share * exact.end_aqf),
    )  # fmt: skip
    return HomeInputs(home, made.start, made.series)


def metered(
    window: Window, unknowns: Sequence[Parameter], values: Floats, channels: Sequence[str]
) -> dict[str, Floats]:
    """Simulate the window for many sets of unknowns.

    Parameters
    ----------
    window
        The span, its series and its blocks.
    unknowns
        Names of the columns of `values`.
    values
        One set in each row, (n, unknowns).
    channels
        Meters that are asked for: keys of `COUNTED`, ``net_kwh``, ``room_c`` [°C].

    Returns
    -------
    dict
        By channel, (n, blocks): energies [kWh] of each block, or its mean room temperature [°C].
    """
    parts = [
        _metered(window, unknowns, values[start : start + LANES_AT_ONCE], channels)
        for start in range(0, len(values), LANES_AT_ONCE)
    ]
    return {channel: np.concatenate([part[channel] for part in parts]) for channel in channels}


def _metered(
    window: Window, unknowns: Sequence[Parameter], values: Floats, channels: Sequence[str]
) -> dict[str, Floats]:
    case = window.case
    names = [one.name for one in unknowns]
    sets = [dict(zip(names, row.tolist(), strict=True)) for row in values]
    homes = [adjusted(case, window, each) for each in sets]
    own_series = [lived_series(window, each) for each in sets]
    inputs = [
        HomeInputs(home.home, home.start, window.series | mine) for home, mine in zip(homes, own_series, strict=True)
    ]
    spans = window.run_in + window.edges
    totals = run_spans(inputs, np.concatenate([[0], spans]) if window.run_in else spans, window.hours)
    totals = Flows(*(flow[:, -len(spans) + 1 :] for flow in totals))  # (homes, blocks) each
    steady = np.array([each.get("steady_kwh", 0.0) for each in sets])
    return {channel: _read(totals, channel, window, homes, steady) for channel in channels}


def by_step(window: Window, values: dict[str, float], flows: Mapping[str, Sequence[str]]) -> dict[str, Floats]:
    """Simulate the window for one set of unknowns: sums of flows in each step, (steps,) [kWh] by the name given.

    Parameters
    ----------
    window
        The span.
    values
        The unknowns by name.
    flows
        Flows of the kernel to add up, by the name of a meter or another; a meter counts its part of steady heat too.
    """
    home = adjusted(window.case, window, values)
    inputs = HomeInputs(home.home, home.start, {**window.series, **lived_series(window, values)})
    run = run_home(inputs, window.run_in + len(window.starts), window.hours, run_in=False)

    def of(flow: str) -> Floats:
        return np.asarray(run.flow(flow)[window.run_in :] * window.hours)

    space = np.sum([of(flow) for flow in SPACE], axis=0)
    steady = _by_step(window, values.get("steady_kwh", 0.0), space)
    return {
        name: np.maximum(sum(of(flow) for flow in parts) + steady * steady_share(lambda f: of(f).sum(), name), 0.0)
        for name, parts in flows.items()
    }


def _by_step(window: Window, steady_kwh: float, space_kwh: Floats) -> Floats:
    """Steady heat in each step: what is added flows evenly, what is spared goes off the day's own heating, (steps,)."""
    steps, of_day = np.diff(window.edges), np.add.reduceat(space_kwh, window.edges[:-1])
    day = steady_heat(steady_kwh, steps * window.hours / 24.0, of_day)
    if steady_kwh >= 0.0:
        return np.repeat(day / steps, steps)
    return np.asarray(space_kwh * np.repeat(day / np.maximum(of_day, 1e-9), steps))


def steady_heat(steady_kwh: Any, days: Floats, space_kwh: Floats) -> Floats:
    """Heat of spans of so many days that flows whatever the weather [kWh], in the shape of what the rooms are given.

    Where it is negative the home is spared it, by people and sun that no description holds: never more than it needs.
    """
    return np.maximum(steady_kwh * days, -space_kwh)


def lived_series(window: Window, values: dict[str, float]) -> dict[str, Floats]:
    """Series that hang on the unknowns: household electricity and its heat, that of people and sun, and efficiency."""
    own = window.case.household
    scale = values.get("base_kwh", own.annual_kwh) / max(own.annual_kwh, 1.0)
    household = window.series["household_kw"]
    inside = window.series["internal_gain_kw"] + household * (scale - 1.0) * own.heat_share
    return {
        "household_kw": household * scale, "internal_gain_kw": inside * values.get("gains", 1.0),
        "solar_gain_kw": window.series["solar_gain_kw"] * values.get("windows", 1.0), **_in_the_cold(window, values),
    }  # fmt: skip


def _in_the_cold(window: Window, values: dict[str, float]) -> dict[str, Floats]:
    """Efficiency at every knot, moved by what it falls more for each kelvin colder; none where it is as calculated."""
    if not values.get("cold", 0.0):
        return {}
    moved = np.exp(values["cold"] / 100.0 * (window.series["outdoor_c"] - COLD_PIVOT_C))
    return {f"efficiency_{k}": window.series[f"efficiency_{k}"] * moved for k in range(KNOTS)}


def _read(totals: Any, channel: str, window: Window, homes: Sequence[HomeInputs], steady: Floats) -> Floats:
    if channel == "room_c":
        below = totals.below_k / (np.diff(window.edges) * window.hours)
        return UNREAL_C - homes[0].home.tolerance_k - below
    if channel == NET:
        bought, sold = (_read(totals, one, window, homes, steady) for one in ("import_kwh", "export_kwh"))
        return bought - sold
    counted = np.sum([getattr(totals, flow) for flow in COUNTED[channel]], axis=0)
    share = steady_share(lambda flow: getattr(totals, flow).sum(axis=-1), channel)
    space = np.sum([getattr(totals, flow) for flow in SPACE], axis=0)
    more = steady_heat(steady[:, None], np.diff(window.edges) * window.hours / 24.0, space)
    return np.asarray(np.maximum(counted + share[:, None] * more, 0.0))


def steady_share(total: Callable[[str], Any], channel: str) -> Any:
    """What a meter counts for each kWh of steady heat, by the totals of flows over the span, (homes,) or one."""
    made = sum(total(flow) for flow in MADE)
    return sum((total(flow) for flow in INTO_HEAT.get(channel, ())), 0.0 * made) / np.maximum(made, 1e-9)
