"""A year's heat and electricity in, seasonal performance by boundary out: ratios of sums, never means of ratios.

Boundaries as the European field trials draw them: H1 the compressor alone, H2 with the source fan, H3 with back-up
heater and immersion (their heat counted too), H4 with circulation pumps and standby. Heat is counted into the cylinder
and the rooms, never at the tap.
"""

from __future__ import annotations

from dataclasses import dataclass

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
    """Form the factors of a year.

    Parameters
    ----------
    t
        Sums of the year [kWh].
    fan_share
        Share of the machine's electricity that the source fan takes [-]; None where not stated: H1 is then not
        available.
    """
    machine_heat = t.heat_pump_space_heat + t.heat_pump_water_heat
    machine = t.heat_pump_space + t.heat_pump_water
    if machine_heat <= 0.0 or machine <= 0.0:
        return Performance(None, None, None, None, None, None)
    heaters = t.backup_heater + t.immersion
    heat = machine_heat + heaters
    space_heat = t.heat_pump_space_heat + t.backup_heater
    water_heat = t.heat_pump_water_heat + t.immersion
    space_part = space_heat / heat
    space_used = t.heat_pump_space + t.backup_heater + t.pumps_space + t.standby * space_part
    water_used = t.heat_pump_water + t.immersion + t.pumps_water + t.standby * (1.0 - space_part)
    return Performance(
        machine_heat / (machine * (1.0 - fan_share)) if fan_share is not None else None,
        machine_heat / machine,
        heat / (machine + heaters),
        heat / (machine + heaters + t.pumps_space + t.pumps_water + t.standby),
        space_heat / space_used if space_heat > 0 else None,
        water_heat / water_used if water_heat > 0 else None,
    )
