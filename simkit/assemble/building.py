"""The home as the user describes it in; heat loss, capacities, couplings and the exact step response out."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.case.case import Case
from simkit.case.home.home import Home as HomeCase
from simkit.physics.building import (
    AIR_AND_FURNISHINGS_J_PER_M2K,
    AIR_KWH_PER_M3K,
    QUICK_LINING_J_PER_M2K,
    THERMAL_MASS,
    Response,
    coupling_kw_per_k,
    fabric_to_outside_kw_per_k,
    most_loss_kw_per_k,
    response,
)
from simkit.physics.constants import J_PER_KWH

OPEN_WINDOW_CHANGES_PER_HOUR = 4.0  # common practice: windows wide open on one side
LEAST_FABRIC_SHARE = 0.02
LEAST_AIR_SHARE = 0.02  # own: glass and what leaks are left lose some heat in any home


@dataclass(frozen=True)
class Shell:
    """The building's constants.

    Attributes
    ----------
    loss_w_per_k
        Steady heat loss [W/K].
    air_side_kw_per_k, fabric_side_kw_per_k, coupling_kw_per_k
        Conductances of the kernel's nodes [kW/K].
    air_kwh_per_k, fabric_kwh_per_k
        Capacities [kWh/K].
    response
        Exact response over one step.
    """

    loss_w_per_k: float
    air_side_kw_per_k: float
    fabric_side_kw_per_k: float
    coupling_kw_per_k: float
    air_kwh_per_k: float
    fabric_kwh_per_k: float
    open_window_kw_per_k: float
    response: Response


def stated_loss_w_per_k(home: HomeCase) -> tuple[float | None, str]:
    """Heat loss per kelvin as stated [W/K], and how; None where a year must find it, from fuel or certificate.

    A design loss is divided by its temperature difference; elements are summed (area × U, bridges, and 1/3·n·V for air
    changes, air at 1.2 kJ/(m³·K)).
    """
    loss = home.loss
    if loss.w_per_k is not None:
        return loss.w_per_k, "stated"
    if loss.design_kw is not None:
        span = float(loss.design_indoor_c or 0.0) - float(loss.design_outdoor_c or 0.0)
        return loss.design_kw * 1000.0 / span, "from the design loss"
    if loss.element is not None:
        fabric = sum(e.area_m2 * e.u_w_per_m2k for e in loss.element) + float(loss.bridge_w_per_k or 0.0)
        return fabric + ventilation_w_per_k(home), "from the elements"
    return None, "from a certificate" if loss.certificate_kwh_m2 is not None else "found from fuel"


def ventilation_w_per_k(home: HomeCase) -> float:
    """Heat that the air changes carry out per kelvin [W/K]."""
    return 1000.0 * AIR_KWH_PER_M3K * float(home.loss.air_changes_per_hour or 0.0) * home.volume_m3


def air_saved_w_per_k(case: Case) -> float:
    """Heat loss that a tighter house and heat recovery take away since the loss was stated [W/K]."""
    saved = case.ventilation.saved_per_hour if case.ventilation is not None else 0.0
    return 1000.0 * AIR_KWH_PER_M3K * saved * case.home.volume_m3


def fans_kw(case: Case) -> float:
    """Electricity of a unit that gives heat back, all year [kW]; 0 where its use is in the household's already."""
    air = case.ventilation
    if air is None or air.recovery is None or air.in_stated_loss:
        return 0.0
    return air.fan_wh_per_m3 * air.fresh_per_hour * case.home.volume_m3 / 1000.0


def air_side_share(home: HomeCase) -> float:
    """Share of the loss by ventilation and glazing [-]: from the elements where they are given, else as stated."""
    if home.loss.element is None:
        return home.air_side_share
    glass = sum(e.area_m2 * e.u_w_per_m2k for e in home.loss.element if e.glazing)
    total, _ = stated_loss_w_per_k(home)
    return min((glass + ventilation_w_per_k(home)) / max(float(total or 0.0), 1e-9), 1.0 - LEAST_FABRIC_SHARE)


def most_loss_w_per_k(home: HomeCase, mass_share: float) -> float:
    """Heat loss above which the laws of the building hold no more [W/K], with this share of heat to the fabric."""
    mass_area, _ = THERMAL_MASS[home.thermal_mass]
    return 1000.0 * most_loss_kw_per_k(
        coupling_kw_per_k(home.floor_area_m2, mass_area), air_side_share(home), mass_share
    )


def shell(
    home: HomeCase, loss_w_per_k: float, mass_share: float, hours: float, air_saved_w_per_k: float = 0.0
) -> Shell:
    """Everything the kernel needs of the building, for a loss per kelvin [W/K] and a step [h].

    `mass_share` is the share of the emitters' heat that goes to the fabric: the stated loss means the steady heat per
    kelvin that these emitters must give. What was saved of the air since [W/K] is off the loss and off its air side.
    """
    mass_area, capacity = THERMAL_MASS[home.thermal_mass]
    coupling = coupling_kw_per_k(home.floor_area_m2, mass_area)
    loss = loss_w_per_k / 1000.0
    saved = air_saved_w_per_k / 1000.0
    air_side = max((loss + saved) * air_side_share(home) - saved, LEAST_AIR_SHARE * loss)
    fabric_side = fabric_to_outside_kw_per_k(loss, air_side, coupling, mass_share)
    air = (AIR_AND_FURNISHINGS_J_PER_M2K + QUICK_LINING_J_PER_M2K) * home.floor_area_m2 / J_PER_KWH
    fabric = (capacity - QUICK_LINING_J_PER_M2K) * home.floor_area_m2 / J_PER_KWH
    return Shell(
        loss_w_per_k, air_side, fabric_side, coupling, air, fabric,
        AIR_KWH_PER_M3K * OPEN_WINDOW_CHANGES_PER_HOUR * home.volume_m3,
        response(air_side, coupling, fabric_side, air, fabric, hours),
    )  # fmt: skip
