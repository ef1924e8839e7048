"""Homes drawn at random, against what must hold whatever a case says; the number of a home makes it again.

Two hundred in every run of the tests, five thousand with ``SIMKIT_FUZZ=25``. Steps of each are recorded alone; variants
of all of them run on lanes.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from invented_homes import invented_home

from fuzz.spoiled import TIMES
from simkit.assemble.home import home_inputs
from simkit.billing.charge import charge_lanes_months
from simkit.case.build import Case, vary
from simkit.case.load import read_case, write_case
from simkit.kernel.run import ManyYears, run_homes
from simkit.year.simulate import simulate
from simkit.year.year import Year

BALANCE_KWH = 1e-6
BATCH = 10
BATCHES = [range(first, first + BATCH) for first in range(0, 200 * TIMES, BATCH)]
BATCH_IDS = [f"{batch[0]}_to_{batch[-1]}" for batch in BATCHES]
MORE_SUN = 1.25


@cache
def drawn(number: int) -> Year:
    """A home's year by itself."""
    case, minutes = invented_home(number)
    return simulate(case, step_minutes=minutes)


@pytest.fixture(scope="module", params=BATCHES, ids=BATCH_IDS)
def years(request: pytest.FixtureRequest) -> dict[int, Year]:
    """Some homes by their number; those before them are forgotten."""
    drawn.cache_clear()
    return {number: drawn(number) for number in request.param}


def test_every_balance_closes(years: dict[int, Year]) -> None:
    for number, found in years.items():
        for what, left in found.balance().items():
            assert abs(left) <= BALANCE_KWH, (number, what, left)
        t = found.run.totals
        assert np.isfinite(found.run.trace).all(), number
        assert min(t) >= -1e-9, (number, t)
        asked = float(found.inputs.series["draw_kw"].sum()) * found.axis.hours
        assert t.tap_water + t.tap_water_unmet == pytest.approx(asked, rel=1e-9), number


def test_nothing_goes_both_ways_in_a_step_and_no_store_leaves_its_bounds(years: dict[int, Year]) -> None:
    for number, found in years.items():
        for one, other in (("import_kw", "export_kw"), ("battery_charge_kw", "battery_discharge_kw")):
            assert not ((found.hourly[one] > 1e-9) & (found.hourly[other] > 1e-9)).any(), (number, one)
        stored = found.hourly["battery_kwh"].to_numpy()
        assert stored.min() >= 0.0, number
        assert stored.max() <= found.inputs.home.usable_kwh + 1e-9, number
        for share in ("cylinder_hot_share", "water_share"):
            assert found.hourly[share].between(0.0, 1.0 + 1e-9).all(), (number, share)


def test_a_bill_is_the_sum_of_its_lines_and_of_its_months(years: dict[int, Year]) -> None:
    for number, found in years.items():
        bill = found.bill
        assert round(100 * bill.total) == sum(round(100 * line.amount) for line in bill.lines), number
        assert round(100 * bill.total) == sum(round(100 * month) for month in bill.months.tolist()), number


def import_dearer(case: Case) -> Case:
    """Every price that import is charged at a tenth up, and half a cent."""
    bands = range(len(case.tariff.band))
    return vary(
        case, {f"tariff.band.{n}.price_per_kwh": case.tariff.band[n].price_per_kwh * 1.1 + 0.005 for n in bands}
    )


def test_dearer_is_never_cheaper(years: dict[int, Year]) -> None:
    """The same year charged at higher prices, so that what a control makes of them plays no part."""
    for number, found in years.items():
        case, flows = found.case, (found.flow("grid_import"), found.flow("grid_export"))
        kwh = [flow[:, None] * found.axis.hours for flow in flows]
        as_it_is, dearer = (
            charge_lanes_months(one.tariff, found.axis, *kwh, country=case.site.country).sum()
            for one in (case, import_dearer(case))
        )
        bought = float(kwh[0].sum())
        assert dearer >= as_it_is + 0.004 * bought - 0.06 * len(found.bill.lines), number


def on_lanes(several: list[Year]) -> ManyYears:
    return run_homes([one.inputs for one in several], several[0].axis.steps, several[0].axis.hours)


def alike(years: dict[int, Year]) -> list[list[Year]]:
    """Homes on the same time axis."""
    groups: dict[object, list[Year]] = {}
    for found in years.values():
        groups.setdefault(found.axis, []).append(found)
    return list(groups.values())


def test_lanes_are_what_each_home_is_alone_in_any_order(years: dict[int, Year]) -> None:
    for several in alike(years):
        together, turned = on_lanes(several), on_lanes(several[::-1])
        for name in ("grid_import", "grid_export"):
            np.testing.assert_array_equal(together.flow(name), turned.flow(name)[:, ::-1])
            alone = np.stack([one.flow(name) for one in several], axis=1)
            np.testing.assert_allclose(together.flow(name), alone, rtol=0, atol=1e-6)
        np.testing.assert_array_equal(np.array(together.totals), np.array(turned.totals)[:, ::-1])
        np.testing.assert_allclose(
            np.array(together.totals).T, [one.run.totals for one in several], rtol=1e-7, atol=1e-5
        )


def test_more_sun_on_the_roof_never_buys_more(years: dict[int, Year]) -> None:
    """Half-hours and hours as they come: panels that give a quarter more, all else as it was."""
    for several in alike(years):
        sunny = [one for one in several if one.inputs.series["solar_kw"].any()]
        if not sunny:
            continue
        more = [
            replace(one.inputs, series=one.inputs.series | {"solar_kw": MORE_SUN * one.inputs.series["solar_kw"]})
            for one in sunny
        ]
        made = run_homes(more, sunny[0].axis.steps, sunny[0].axis.hours)
        for k, one in enumerate(sunny):
            number = next(key for key, held in years.items() if held is one)
            assert made.totals.grid_import[k] <= one.run.totals.grid_import + 1e-6, number
            given = made.totals.grid_export[k] + made.totals.curtailed[k]
            assert given >= one.run.totals.grid_export + one.run.totals.curtailed - 1e-6, number


def test_a_case_varied_to_itself_written_and_read_back_is_the_case(years: dict[int, Year], tmp_path: Path) -> None:
    for number, found in years.items():
        case = found.case
        assert vary(case) == case, number
        assert vary(case, {"controls.design_flow_c": case.controls.design_flow_c}) == case, number
        write_case(case, tmp_path / f"{number}.toml")
        again = read_case(tmp_path / f"{number}.toml")
        assert again == case, number
    same = home_inputs(again, found.setting, found.loss_w_per_k)
    for name, values in found.inputs.series.items():
        np.testing.assert_array_equal(same.series[name], values)
