"""Figures that contradict each other are answered in a sentence, all at once."""

from __future__ import annotations

import numpy as np
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


def test_degree_days_under_what_the_mean_needs():
    degree_days = (200.0, 330.0, 300.0, 240.0, 160.0, 90.0, 50.0, 50.0, 90.0, 170.0, 260.0, 320.0)
    assert refusal(degree_days=degree_days, degree_day_base_c=15.5) == (
        "[weather] degree_days of January = 200 is less than 316, which a mean of 5.3 °C needs at the base 15.5 °C "
        "(31 days times base less mean). Leave out the one of the two that is not from this place, or mend the base."
    )


def test_means_and_degree_days_that_agree_are_taken():
    degree_days = (320.0, 290.0, 275.0, 225.0, 160.0, 90.0, 50.0, 50.0, 90.0, 170.0, 250.0, 310.0)
    given = unchecked(degree_days=degree_days, degree_day_base_c=15.5)
    made = synthesise(site(), given, AXIS).frame["outdoor_c"].to_numpy()
    means = np.bincount(AXIS.month, weights=made)[1:] / np.bincount(AXIS.month)[1:]
    assert means == pytest.approx(given.mean_c, abs=0.06)


def test_design_cold_above_the_coldest_mean():
    assert refusal(site(design_outdoor_c=6.0)) == (
        "[site] design_outdoor_c = 6 is not below 5.3 °C, the mean of January, yet 99.6 % of the hours should be "
        "warmer. "
        "Give the temperature that is undercut in 0.4 % of the hours, usually 5 to 15 K below that mean."
    )


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
            with_month("daily_range_k", 3, -7.2),
            "[weather] daily_range_k of March = -7.2 is negative, and highest less lowest can't be. Give the warmest "
            "less the coldest hour of a usual day: 7.2.",
        ),
        (
            with_month("daily_range_k", 3, 36.0),
            "[weather] daily_range_k of March = 36 is above 30 K, wider than days swing anywhere. If it is in °F, "
            "divide by 1.8: 20.0.",
        ),
        (
            with_month("humidity", 12, 88.0),
            "[weather] humidity of December = 88 is outside 0 to 1. It is a share, not per cent: write 0.88.",
        ),
        (
            with_month("humidity", 12, -0.1),
            "[weather] humidity of December = -0.1 is outside 0 to 1. Write 0.8 for 80 %.",
        ),
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
            {"radiation_kwh_m2": None, "sunshine_hours": (-1.0, *(100.0,) * 11)},
            "[weather] sunshine_hours of January = -1 is negative. Write 0 for a month without sunshine.",
        ),
        (
            {"mean_c": None, "degree_days": (300.0,) * 12, "degree_day_base_c": 60.0},
            "[weather] degree_day_base_c = 60 is outside 5 to 25 °C, where bases lie. If it is in °F, write 15.6.",
        ),
        (
            {"mean_c": None, "degree_days": (300.0,) * 12, "degree_day_base_c": 2.0},
            "[weather] degree_day_base_c = 2 is outside 5 to 25 °C, where bases lie. Write the base of the table.",
        ),
        (
            {"mean_c": None, "degree_days": (-3.0, *(200.0,) * 11), "degree_day_base_c": 15.5},
            "[weather] degree_days of January = -3 is negative, and a sum of shortfalls can't be. Write 0 for a month "
            "without any.",
        ),
        (
            {"mean_c": None, "degree_days": (2500.0, *(200.0,) * 11), "degree_day_base_c": 15.5},
            "[weather] degree_days of January = 2500 would need a mean below -50 °C at the base 15.5 °C. If they are "
            "in "
            "°F, divide by 1.8: 1389.",
        ),
        (
            {"mean_c": None},
            "[weather] mean_c and degree_days are both missing, and nothing else says how cold the months are. Give "
            "the "
            "twelve mean temperatures of a usual year.",
        ),
        (
            {"humidity": None},
            "[weather] humidity is missing, and monthly figures need it. Give twelve values: humidity = [..].",
        ),
        (
            {"daily_range_k": (7.0,) * 11},
            "[weather] daily_range_k has 11 values and not one for each month. Give twelve values.",
        ),
    ],
)
def test_each_contradiction_has_its_sentence(figures, sentence):
    assert refusal(**figures) == sentence


def test_all_faults_at_once():
    lines = refusal(
        site(design_outdoor_c=9.0), **with_month("humidity", 1, 87.0), **with_month("daily_range_k", 2, -1.0)
    ).splitlines()
    assert [line.split(" = ")[0] for line in lines] == [
        "[site] design_outdoor_c",
        "[weather] humidity of January",
        "[weather] daily_range_k of February",
    ]
