"""Simulated years charged: of one home or of many, what each one's own bill says."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from simkit.billing.charge import charge, charge_fuel
from simkit.billing.cost import cost_of
from simkit.case.build import Case
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.clock import TimeAxis
from simkit.kernel.run import HomeYear, ManyYears
from simkit.physics.records import Flows, Levels, State

pytestmark = pytest.mark.short

GRID = ("grid_import", "grid_export")


@cache
def case() -> Case:
    """A home with a gas hob."""
    return read_case(sample_file("canal_terrace", Path(__file__).parents[2]))


@cache
def axis() -> TimeAxis:
    return TimeAxis(case().site.zone, case().site.year, 60)


@cache
def years() -> tuple[HomeYear, ...]:
    """Years of any import and export, and of fuel burnt evenly: none in the first."""
    rng, found = np.random.default_rng(3), []
    nowhere = State(*[0.0] * len(State._fields))
    for k in range(3):
        trace = np.zeros((axis().steps, len(Flows._fields) + len(Levels._fields)))
        for name, values in zip(GRID, rng.gamma(0.5, 1.0, (2, axis().steps)), strict=True):
            trace[:, Flows._fields.index(name)] = values
        trace[:, Flows._fields.index("fuel")] = 0.7 * k
        totals = Flows(*trace[:, : len(Flows._fields)].sum(axis=0).tolist())
        found.append(HomeYear(trace, totals, nowhere, nowhere))
    return tuple(found)


def test_electricity_is_the_bill_to_the_cent_and_fuel_is_as_near_as_its_rounding() -> None:
    for one in years():
        bill = charge(case().tariff, axis(), one.flow("grid_import"), one.flow("grid_export"), country="GB")
        fuel = charge_fuel(case().fuel, axis(), one.flow("fuel"), currency=bill.currency, keeps_supply=False)
        cost = cost_of(case(), axis(), one)
        assert cost.electricity[0] == bill.total
        assert list(cost.electricity_months[:, 0]) == list(bill.months)
        assert cost.total[0] - bill.total == pytest.approx(fuel.total, abs=0.005 * 12 * len(fuel.lines))
        assert cost.fuel_kwh[0] == pytest.approx(one.totals.fuel + 350.0)


def test_many_homes_cost_what_each_costs_alone() -> None:
    together = ManyYears.of(years(), GRID)
    apart = [cost_of(case(), axis(), one) for one in years()]
    many, middle = cost_of(case(), axis(), together), cost_of(case(), axis(), together, homes=slice(1, 2))
    for name in ("electricity", "electricity_months", "fuel", "fuel_standing", "fuel_kwh", "total"):
        one_by_one = [getattr(cost, name) for cost in apart]
        np.testing.assert_array_equal(getattr(many, name), np.concatenate(one_by_one, axis=-1))
        np.testing.assert_array_equal(getattr(middle, name), one_by_one[1])
