"""The home's net demand and the store in, what is charged, discharged, imported, exported and curtailed out.

Three independent switches: surplus is stored, cheap hours fill to a target, expensive hours sell where the contract
allows. Never charges and discharges, nor imports and exports, in one step. Powers in kW (mean over the step), energy in
kWh.

On the grid side every kilowatt passes the battery's own inverter, whose loss stands in the two efficiencies. Behind the
panels' inverter what the sun gives is stored before it: spared its loss, and what its limit would cut away first; what
is given back, and what the grid fills, passes it. An inverter efficiency of 1 and nothing cut away is the grid side.
"""

from __future__ import annotations

from simkit.physics.law import law


@law
def charge_kw(
    surplus_kw: float, stored_kwh: float, usable_kwh: float, most_kw: float, per_efficiency: float,
    store_surplus: float, charge_to: float, shared_kw: float, per_hour: float,
) -> tuple[float, float]:  # fmt: skip
    """Power at the battery's terminals [kW]: from the sun's surplus, and from the grid up to the share `charge_to`.

    `surplus_kw` is what the panels could give there; `shared_kw` is what an inverter passes back to it.

    Parameters
    ----------
    surplus_kw
        What the panels could give at the battery beyond the home [kW].
    stored_kwh
        Content before the step [kWh].
    usable_kwh
        Content of the full battery [kWh].
    most_kw
        Most power of the battery [kW].
    per_efficiency
        1 / charging efficiency [-].
    store_surplus
        1 where surplus is stored, else 0.
    charge_to
        Share of the content that the grid fills up to [0 to 1].
    shared_kw
        What a shared inverter passes back to the battery [kW].
    per_hour
        1 / length of the step [1/h].
    """
    room = max(0.0, usable_kwh - stored_kwh) * per_efficiency * per_hour
    wanted = max(0.0, charge_to * usable_kwh - stored_kwh) * per_efficiency * per_hour
    sun = min(most_kw, room, max(store_surplus * surplus_kw, min(wanted, surplus_kw)))
    return sun, min(max(0.0, wanted - sun), most_kw - sun, shared_kw)


@law
def discharge_kw(
    net_kw: float, stored_kwh: float, reserve_kwh: float, most_kw: float, efficiency: float, release: float,
    sell: float, export_limit_kw: float, per_hour: float,
) -> float:  # fmt: skip
    """Power out of the battery [kW]: to cover the home where `release` is 1, to the grid as well where `sell` is 1.

    It never sells more than the connection takes beside the panels: stored energy is not given up.

    Parameters
    ----------
    net_kw
        What the home takes beyond its panels, below 0 where they spill [kW].
    stored_kwh
        Content before the step [kWh].
    reserve_kwh
        Content that is always kept [kWh].
    most_kw
        Most power of the battery [kW].
    efficiency
        Efficiency of discharging [0 to 1].
    release
        1 where the battery may cover the home, else 0.
    sell
        1 where it may sell to the grid, else 0.
    export_limit_kw
        Most power that the connection takes [kW].
    per_hour
        1 / length of the step [1/h].
    """
    held = max(0.0, stored_kwh - reserve_kwh) * efficiency * per_hour
    wanted = max(release * max(0.0, net_kw), sell * max(0.0, net_kw + export_limit_kw))
    return min(most_kw, held, wanted)


@law
def stored_after_kwh(
    stored_kwh: float, charge: float, discharge: float, charge_efficiency: float, per_discharge_efficiency: float,
    usable_kwh: float, hours: float,
) -> float:  # fmt: skip
    """Content after the step [kWh].

    Parameters
    ----------
    stored_kwh
        Content before the step [kWh].
    charge
        Power at the terminals into the battery [kW].
    discharge
        Power at the terminals out of it [kW].
    charge_efficiency
        Energy stored over energy taken [0 to 1].
    per_discharge_efficiency
        1 / discharging efficiency [-].
    usable_kwh
        Content of the full battery [kWh].
    hours
        Length of the step [h].
    """
    after = stored_kwh + (charge * charge_efficiency - discharge * per_discharge_efficiency) * hours
    return max(0.0, min(after, usable_kwh))


@law
def export_and_curtailed_kw(spill_kw: float, limit_kw: float) -> tuple[float, float]:
    """Split what the home can't use into what the connection takes and what the inverter gives up [kW].

    Parameters
    ----------
    spill_kw
        What the home can't use, below 0 where it takes [kW].
    limit_kw
        Most power that the connection takes [kW].
    """
    out = min(max(0.0, spill_kw), limit_kw)
    return out, max(0.0, spill_kw) - out
