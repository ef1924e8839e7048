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


def spreads(**changes: Any) -> dict[str, float]:
    return {d.name: d.spread for d in usual_distributions(made(table("option", "baseline", **changes)))}


def test_an_assumed_boiler_is_known_half_as_well_as_a_stated_one() -> None:
    assert spreads()["boiler"] == 0.04
    assert spreads(boiler={"kind": "non-condensing", "age_years": 20.0})["boiler"] == 0.08
    assert spreads(boiler={})["boiler"] == 0.08
    assert spreads(boiler={}, uncertainty={"boiler_efficiency_sd": 0.05})["boiler"] == 0.05


def test_a_certificate_misses_by_a_third_and_fuel_was_burnt_in_one_winter() -> None:
    told = {"certificate_kwh_m2": 110.0, "certificate_kind": "space heat demand"}
    assert spreads(home={"floor_area_m2": 110.0, "loss": told})["loss"] == 0.35
    by_fuel = spreads(home={"floor_area_m2": 110.0, "loss": {"fuel_amount": 15_000.0, "fuel_unit": "kWh"}})
    assert (by_fuel["fuel_amount"], by_fuel["fuel_winter"]) == (0.05, 0.6)
    assert (spreads()["fuel_amount"], spreads()["fuel_winter"]) == (0.0, 0.0)
    # eight winters of ten lie within 0.8 K of the usual one
    assert 1.2816 * by_fuel["fuel_winter"] == pytest.approx(0.8, abs=0.05)


def test_a_range_of_the_fuel_needs_a_loss_that_is_found_from_it() -> None:
    mine = {"of": "fuel_winter", "shape": "uniform", "low": -1.0, "high": 1.0, "reason": "a mild year"}
    with pytest.raises(CaseError) as caught:
        made(table("option", "baseline", uncertainty={"input": [mine]}))
    assert "the heat loss of this home is not found from fuel" in str(caught.value)
    home = {"floor_area_m2": 110.0, "loss": {"fuel_amount": 15_000.0, "fuel_unit": "kWh"}}
    assert made(table("option", "baseline", home=home, uncertainty={"input": [mine]})).uncertainty.input
