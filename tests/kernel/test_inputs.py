"""The gate: what is missing, too short or not finite does not pass, and a shared series is packed once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from homes import changed, inputs, piece

from simkit.kernel.inputs import HomeInputs, pack, pack_one
from simkit.kernel.kernel import LANES
from simkit.physics.records import Home, Now, State

pytestmark = pytest.mark.short

STEPS = 24


def home(**series: object) -> HomeInputs:
    return piece(inputs(changed("canal_terrace")), 240, STEPS, **series)


def test_wrong_series_are_refused_by_name() -> None:
    short = home(draw_kw=np.zeros(STEPS - 1))
    with pytest.raises(ValueError, match=r"series draw_kw has shape \(23,\), the time axis has 24 steps"):
        pack([short], STEPS)
    for hole in (np.nan, np.inf):
        values = np.zeros(STEPS)
        values[3] = hole
        with pytest.raises(ValueError, match="series outdoor_c holds values that are not finite"):
            pack_one(home(outdoor_c=values), STEPS)
    lacking = home()
    lacking.series.pop("car_kw")
    with pytest.raises(KeyError, match="car_kw"):
        pack([lacking], STEPS)


def test_every_lane_reads_its_own_series_and_constants() -> None:
    base = home()
    many = [
        replace(
            base, series={**base.series, "set_point_c": np.full(STEPS, 18.0 + i)}, home=base.home._replace(rated_kw=i)
        )
        for i in range(LANES + 3)
    ]
    packed = pack(many, STEPS)
    for c, name in enumerate(Now._fields):
        assert len(set(packed.rows[c].tolist())) == (LANES + 3 if name == "set_point_c" else 1), name
        for i, one in enumerate(many):
            np.testing.assert_array_equal(packed.table[packed.rows[c, i]], one.series[name])
    assert packed.constants[Home._fields.index("rated_kw")].tolist() == list(range(LANES + 3))
    assert packed.state.shape == (len(State._fields), LANES + 3)


def test_homes_that_share_their_series_stand_together() -> None:
    """Two winters, homes of each in turn: those of one first, each in the order in which it came."""
    one = home()
    other = replace(one, series={**one.series, "outdoor_c": one.series["outdoor_c"] - 1.0})
    assert pack([one, other] * 3, STEPS).order.tolist() == [0, 2, 4, 1, 3, 5]


def test_series_are_copied_to_one_order_and_kind() -> None:
    """A read-only column of a frame in another order and of whole numbers passes the gate as floats."""
    base = home()
    grid = np.asfortranarray(np.arange(2 * STEPS).reshape(STEPS, 2))
    grid.setflags(write=False)
    table = pack_one(replace(base, series={**base.series, "household_kw": grid[:, 1]}), STEPS)
    at = Now._fields.index("household_kw") * STEPS
    np.testing.assert_array_equal(table[at : at + STEPS], grid[:, 1].astype(float))
    assert table.dtype == np.float64
