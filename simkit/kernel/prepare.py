"""Weather series in, series that depend on nothing else out: laws run over an axis in one compiled pass."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np

from simkit.kernel.compiled import compiled
from simkit.physics.emitters import curve_shape, curve_share
from simkit.physics.heat_pump import defrost_factor


@cache
def _curve_pass() -> Callable[..., Any]:
    def run_curve(outdoor: Any, no_heat_c: float, design_outdoor_c: float, exponent: float, share: Any, shape: Any) -> None:
        for k in range(len(outdoor)):
            share[k] = curve_share(outdoor[k], no_heat_c, design_outdoor_c)
            shape[k] = curve_shape(share[k], exponent)

    return compiled(run_curve)


@cache
def _defrost_pass() -> Callable[..., Any]:
    def run_defrost(outdoor: Any, humidity: Any, depth: float, factor: Any) -> None:
        for k in range(len(outdoor)):
            factor[k] = defrost_factor(outdoor[k], humidity[k], depth)

    return compiled(run_defrost)


def curve(
    outdoor_c: np.ndarray, no_heat_c: float, design_outdoor_c: float, exponent: float
) -> tuple[np.ndarray, np.ndarray]:
    """Share of the design load and shape of the compensated curve, both (steps,) [-]."""
    share, shape = np.empty(len(outdoor_c)), np.empty(len(outdoor_c))
    _curve_pass()(np.ascontiguousarray(outdoor_c), no_heat_c, design_outdoor_c, exponent, share, shape)
    return share, shape


def defrost(outdoor_c: np.ndarray, humidity: np.ndarray, depth: float) -> np.ndarray:
    """Factor on COP and capacity for frosting, (steps,) [-]."""
    factor = np.empty(len(outdoor_c))
    _defrost_pass()(np.ascontiguousarray(outdoor_c), np.ascontiguousarray(humidity), depth, factor)
    return factor
