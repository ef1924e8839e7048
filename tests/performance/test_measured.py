"""Measured factors put at H4: boundaries, meter errors worked out by hand, and what can't be said."""

from __future__ import annotations

from math import sqrt

import pytest
from references import Reference

from simkit.errors import CaseError
from simkit.performance.boundaries import Performance
from simkit.performance.measured import Measured, heat_meter_error, spf_at_h4

YEAR = Performance(h1=3.6, h2=3.5, h3=3.4, h4=3.15, space_h4=3.4, water_h4=2.4)


def test_heat_meter_error_by_hand() -> None:
    """Class 2 at 5 K with a least difference of 3 K: 2 + (0.5 + 3·3/5) + (0.5 + 3/5) = 5.4 %."""
    reference = Reference(0.054, "own: the sum above", 1e-12, "arithmetic")
    reference.check(heat_meter_error(2, 5.0))
    assert heat_meter_error(3, 5.0) > heat_meter_error(2, 5.0) > heat_meter_error(2, 10.0)


def test_a_meter_error_of_five_per_cent_is_a_fifth_at_four() -> None:
    found = spf_at_h4(Measured("house sub-meter", "heat meter", 12000.0, 3000.0, meter_class=2))
    assert (found.boundary, found.h4) == ("h4", 4.0)
    error = sqrt(0.054**2 + 0.02**2)
    assert found.low == pytest.approx(4.0 * (1 - error))
    assert found.high == pytest.approx(4.0 * (1 + error))
    assert 0.2 < found.high - 4.0 < 0.25
    assert "heat meter of class 2 at 5 K: ± 5.4\u00a0%" in " ".join(found.reasons)


def test_a_unit_meter_is_put_at_h4_by_the_simulated_year() -> None:
    found = spf_at_h4(Measured("unit meter", "heat meter", 10500.0, 3000.0, meter_class=2), YEAR)
    assert found.boundary == "h2"
    assert found.h4 == pytest.approx(3.5 * 3.15 / 3.5)
    assert found.low < found.h4 < found.high
    assert "simulated year (× 0.90)" in " ".join(found.reasons)


def test_without_a_year_common_shares_widen_the_range() -> None:
    reading = Measured("unit meter", "heat meter", 10500.0, 3000.0, meter_class=2)
    alone, helped = spf_at_h4(reading), spf_at_h4(reading, YEAR)
    assert alone.high - alone.low > helped.high - helped.low


def test_a_display_is_an_estimate() -> None:
    found = spf_at_h4(Measured("unit display", "unit display", 12000.0, 3000.0), YEAR)
    assert found.boundary == "h2"
    assert "a unit's display is an estimate, taken as ± 10\u00a0%" in " ".join(found.reasons)


def test_heaters_on_a_circuit_of_their_own_are_put_back() -> None:
    reading = Measured("house sub-meter", "heat meter", 9000.0, 3000.0, meter_class=2, immersion_apart=True)
    found = spf_at_h4(reading, YEAR)
    assert found.h4 == pytest.approx(3.0 * 3.4 / 3.5)
    assert "heaters put back" in " ".join(spf_at_h4(reading).reasons)


def test_unknown_class_and_antifreeze_widen() -> None:
    plain = spf_at_h4(Measured("house sub-meter", "heat meter", 9000.0, 3000.0))
    frost = spf_at_h4(Measured("house sub-meter", "heat meter", 9000.0, 3000.0, glycol=True))
    assert "unknown class, taken as 3" in " ".join(plain.reasons)
    assert "antifreeze adds ± 5\u00a0%" in " ".join(frost.reasons)
    assert frost.high > plain.high


@pytest.mark.parametrize(
    ("reading", "reason"),
    [
        (Measured("house sub-meter", "none", None, 3000.0), "heat was not measured"),
        (Measured("house meter", "heat meter", 9000.0, 5000.0), "a sub-meter on the heating is needed"),
        (Measured("unit meter", "heat meter", 9000.0, None), "electricity was not measured"),
        (Measured("house sub-meter", "heat meter", 900.0, 300.0, days=40.0), "40 days are no season"),
    ],
)
def test_what_cannot_be_said_is_not_said(reading: Measured, reason: str) -> None:
    found = spf_at_h4(reading, YEAR)
    assert (found.h4, found.low, found.high) == (None, None, None)
    assert reason in " ".join(found.reasons)


def test_readings_that_cannot_be() -> None:
    with pytest.raises(CaseError, match=r"heat_kwh = -5 is not above 0. Subtract the first reading from the last."):
        spf_at_h4(Measured("house sub-meter", "heat meter", -5.0, 3000.0))
    with pytest.raises(CaseError, match=r"heat over electricity = 0.33 is outside the 0.8 to 9 .* exchanged"):
        spf_at_h4(Measured("house sub-meter", "heat meter", 1000.0, 3000.0))
