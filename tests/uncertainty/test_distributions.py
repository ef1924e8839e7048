"""Shapes in; samples with their known quantiles, moments and correlations out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from case.stated import made, table
from references import Reference

from simkit.errors import CaseError
from simkit.uncertainty.distributions import Distribution, Shape, usual_distributions, with_own
from simkit.uncertainty.draws import drawn

WHY: dict[str, Any] = {"unit": "", "source": "own", "reason": "a test"}


def one(shape: Shape, centre: float, spread: float, name: str = "x") -> Distribution:
    return Distribution(name, shape, centre, spread, **WHY)


def test_known_quantiles() -> None:
    source, why = "own: closed form of the distribution", "exact"
    ninety = np.array([0.9])
    Reference(1.2815515655446004, "standard normal 90th percentile (tables)", 1e-9, why).check(
        one("normal", 0, 1).at(ninety)[0]
    )
    Reference(np.exp(0.1 * 1.2815515655446004), source, 1e-9, why).check(one("lognormal", 1, 0.1).at(ninety)[0])
    Reference(1.8, source, 1e-9, why).check(one("uniform", 1, 1).at(ninety)[0])
    Reference(2 - np.sqrt(2 * 0.1) * 1, source, 1e-9, why).check(one("triangular", 1, 1).at(ninety)[0])


@pytest.mark.parametrize("shape", ["normal", "lognormal", "uniform", "triangular"])
def test_samples_reproduce_them(shape: Shape) -> None:
    shaped = one(shape, 2.0, 0.3)
    samples = drawn([shaped], 4096)["x"].to_numpy()
    wanted = shaped.at(np.array([0.1, 0.5, 0.9]))
    assert np.quantile(samples, [0.1, 0.5, 0.9]) == pytest.approx(wanted, rel=1e-3)
    assert samples.min() > 0


def test_a_loss_found_from_fuel_has_no_spread() -> None:
    by_fuel = made(table(home={"floor_area_m2": 110.0, "loss": {"fuel_amount": 15_000.0, "fuel_unit": "kWh"}}))
    assert {d.name: d.spread for d in usual_distributions(by_fuel)}["loss"] == 0.0
    assert {d.name: d.spread for d in usual_distributions(made(table()))}["loss"] == 0.15
    assert all(d.source and d.reason for d in usual_distributions(by_fuel))


def test_own_distributions_and_their_faults() -> None:
    usual = usual_distributions(made(table()))
    mine = one("uniform", 1.0, 0.2, "efficiency")
    assert mine in with_own(usual, [mine])
    assert len(with_own(usual, [mine])) == len(usual)
    with pytest.raises(CaseError) as caught:
        with_own(
            usual, [one("normal", 1, 0.1, "eficiency"), one("normal", 1, -0.1, "draws"), one("normal", 1, 0, "zzz")]
        )
    assert str(caught.value).splitlines()[:2] == [
        'distributions: "eficiency" is not an input that is sampled. Perhaps "efficiency" is meant.',
        "distributions: spread = -0.1 of draws is below zero, and a spread can't be. Write 0 for none.",
    ]
    assert 'distributions: "zzz" is not an input that is sampled. Known inputs are: efficiency, ' in str(caught.value)


def test_without_a_spread_every_value_is_the_centre() -> None:
    for shape in ("normal", "lognormal", "uniform", "triangular"):
        assert one(shape, 2.0, 0.0).at(np.array([0.0, 0.3, 1.0])).tolist() == [2.0, 2.0, 2.0]  # type: ignore[arg-type]
