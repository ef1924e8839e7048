"""Where rising functions take a value: against their inverses, and refused where they bend too far or never do."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.roots import along_lines, narrowed

POWERS = np.array([1.0, 1.03, 0.97, 1.1])  # nearly straight, as fuel over heat loss is
TRIED = np.tile(np.array([40.0, 80.0, 150.0, 300.0]), (4, 1))


def powers(at: np.ndarray) -> np.ndarray:
    return at ** POWERS[: len(at), None]


def test_values_are_found_where_the_inverse_has_them() -> None:
    wanted = np.array([100.0, 90.0, 110.0, 150.0])
    found = along_lines(powers, wanted, TRIED, close=1e-6)
    np.testing.assert_allclose(found, wanted ** (1.0 / POWERS), rtol=1e-8)
    np.testing.assert_array_equal(along_lines(powers, wanted[:2], TRIED[:2], close=1e-6), found[:2])


def test_what_never_takes_the_value_or_has_a_jump_there_is_not_found() -> None:
    wanted = np.array([1e5, 90.0, 1.0, 100.0])

    def jumps(at: np.ndarray) -> np.ndarray:
        found = powers(at)
        found[3] += 40.0 * (at[3] > 50.0)
        return found

    found = along_lines(jumps, wanted, TRIED, close=1e-6)
    assert np.isnan(found).tolist() == [True, False, True, True]


def test_a_bracket_finds_a_bent_function_and_says_what_it_can_reach() -> None:
    at, _ = narrowed(lambda x: np.log(x) ** 3, 20.0, 1.5, 5000.0)
    assert at == pytest.approx(np.exp(20.0 ** (1.0 / 3.0)), rel=1e-6)
    never, reached = narrowed(np.sqrt, 100.0, 1.0, 5000.0)
    assert np.isnan(never)
    assert (reached[0], reached[-1]) == (1.0, pytest.approx(np.sqrt(5000.0)))
