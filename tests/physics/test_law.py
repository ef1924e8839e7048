"""The few helpers that laws are written with."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numba import njit
from numba.core import config

from simkit.physics.law import clamp, exponential_2, logarithm_2, pick, power

pytestmark = pytest.mark.short

CLOSE = 2e-14


@given(st.floats(1e-6, 1e3), st.floats(0.5, 2.0))
def test_power_anywhere(base: float, exponent: float) -> None:
    assert power(base, exponent) == pytest.approx(math.pow(base, exponent), rel=CLOSE, abs=0.0)


def test_logarithm_and_exponential_against_the_c_library() -> None:
    for value in np.geomspace(1e-9, 1e9, 2001).tolist():
        assert logarithm_2(value) == pytest.approx(math.log2(value), rel=1e-14, abs=1e-15)
    for value in np.linspace(-900.0, 900.0, 2001).tolist():
        assert exponential_2(value) == pytest.approx(math.exp2(value), rel=CLOSE, abs=0.0)
    assert exponential_2(-5000.0) == pytest.approx(0.0, abs=1e-300)


@pytest.mark.skipif(config.DISABLE_JIT, reason="nothing is compiled")
def test_power_compiled_is_power_in_python() -> None:
    fast = njit(power, error_model="numpy")
    for base in np.geomspace(1e-6, 1e3, 501).tolist():
        assert fast(base, 1.3) == pytest.approx(power(base, 1.3), rel=1e-15, abs=0.0)


def test_power_of_what_has_none_is_held_near_zero() -> None:
    assert power(0.0, 1.3) == pytest.approx(1e-12**1.3, rel=1e-10, abs=0.0)
    assert power(-5.0, 1.3) == power(0.0, 1.3)


def test_clamp_and_pick() -> None:
    assert [clamp(v, 1.0, 2.0) for v in (0.0, 1.5, 3.0)] == [1.0, 1.5, 2.0]
    assert clamp(5.0, 3.0, 2.0) == 3.0  # the floor wins where they cross
    assert (pick(True, 1.0, 2.0), pick(False, 1.0, 2.0)) == (1.0, 2.0)
