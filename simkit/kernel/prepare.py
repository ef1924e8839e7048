"""Weather series in, series that depend on nothing else out: laws run over an axis in one compiled pass."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

import numpy as np

from simkit.kernel.compiled import compiled
from simkit.physics.boiler import boiler_cheaper
from simkit.physics.emitters import compensated_flow_c, curve_shape, curve_share
from simkit.physics.heat_pump import KNOTS, defrost_factor, worked_flow_c, working_cop
from simkit.physics.records import Home
from simkit.physics.running import between_knots, lift_of, places_at


@cache
def _curve_pass() -> Callable[..., Any]:
    def run_curve(
        outdoor: Any, heating_limit_c: float, design_outdoor_c: float, exponent: float, share: Any, shape: Any
    ) -> None:
        for k in range(len(outdoor)):
            share[k] = curve_share(outdoor[k], heating_limit_c, design_outdoor_c)
            shape[k] = curve_shape(share[k], exponent)

    return compiled(run_curve)


@cache
def _defrost_pass() -> Callable[..., Any]:
    def run_defrost(outdoor: Any, humidity: Any, depth: float, factor: Any) -> None:
        for k in range(len(outdoor)):
            factor[k] = defrost_factor(outdoor[k], humidity[k], depth)

    return compiled(run_defrost)


def curve(
    outdoor_c: np.ndarray, heating_limit_c: float, design_outdoor_c: float, exponent: float
) -> tuple[np.ndarray, np.ndarray]:
    """Share of the design load and shape of the compensated curve, both (steps,) [-]."""
    share, shape = np.empty(len(outdoor_c)), np.empty(len(outdoor_c))
    _curve_pass()(np.ascontiguousarray(outdoor_c), heating_limit_c, design_outdoor_c, exponent, share, shape)
    return share, shape


def defrost(outdoor_c: np.ndarray, humidity: np.ndarray, depth: float) -> np.ndarray:
    """Factor on COP and capacity for frosting, (steps,) [-]."""
    factor = np.empty(len(outdoor_c))
    _defrost_pass()(np.ascontiguousarray(outdoor_c), np.ascontiguousarray(humidity), depth, factor)
    return factor


@cache
def _price_pass() -> Callable[..., Any]:
    def run_price(
        home: Any, efficiency: Any, source: Any, curve: Any, price: Any, heat_price: float, answer: Any
    ) -> None:
        difference = home.water_difference_k
        for k in range(len(price)):
            flow = compensated_flow_c(curve[k, 0], curve[k, 1], curve[k, 2], home.design_excess_k, difference)
            e = efficiency[k]
            worked = worked_flow_c(flow, source[k], home.least_lift_k)
            found = between_knots(places_at(home, worked), e[0], e[1], e[2], e[3], e[4])
            cop = working_cop(found, flow, source[k], lift_of(home), home.efficiency_scale, 1.0)
            answer[k] = boiler_cheaper(price[k], cop, heat_price)

    return compiled(run_price)


def cheaper_by_boiler(
    home: Home, series: Mapping[str, np.ndarray], electricity_price: np.ndarray, boiler_heat_price: float
) -> np.ndarray:
    """Where heat from the boiler costs less than from the heat pump on its curve at full load, (steps,) [0 or 1].

    Prices per kWh: of electricity (steps,), and of heat from the boiler.
    """
    efficiency = np.stack([series[f"efficiency_{k}"] for k in range(KNOTS)], axis=1)
    curve = np.stack([series["curve_share"], series["curve_shape"], series["set_point_c"]], axis=1)
    answer = np.empty(len(electricity_price))
    _price_pass()(
        home, efficiency, series["source_c"], curve, np.ascontiguousarray(electricity_price), boiler_heat_price, answer
    )
    return answer
