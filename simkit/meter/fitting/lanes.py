"""A window of a home's time and many sets of its unknowns in; what every meter would show, block by block, out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import shell
from simkit.assemble.home import Adjustment, home_inputs
from simkit.case.case import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_homes
from simkit.meter.fitting.parameters import Parameter
from simkit.meter.fitting.window import UNREAL_C, Window
from simkit.physics.building import response
from simkit.physics.records import Flows, Home, State

LANES_AT_ONCE = 256
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
    if "mass" not in values:
        return made
    house = shell(case.home, values["loss_w_per_k"], case.emitters.mass_share, window.hours)
    exact = response(
        house.air_side_kw_per_k, house.coupling_kw_per_k, house.fabric_side_kw_per_k, house.air_kwh_per_k,
        house.fabric_kwh_per_k * values["mass"], window.hours,
    )  # fmt: skip
    share = case.emitters.mass_share
    home: Home = made.home._replace(
        **exact._asdict(), per_end_aqa=1.0 / exact.end_aqa,
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
    own = case.household
    scales = [each.get("base_kwh", own.annual_kwh) / max(own.annual_kwh, 1.0) for each in sets]
    own_series = [scaled_series(window, scale) for scale in scales]
    cuts = [(0, window.run_in), *zip(window.run_in + window.edges[:-1], window.run_in + window.edges[1:], strict=True)]
    state = [home.start for home in homes]
    blocks = []
    for number, (a, b) in enumerate(cuts):
        if a == b:
            continue
        shared = {name: series[a:b] for name, series in window.series.items()}
        inputs = [
            HomeInputs(home.home, start, {**shared, **{name: array[a:b] for name, array in mine.items()}})
            for home, start, mine in zip(homes, state, own_series, strict=True)
        ]
        run = run_homes(inputs, int(b - a), window.hours, threads=1, run_in=False)
        state = [State(*row) for row in np.transpose(run.after).tolist()]
        if number:
            blocks.append(run.totals)
    totals = Flows(*np.stack(blocks, axis=-1))  # (homes, blocks) each
    return {channel: _read(totals, channel, window, homes) for channel in channels}


def scaled_series(window: Window, scale: float) -> dict[str, Floats]:
    """The household's electricity and its heat for another yearly use; the heat of people stays."""
    if abs(scale - 1.0) < 1e-12:
        return {}
    household = window.series["household_kw"]
    gains = window.series["internal_gain_kw"] + household * (scale - 1.0) * window.case.household.heat_share
    return {"household_kw": household * scale, "internal_gain_kw": gains}


def _read(totals: Any, channel: str, window: Window, homes: Sequence[HomeInputs]) -> Floats:
    if channel == "room_c":
        below = totals.below_k / (np.diff(window.edges) * window.hours)
        return UNREAL_C - homes[0].home.tolerance_k - below
    if channel == NET:
        return _read(totals, "import_kwh", window, homes) - _read(totals, "export_kwh", window, homes)
    return np.sum([getattr(totals, flow) for flow in COUNTED[channel]], axis=0)
