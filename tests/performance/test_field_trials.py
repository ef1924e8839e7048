"""Our own bands by flow temperature, beside field results as published."""

from __future__ import annotations

import pytest
from references import Reference

from simkit.performance.field_trials import WHY_THEY_DIFFER, field_band
from simkit.validation.published import published

SOURCE, ROWS = published("spf_field_trials")


@pytest.mark.parametrize(
    ("flow", "low", "high"), [(35.0, 3.2, 4.4), (40.0, 3.0, 4.2), (55.0, 2.2, 3.0), (65.0, 2.2, 3.0)]
)
def test_bands_at_their_own_flows(flow: float, low: float, high: float) -> None:
    band = field_band(flow)
    Reference(low, "own band", 1e-12, "stated value").check(band.low)
    Reference(high, "own band", 1e-12, "stated value").check(band.high)
    assert band.source == "own"


def test_between_its_flows_a_band_runs_straight() -> None:
    band = field_band(47.5)  # halfway from 40 to 55: (3.0 + 2.2)/2 and (4.2 + 3.0)/2
    assert (band.low, band.high) == pytest.approx((2.6, 3.6))


def test_reasons_name_boundary_flow_and_meters() -> None:
    assert [reason.split(":")[0] for reason in WHY_THEY_DIFFER][:2] == ["boundary", "flow temperature"]


def test_the_bands_together_hold_the_middle_of_every_trial_of_air_machines() -> None:
    found = [row for row in ROWS if row["heat_source"] == "air" and row["status"].startswith("FOUND")]
    middles = [float(row["value"]) for row in found if row["statistic"] in ("mean", "median", "average")]
    assert len(middles) > 3
    assert field_band(55.0).low <= min(middles) <= max(middles) <= field_band(35.0).high, SOURCE
