"""A number in, a home nobody would design out: for checks that must hold whatever a case says."""

from __future__ import annotations

from typing import Any

import numpy as np
from homes import NAMES, changed

from simkit.assemble.building import most_loss_w_per_k
from simkit.case.build import Case, vary

LEAST_KWH = 50.0  # less is refused as megawatt-hours
ARRAY = [{"kwp": 5.0, "tilt_deg": 35.0, "azimuth_deg": 170.0}]
WINDOWS = (
    [{"from": "00:00", "to": "24:00"}],
    [{"from": "02:00", "to": "05:00"}],
    [{"from": "12:00", "to": "13:00"}, {"from": "22:00", "to": "01:00"}],
)


def invented_home(number: int) -> tuple[Case, int]:
    """A sample with most of its values drawn anew, and a step [min]."""
    chance = np.random.default_rng(7_000 + number)

    def between(low: float, high: float) -> float:
        return round(float(chance.uniform(low, high)), 3)

    def one_of(*choices: Any) -> Any:
        return choices[int(chance.integers(len(choices)))]

    name = NAMES[number % len(NAMES)]
    source = (
        one_of("heat_pump", "heat_pump", "heat_pump", "boiler", "hybrid") if name != "harbour_flat" else "heat_pump"
    )
    design_flow = between(35.0, 57.0)
    changes: dict[str, Any] = {
        "heat_source": source,
        "home.loss": {"w_per_k": between(40.0, 700.0)},
        "home.thermal_mass": one_of("very light", "light", "medium", "heavy", "very heavy"),
        "home.air_side_share": between(0.05, 0.7),
        "home.open_windows_above_c": between(23.0, 27.0),
        "controls.flow": one_of("compensated", "fixed", "least"),
        "controls.design_flow_c": design_flow,
        "controls.setback_c": between(14.0, 20.0),
        "controls.recovery_lift_k": between(0.0, 15.0),
        "controls.mixing_penalty_k": one_of(0.0, between(0.0, 6.0)),
        "controls.straight": one_of(True, False),
        "controls.room_influence": one_of(0.0, between(0.0, 5.0)),
        "emitters.kind": one_of("radiators", "underfloor", "fan convectors"),
        "emitters.sized_for_flow_c": between(32.0, 60.0),
        "heat_pump.minimum_share": between(0.1, 0.6),
        "heat_pump.backup_kw": one_of(0.0, between(1.0, 6.0)),
        "heat_pump.backup_below_c": between(-5.0, 15.0),
        "heat_pump.lowest_outdoor_c": one_of(-20.0, between(-4.0, 6.0)),
        "heat_pump.efficiency_scale": between(0.6, 1.2),
        "hot_water.volume_l": between(60.0, 400.0),
        "hot_water.target_c": between(45.0, 62.0),
        "hot_water.hysteresis_k": between(2.0, 15.0),
        "hot_water.sensor_height": between(0.0, 1.0),
        "hot_water.coil_area_m2": between(0.1, 3.0),
        "hot_water.immersion": one_of("hygiene", "any", "never"),
        "hot_water.immersion_kw": between(0.0, 4.0),
        "hot_water.windows": one_of(*WINDOWS),
        "hot_water.hygiene": {"every": one_of("week", "day", "never"), "target_c": 65.0, "hours": one_of(1.0, 3.0)},
        "household.annual_kwh": use if (use := between(0.0, 9000.0)) >= LEAST_KWH else 0.0,
    }
    if source == "hybrid":
        changes |= {"hybrid.boiler_below_c": between(-5.0, 10.0), "hybrid.by_price": one_of(True, False)}
    if one_of(True, False):
        changes |= {"solar.array": ARRAY, "solar.inverter_kw": 4.5, "solar.export_limit_kw": one_of(0.0, 1.5, 10.0)}
    if one_of(True, False):
        changes |= {
            "battery.usable_kwh": between(1.0, 20.0), "battery.charge_kw": between(1.0, 6.0),
            "battery.discharge_kw": between(0.5, 6.0), "battery.charge_efficiency": between(0.8, 1.0),
            "battery.discharge_efficiency": between(0.8, 1.0), "battery.reserve_share": between(0.0, 0.4),
            "battery.fill_below_price": between(0.05, 0.3), "battery.store_surplus": one_of(True, False),
        }  # fmt: skip
    step = one_of(60, 60, 30)
    if "solar.array" in changes and "battery.usable_kwh" in changes:
        changes |= {"battery.coupling": one_of("ac", "dc")}
    case = changed(name, changes)
    most = most_loss_w_per_k(case.home, case.emitters.mass_share)
    if changes["home.loss"]["w_per_k"] > most:  # refused: one home in four hundred
        case = vary(case, {"home.loss": {"w_per_k": 0.99 * most}})
    return case, step
