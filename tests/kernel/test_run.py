"""Homes as lanes: one lane is sixteen, neighbours and threads change nothing, a year cut in two is the year."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from homes import changed, inputs, piece

from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import LANES
from simkit.kernel.run import ManyYears, run_home, run_homes, run_spans
from simkit.physics.records import Flows, State

pytestmark = pytest.mark.short

STEPS = 72
UNLIKE = (
    {},
    {"controls.flow": "least"},
    {"heat_source": "boiler"},
    {"controls.flow": "fixed"},
    {"heat_source": "hybrid", "hybrid.boiler_below_c": 6.0},
    {"hot_water.coil_area_m2": 0.3, "hot_water.hygiene.every": "day"},
    {"battery.usable_kwh": 6.0, "battery.charge_kw": 3.0, "battery.discharge_kw": 3.0, "battery.fill_below_price": 0.3},
)  # fmt: skip


@cache
def homes() -> tuple[HomeInputs, ...]:
    """Thirty-three homes on different machines, controls and series."""
    found = []
    for i in range(33):
        cut = piece(inputs(changed("estuary_bungalow", UNLIKE[i % len(UNLIKE)])), 240 + 24 * (i % 5), STEPS)
        found.append(replace(cut, home=cut.home._replace(efficiency_scale=0.8 + 0.01 * i)))
    return tuple(found)


def run(several: list[HomeInputs] | tuple[HomeInputs, ...], **more: object) -> ManyYears:
    return run_homes(several, STEPS, 1.0, **{"run_in": False, "threads": 1, **more})  # type: ignore[arg-type]


@cache
def alone(i: int) -> ManyYears:
    return run([homes()[i]])


def same_bits(a: ManyYears, b: ManyYears, at_a: int, at_b: int) -> None:
    np.testing.assert_array_equal(np.array(a.totals)[:, at_a], np.array(b.totals)[:, at_b])
    np.testing.assert_array_equal(np.array(a.after)[:, at_a], np.array(b.after)[:, at_b])
    for name in ("grid_import", "grid_export"):
        np.testing.assert_array_equal(a.flow(name)[:, at_a], b.flow(name)[:, at_b])


@pytest.mark.parametrize("count", range(1, 34))
def test_any_number_of_homes_gives_each_what_it_gets_alone(count: int) -> None:
    """Ragged last blocks and whatever stands beside a home: the same bits."""
    together = run(homes()[:count])
    assert np.shape(together.totals) == (len(Flows._fields), count)
    assert together.flow("grid_import").shape == (STEPS, count)
    for i in range(count):
        same_bits(together, alone(i), i, 0)


def test_order_and_threads_change_no_bit() -> None:
    order = np.random.default_rng(1).permutation(33)
    shuffled = run([homes()[i] for i in order])
    on_two = run(homes(), threads=2)
    for place, i in enumerate(order.tolist()):
        same_bits(shuffled, alone(i), place, 0)
        same_bits(on_two, alone(i), i, 0)


def test_a_broken_neighbour_is_not_caught() -> None:
    """Fifteen lanes full of NaN leave the sixteenth as it was."""
    sick = replace(homes()[0], start=State(*[float("nan")] * len(State._fields)))
    several = [sick] * (LANES - 1) + [homes()[5]]
    same_bits(run(several), alone(5), LANES - 1, 0)


def test_one_lane_is_sixteen_lanes() -> None:
    """The two kernels may multiply and add in one rounding where the other takes two, and no more."""
    for i in range(len(UNLIKE)):
        one = run_home(homes()[i], STEPS, 1.0, run_in=False)
        np.testing.assert_allclose(np.array(alone(i).totals)[:, 0], one.totals, rtol=1e-10, atol=1e-9)
        np.testing.assert_allclose(np.array(alone(i).after)[:, 0], one.after, rtol=1e-10, atol=1e-9)
        imported = alone(i).flow("grid_import")[:, 0]
        np.testing.assert_allclose(imported, one.flow("grid_import"), rtol=0, atol=1e-9)


def test_a_run_in_is_the_same_year_before() -> None:
    once = run_home(homes()[0], STEPS, 1.0, run_in=False)
    again = replace(homes()[0], start=once.after._replace(coldest_room_c=np.inf, peak_import_kw=0.0))
    np.testing.assert_array_equal(
        run_home(again, STEPS, 1.0, run_in=False).trace, run_home(homes()[0], STEPS, 1.0).trace
    )
    with_run_in, without = run([homes()[0]], run_in=True), run([again])
    same_bits(with_run_in, without, 0, 0)


def test_lanes_cut_in_two_are_the_whole() -> None:
    """State handed on from one call to the next: totals add up, end states and steps are the same bits."""
    half = 31
    first = run_homes([piece(h, 0, half) for h in homes()], half, 1.0, run_in=False)
    handed = [State(*row) for row in np.transpose(first.after).tolist()]
    rest = [replace(piece(h, half, STEPS - half), start=state) for h, state in zip(homes(), handed, strict=True)]
    # extremes are of one call; what a later step needs of them is nothing
    second, whole = run_homes(rest, STEPS - half, 1.0, run_in=False), run(homes())
    np.testing.assert_array_equal(
        np.vstack([first.flow("grid_import"), second.flow("grid_import")]), whole.flow("grid_import")
    )
    np.testing.assert_array_equal(np.array(second.after)[:7], np.array(whole.after)[:7])
    np.testing.assert_allclose(np.add(first.totals, second.totals), whole.totals, rtol=1e-13, atol=1e-12)


def test_spans_one_after_the_other_are_the_whole_and_each_is_its_own_run() -> None:
    """The first span is that piece alone, to the bit; all of them add up to the year."""
    spans, whole = run_spans(homes(), np.array([0, 30, 31, STEPS]), 1.0), run(homes())
    first = run_homes([piece(h, 0, 30) for h in homes()], 30, 1.0, run_in=False)
    for name in Flows._fields:
        np.testing.assert_array_equal(getattr(spans, name)[:, 0], getattr(first.totals, name))
        np.testing.assert_allclose(
            getattr(spans, name).sum(axis=1), getattr(whole.totals, name), rtol=1e-12, atol=1e-12
        )


def test_totals_are_the_sums_of_the_steps() -> None:
    one = run_home(homes()[1], STEPS, 0.5, run_in=False)
    np.testing.assert_allclose(one.totals, 0.5 * one.trace[:, : len(Flows._fields)].sum(axis=0), rtol=1e-13)
    assert one.after.peak_import_kw == one.flow("grid_import").max()
    assert one.after.coldest_room_c == one.flow("air_c").min()


def test_years_run_one_by_one_are_put_side_by_side() -> None:
    several = homes()[:3]
    together = run(several)
    by_hand = ManyYears.of([run_home(home, STEPS, 1.0, run_in=False) for home in several], ("grid_import", "fuel"))
    np.testing.assert_allclose(by_hand.totals, together.totals, rtol=1e-10, atol=1e-9)
    np.testing.assert_allclose(by_hand.after, together.after, rtol=1e-10, atol=1e-9)
    np.testing.assert_allclose(by_hand.flow("grid_import"), together.flow("grid_import"), rtol=0, atol=1e-9)
    np.testing.assert_allclose(by_hand.flow("fuel").sum(axis=0), together.totals.fuel, rtol=1e-10, atol=1e-9)


def test_a_flow_of_a_year_is_no_copy() -> None:
    one = run_home(homes()[0], STEPS, 1.0, run_in=False)
    assert np.shares_memory(one.flow("space_heat"), one.trace)
