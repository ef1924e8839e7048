"""Weather series in, series that depend on nothing else out: laws run over an axis in one compiled pass."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from simkit.kernel.compiled import in_one_pass
from simkit.physics.emitters import compensated_flow_c, curve_shape, curve_share
from simkit.physics.heat_pump import KNOTS, defrost_factor, worked_flow_c, working_cop
from simkit.physics.records import Home
from simkit.physics.running import between_knots, boiler_cheaper, lift_of, places_at


@in_one_pass
def curve(
    outdoor_c: np.ndarray, heating_limit_c: float, design_outdoor_c: float, exponent: float
) -> tuple[np.ndarray, np.ndarray]:
    """Share of the design load and shape of the compensated curve, both (steps,) [-]."""
    share, shape = np.empty(len(outdoor_c)), np.empty(len(outdoor_c))
    for k in range(len(outdoor_c)):
        share[k] = curve_share(outdoor_c[k], heating_limit_c, design_outdoor_c)
        shape[k] = curve_shape(share[k], exponent)
    return share, shape


@in_one_pass
def defrost(outdoor_c: np.ndarray, humidity: np.ndarray, depth: float) -> np.ndarray:
    """Factor on COP and capacity for frosting, (steps,) [-]."""
    factor = np.empty(len(outdoor_c))
    for k in range(len(outdoor_c)):
        factor[k] = defrost_factor(outdoor_c[k], humidity[k], depth)
    return factor


def cheaper_by_boiler(
    home: Home, series: Mapping[str, np.ndarray], electricity_price: np.ndarray, boiler_heat_price: float
) -> np.ndarray:
    """Where heat from the boiler costs less than from the heat pump on its curve at full load, (steps,) [0 or 1].

    Prices per kWh: of electricity (steps,), and of heat from the boiler.
    """
    efficiency = np.stack([series[f"efficiency_{k}"] for k in range(KNOTS)], axis=1)
    curve = np.stack([series["curve_share"], series["curve_shape"], series["set_point_c"]], axis=1)
    return _cheaper_by_boiler(home, efficiency, series["source_c"], curve, electricity_price, boiler_heat_price)


@in_one_pass
def _cheaper_by_boiler(home: Any, efficiency: Any, source: Any, curve: Any, price: Any, heat_price: float) -> Any:
    answer = np.empty(len(price))
    difference = home.water_difference_k
    for k in range(len(price)):
        flow = compensated_flow_c(curve[k, 0], curve[k, 1], curve[k, 2], home.design_excess_k, difference)
        e = efficiency[k]
        worked = worked_flow_c(flow, source[k], home.least_lift_k)
        found = between_knots(places_at(home, worked), e[0], e[1], e[2], e[3], e[4])
        cop = working_cop(found, flow, source[k], lift_of(home), home.efficiency_scale, 1.0)
        answer[k] = boiler_cheaper(price[k], cop, heat_price)
    return answer
