"""Reference climates: what is found and what is remembered, and what lies between."""

from __future__ import annotations

import numpy as np

from simkit.performance.en14825_climates import FOUND, OFF_HOURS, OUTLETS, outlet_c


def test_only_the_corroborated_outlet_temperature_is_called_found() -> None:
    sure = [(name, app, t, w) for (name, app), known in OUTLETS.items() for t, w, status in known if status == FOUND]
    assert sure == [("average", 55, -7.0, 52.0)]


def test_crankcase_hours_are_the_sum_of_the_others() -> None:
    """A heating-only unit keeps its crankcase warm whenever the compressor stands outside the active hours."""
    for off, standby, crankcase, switched in OFF_HOURS.values():
        assert crankcase == off + standby + switched


def test_outlet_between_and_past_the_tabulated_conditions() -> None:
    # between 2 °C (42) and 7 °C (36): 4.5 °C gives 39; past 12 °C the last slope of −6/5 goes on: 15 °C gives 26.4
    found = outlet_c("average", 55, np.array([-10.0, 4.5, 12.0, 15.0]))
    np.testing.assert_allclose(found, [55.0, 39.0, 30.0, 26.4])
