"""The day as a strip: stretches of one price by the wall clock, on a tariff whose meter keeps UTC."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from matplotlib.colors import to_hex

from figures.reading import assert_legible, texts
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.figures.style import CHEAP_TO_DEAR, luminance
from simkit.figures.tariff.clockface import clock_strip, clock_strip_sentence

AXIS = TimeAxis("Europe/London", 2026, 30)
NIGHT = AXIS.window("00:30", "04:30", clock="utc") > 0
PRICE = np.where(NIGHT, 0.12, np.where(AXIS.window("16:00", "19:00", weekdays=range(5)) > 0, 0.385, 0.265))


def test_winter_and_summer_show_the_night_an_hour_apart() -> None:
    winter, summer = clock_strip(PRICE, AXIS, currency="GBP")
    assert (winter.get_ylabel(), summer.get_ylabel()) == ("Wednesday 21 January", "Wednesday 15 July")
    assert [label.get_text() for label in winter.get_xticklabels()] == ["00:30", "04:30", "16:00", "19:00", "24:00"]
    assert "01:30" in [label.get_text() for label in summer.get_xticklabels()]
    assert texts(winter, "price") == ["0.12", "0.265", "0.385", "0.265"]
    assert texts(winter, "note") == ["Import price [GBP/kWh], wall time in Europe/London"]
    assert_legible(winter)


def test_stretches_cover_the_day_and_the_dearest_is_the_darkest() -> None:
    (ax,) = clock_strip(PRICE, AXIS, dates=["2026-01-21"])
    bars = [bar for container in ax.containers for bar in container]
    assert [(bar.get_x(), bar.get_width()) for bar in bars] == [(0, 30), (30, 240), (270, 690), (960, 180), (1140, 300)]
    lights = [luminance(to_hex(bar.get_facecolor())) for bar in bars]
    assert (np.argmax(lights), np.argmin(lights)) == (1, 3)
    assert to_hex(bars[3].get_facecolor()) == CHEAP_TO_DEAR[-1]


def test_many_prices_fall_back_to_a_plain_scale() -> None:
    ramp = 0.1 + 0.2 * np.sin(np.arange(AXIS.steps)) ** 2
    (ax,) = clock_strip(ramp, AXIS, dates=[dt.date(2026, 5, 6)])
    assert len(ax.get_xticks()) == 9


def test_sentences() -> None:
    assert clock_strip_sentence(PRICE, AXIS, "2026-07-15", currency="GBP") == (
        "On Wednesday 15 July a kWh costs least, 0.120 GBP, from 01:30 to 05:30 "
        "and most, 0.385 GBP, from 16:00 to 19:00."
    )
    assert clock_strip_sentence(np.full(AXIS.steps, 0.3), AXIS, "2026-07-15") == (
        "On Wednesday 15 July a kWh costs 0.300 all day."
    )


@pytest.mark.parametrize("date", ["2026-03-29", "2026-10-25"])
def test_days_on_which_the_clock_changes(date: str) -> None:
    (ax,) = clock_strip(PRICE, AXIS, dates=[date])
    assert ax.get_xlim() == (0, 1440)


def test_a_date_of_another_year() -> None:
    with pytest.raises(CaseError) as caught:
        clock_strip(PRICE, AXIS, dates=["2025-01-01"])
    assert str(caught.value) == "date: 2025-01-01 is not a date of 2026. Choose a date of the year that was run."
