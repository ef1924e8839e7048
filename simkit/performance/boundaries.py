"""A year's heat and electricity in, seasonal performance by boundary out: ratios of sums, never means of ratios.

Boundaries as the European field trials draw them: H1 the compressor alone, H2 with the source fan, H3 with back-up
heater and immersion (their heat counted too), H4 with circulation pumps and standby. Heat is counted into the cylinder
and the rooms, never at the tap.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.physics.records import Flows


@dataclass(frozen=True)
class Performance:
    """Seasonal performance factors [-]; None where they don't apply or the share of the fan isn't stated.

    Attributes
    ----------
    h1, h2, h3, h4
        By boundary.
    space_h4, water_h4
        H4 for the rooms and for hot water apart; standby is split by heat.
    """

    h1: float | None
    h2: float | None
    h3: float | None
    h4: float | None
    space_h4: float | None
    water_h4: float | None


def performance(t: Flows, fan_share: float | None) -> Performance:
    """Form the factors of a year, or of many homes' years at once.

    Parameters
    ----------
    t
        Sums of the year [kWh]: floats, or arrays of one shape.
    fan_share
        Share of the machine's electricity that the source fan takes [-]; None where not stated: H1 is then not
        available.

    Returns
    -------
    Performance
        Floats; for arrays, arrays of the same shape with NaN where a factor does not apply.
    """
    t = Flows(*map(np.float64, t))
    machine_heat = t.heat_pump_space_heat + t.heat_pump_water_heat
    machine = t.heat_pump_space + t.heat_pump_water
    runs = (machine_heat > 0.0) & (machine > 0.0)
    heaters = t.backup_heater + t.immersion
    heat = machine_heat + heaters
    space_heat = t.heat_pump_space_heat + t.backup_heater
    water_heat = t.heat_pump_water_heat + t.immersion
    with np.errstate(divide="ignore", invalid="ignore"):
        space_part = space_heat / heat
        space_used = t.heat_pump_space + t.backup_heater + t.pumps_space + t.standby * space_part
        water_used = t.heat_pump_water + t.immersion + t.pumps_water + t.standby * (1.0 - space_part)
        return Performance(
            _where(runs, machine_heat / (machine * (1.0 - fan_share))) if fan_share is not None else None,
            _where(runs, machine_heat / machine),
            _where(runs, heat / (machine + heaters)),
            _where(runs, heat / (machine + heaters + t.pumps_space + t.pumps_water + t.standby)),
            _where(runs & (space_heat > 0.0), space_heat / space_used),
            _where(runs & (water_heat > 0.0), water_heat / water_used),
        )


def _where(applies: Any, factor: Any) -> Any:
    """Give a factor where it applies: else NaN in an array, None by itself."""
    if np.ndim(factor):
        return np.where(applies, factor, np.nan)
    return float(factor) if applies else None
