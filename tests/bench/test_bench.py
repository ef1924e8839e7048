"""The bench still measures what it says, on a few steps; what it finds is not judged here."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import numpy as np
import pytest
from homes import changed, inputs, piece

sys.path.insert(0, str(Path(__file__).parent))

from over_homes import laws_over_homes
from run import TINY, measured, table_of

from simkit.physics.records import Now
from simkit.physics.step import step


def test_every_measurement_runs_and_is_a_number() -> None:
    rows = measured(TINY)
    assert len(rows) == 5
    for row in rows:
        assert math.isfinite(row.value)
        assert row.value > 0.0
    table = table_of(rows)
    assert table.startswith("| what | measured | promised |")
    assert "at least 400 times" in table


@pytest.mark.parametrize("flow", ["compensated", "least"])
def test_laws_over_homes_are_the_laws(flow: str) -> None:
    """What the kernel is timed against does the same: two homes at once, step for step."""
    laws = laws_over_homes()
    pair = [piece(inputs(changed("estuary_bungalow", {"controls.flow": flow, "hot_water.coil_area_m2": m2})), 300, 48) for m2 in (0.4, 2.0)]  # fmt: skip
    state = laws["State"](*(np.array(values) for values in zip(*(home.start for home in pair), strict=True)))
    homes = laws["Home"](*(np.array(values) for values in zip(*(home.home for home in pair), strict=True)))
    alone = [home.start for home in pair]
    for k in range(48):
        now = [Now(*(float(home.series[name][k]) for name in Now._fields)) for home in pair]
        state, flows, _ = laws["step"](homes, state, laws["Now"](*map(np.array, zip(*now, strict=True))), 1.0)
        for i, home in enumerate(pair):
            alone[i], expected, _ = step(home.home, alone[i], now[i], 1.0)
            np.testing.assert_allclose([values[i] for values in np.broadcast_arrays(*flows)], expected, atol=1e-9)
