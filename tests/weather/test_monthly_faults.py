"""Figures that contradict each other are answered in a sentence, all at once."""

from __future__ import annotations

import pytest

from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.weather.monthly import synthesise
from weather.climates import MARITIME, site, unchecked

AXIS = TimeAxis("Europe/Dublin", 2025, 60)


def refusal(place=None, **figures) -> str:
    with pytest.raises(CaseError) as caught:
        synthesise(place or site(), unchecked(**figures), AXIS)
    assert caught.value.exit_code == 2
    return str(caught.value)


def with_month(key: str, month: int, value: float) -> dict[str, tuple[float, ...]]:
    values = list(MARITIME[key])
    values[month - 1] = value
    return {key: tuple(values)}


def test_design_cold_that_the_daily_range_alone_undercuts():
    assert refusal(site(design_outdoor_c=4.5)) == (
        "[site] design_outdoor_c = 4.5 is too warm for a coldest month of 5.3 °C: the daily range alone leads below "
        "it. "
        "Give the temperature that is undercut in 0.4 % of the hours, or a smaller daily_range_k."
    )


def test_design_cold_of_another_climate():
    assert refusal(site(design_outdoor_c=-32.0)) == (
        "[site] design_outdoor_c = -32 is too cold for a coldest month of 5.3 °C: its days would have to differ more "
        "than they do in any climate. Give the temperature that is undercut in 0.4 % of the hours of a usual year, not "
        "a record."
    )


def test_means_in_fahrenheit():
    fahrenheit = tuple(32.0 + 1.8 * value for value in MARITIME["mean_c"])
    assert refusal(mean_c=fahrenheit).splitlines()[0] == (
        "[weather] mean_c of July = 60.08 is above 42 °C, warmer than any month anywhere. If the figures are in °F, "
        "write (°F - 32) / 1.8: 15.6."
    )


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        (
            with_month("radiation_kwh_m2", 6, 540.0),
            "[weather] radiation_kwh_m2 of June = 540 is more than 271, which a cloudless month brings at this "
            "latitude. If it is in MJ/m², divide by 3.6: 150.",
        ),
        (
            with_month("radiation_kwh_m2", 6, 2000.0),
            "[weather] radiation_kwh_m2 of June = 2000 is more than 271, which a cloudless month brings at this "
            "latitude. Give the month's sum on the level in kWh/m², or mend latitude_deg.",
        ),
        (
            with_month("radiation_kwh_m2", 6, 5.0),
            "[weather] radiation_kwh_m2 of June = 5 is less than 16.2, which the darkest sky lets through at this "
            "latitude. Give the month's sum (not the mean of a day) on the level in kWh/m², or mend latitude_deg.",
        ),
        (
            {"radiation_kwh_m2": None, "sunshine_hours": (300.0, *(100.0,) * 11)},
            "[weather] sunshine_hours of January = 300 is more than the 244 hours of daylight at this latitude. Give "
            "the hours of bright sunshine of the month, or mend latitude_deg.",
        ),
        (
            {"mean_c": None, "degree_days": (2500.0, *(200.0,) * 11), "degree_day_base_c": 15.5},
            "[weather] degree_days of January = 2500 would need a mean below -50 °C at the base 15.5 °C. If they are "
            "in "
            "°F, divide by 1.8: 1389.",
        ),
        (
            {"humidity": None},
            "[weather] humidity is missing, and monthly figures need it. Give twelve values: humidity = [..].",
        ),
    ],
)
def test_each_contradiction_has_its_sentence(figures, sentence):
    assert refusal(**figures) == sentence


def test_all_faults_at_once():
    lines = refusal(**with_month("mean_c", 7, 44.0), **with_month("radiation_kwh_m2", 2, 540.0)).splitlines()
    assert [line.split(" = ")[0] for line in lines] == [
        "[weather] mean_c of July",
        "[weather] radiation_kwh_m2 of February",
    ]
