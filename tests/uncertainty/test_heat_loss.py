"""Sampled boilers, set-points and draws in; losses that burn the stated fuel in each of them out."""

from __future__ import annotations

import numpy as np
from homes import SAMPLES
from references import Reference

from simkit.assemble.heat_loss import burnt_home, fuel_burnt, loss_w_per_k, stated_fuel_kwh
from simkit.assemble.home import Adjustment
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.heat_loss import EXACT_ROWS, sampled_losses


def fuelled() -> Case:
    return vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), {"uncertainty.lanes": 32})


def test_what_was_burnt_stays_burnt_in_every_sample() -> None:
    """Where the loss came from fuel, each sampled home with its own loss burns that fuel, to the kWh."""
    case = fuelled()
    losses, adjustments = sampled_losses(case, draws_of(case))
    burnt = fuel_burnt(burnt_home(case), losses, adjustments)
    wanted = stated_fuel_kwh(case)
    for found in burnt:
        Reference(wanted, "own: the fuel that was stated", 1e-6 * wanted, "fuel is inverse to efficiency").check(
            float(found)
        )
    assert all(a.loss == 1.0 for a in adjustments)
    assert np.ptp(losses) > 0.1 * loss_w_per_k(case)  # a better boiler means a leakier home
    efficiency = np.array([a.boiler for a in adjustments])
    assert np.corrcoef(efficiency, losses)[0, 1] > 0.3  # what was held at home decides as much


def test_what_the_search_leaves_to_the_boiler_is_small() -> None:
    case = fuelled()
    draws = draws_of(case)
    _, adjustments = sampled_losses(case, draws)
    laid_on = np.array([a.boiler for a in adjustments]) / draws["boiler"].to_numpy() - 1.0
    assert np.abs(laid_on).max() < 0.003


def test_the_losses_of_many_rows_are_laid_through_those_of_the_first() -> None:
    """The first rows of many are those of few, and what is laid between them burns the fuel within half a per cent."""
    case = fuelled()
    count = EXACT_ROWS + 32
    many, adjustments = sampled_losses(case, draws_of(case, count))
    few, same = sampled_losses(case, draws_of(case))
    np.testing.assert_array_equal(many[:32], few)
    assert adjustments[:32] == same
    rest = [Adjustment(boiler=a.boiler, set_point_k=a.set_point_k, draws=a.draws) for a in adjustments[EXACT_ROWS:]]
    burnt = fuel_burnt(burnt_home(case), many[EXACT_ROWS:], rest) / stated_fuel_kwh(case)
    assert np.abs(burnt - 1.0).max() < 0.005


def test_a_stated_loss_is_not_searched() -> None:
    case = vary(fuelled(), {"home.loss.w_per_k": 180.0})
    losses, adjustments = sampled_losses(case, draws_of(case))
    assert set(losses) == {180.0}
    assert np.std([a.loss for a in adjustments]) > 0.1
