"""What the figures of panels, batteries and schedules draw, and the sentences that say them."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.invented import hourly_frame
from figures.reading import texts
from simkit.errors import CaseError
from simkit.figures.decide.battery_size import battery_size, battery_size_sentence
from simkit.figures.decide.gap import gap_by_month, gap_by_month_sentence
from simkit.figures.year.energy_flows import source_use_sentence, source_use_squares
from simkit.figures.year.two_strips import day_strips
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

DAY = "2026-03-12"


def day_frame() -> pd.DataFrame:
    frame = hourly_frame()
    hour = pd.DatetimeIndex(frame.index).hour
    used = frame["household_kw"] + frame["heat_pump_kw"]
    return frame.assign(
        import_kw=used, battery_charge_kw=np.where(hour < 4, 1.5, 0.0), solar_kw=np.where(abs(hour - 12) < 3, 2.0, 0.0),
        battery_discharge_kw=np.where(hour > 18, 1.0, 0.0),
    )  # fmt: skip


def test_both_strips_share_their_hours() -> None:
    energy, price = day_strips(day_frame(), DAY, zone="Europe/Dublin", notation=IRISH)
    assert energy.get_xlim() == price.get_xlim()
    assert sum(patch.get_gid() == "line" for patch in energy.patches) == 2
    names = {text.get_text() for text in energy.texts if text.get_gid() == "end"}
    assert {"Household", "Heat pump", "Into the battery", "Panels give", "Battery gives"} <= names


def test_a_day_is_named_and_ruled_by_its_wall_hours() -> None:
    energy, price = day_strips(day_frame(), "2026-01-15", zone="Europe/Dublin")
    assert texts(energy, "title") == ["Thursday 15 January 2026"]
    names = [label.get_text() for label in price.get_xticklabels(minor=True)]
    assert names == ["00:00", "03:00", "06:00", "09:00", "12:00", "15:00", "18:00", "21:00", "24:00"]


@pytest.mark.parametrize(("date", "hours"), [("2026-03-29", 23.0), ("2026-10-25", 25.0)])
def test_a_day_on_which_the_clock_changes_is_as_long_as_it_was(date: str, hours: float) -> None:
    energy, _ = day_strips(day_frame(), date, zone="Europe/Dublin")
    assert energy.get_xlim() == (0.0, hours)
    assert energy.get_xticks()[1] == (2.0 if hours == 23 else 4.0)  # 03:00 on the wall


def test_squares_have_the_area_of_their_energy() -> None:
    table = pd.DataFrame(
        {"household": [100.0, 0.0, 400.0], "to the grid": [50.0, 0.0, 0.0]}, index=["panels", "battery", "grid"]
    )
    ax = source_use_squares(table)
    areas = [patch.get_width() * patch.get_height() for patch in ax.patches if patch.get_gid() == "kwh"]
    assert max(areas) / areas[0] == pytest.approx(4.0)
    assert [label.get_text().split("\n")[0] for label in ax.get_yticklabels()] == ["panels", "grid"]
    wide, high = ax.transData.transform((1.0, 1.0)) - ax.transData.transform((0.0, 0.0))
    assert abs(wide) == pytest.approx(abs(high)), "a square is one on paper too"
    assert source_use_sentence(table) == "Panels and battery give 20\u00a0% of the 500 kWh that the home uses."


SIZES = pd.DataFrame({"saving": [100.0, 180.0, 200.0]}, index=pd.Index([2.0, 4.0, 8.0], name="usable_kwh"))


def test_the_knee_is_marked_where_it_is() -> None:
    ax = battery_size(SIZES, knee_kwh=4.0, notation=IRISH, other=SIZES * 0.5)
    marked = next(line for line in ax.lines if line.get_gid() == "knee")
    assert (list(marked.get_xdata()), list(marked.get_ydata())) == ([4.0], [180.0])
    assert ax.get_ylabel() == "Saved a year [€]"
    assert len([line for line in ax.lines if line.get_label() in ("as it is", "with panels")]) == 2
    sentence = battery_size_sentence(SIZES, knee_kwh=4.0, notation=IRISH)
    assert sentence == "A battery of 4 kWh saves €180 a year; one of 8 kWh €200 a year."
    assert battery_size_sentence(SIZES, knee_kwh=0.0) == "No size up to 8 kWh saves anything."


def test_the_gap_stands_over_each_month() -> None:
    plan = np.linspace(100.0, 45.0, 12)
    columns = {"plan": plan, "simulated": plan + 4.0, "best_schedule": plan + 10.0, "today": plan + 25.0}
    months = pd.DataFrame(columns, index=range(1, 13))
    ax = gap_by_month(months, notation=IRISH)
    assert [text.get_text() for text in ax.texts if text.get_gid() == "gap"] == ["10"] * 12
    heights = sorted({round(patch.get_height(), 6) for patch in ax.patches if patch.get_width() == pytest.approx(0.66)})
    assert {10.0, 15.0} <= set(heights)
    ticks = next(lines for lines in ax.collections if lines.get_gid() == "simulated")
    assert [line[0][1] for line in ticks.get_segments()] == pytest.approx(list(plan + 4.0))
    assert gap_by_month_sentence(months, notation=IRISH) == (
        "The best schedule costs €120 a year more than the lowest conceivable plan, 42\u00a0% of it from November to March; "
        "that plan, simulated, saves €72 of it."
    )


def test_a_month_that_earns_begins_below_the_line() -> None:
    plan = np.linspace(40.0, -10.0, 12)
    columns = {"plan": plan, "simulated": plan + 1.0, "best_schedule": plan + 5.0, "today": plan + 6.0}
    ax = gap_by_month(pd.DataFrame(columns, index=range(1, 13)))
    assert any(line.get_gid() == "zero" for line in ax.lines)
    assert ax.get_ylim()[0] < -10.0


def test_what_is_missing_is_said() -> None:
    with pytest.raises(CaseError, match="gap by month"):
        gap_by_month(pd.DataFrame({"plan": [1.0]}))
