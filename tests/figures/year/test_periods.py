"""The strips of a cold week show the frame's own numbers, with units, names and the right clock."""

from __future__ import annotations

import numpy as np

from figures.invented import hourly_frame
from figures.reading import assert_legible, drawn, line, steps, texts
from simkit.figures.selecting import coldest_week, in_zone
from simkit.figures.year.periods import cold_week, cold_week_sentence
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

ZONE = "Europe/Dublin"
HOURLY = hourly_frame()
WEEK = coldest_week(in_zone(HOURLY, ZONE))


def test_each_strip_of_the_cold_week_carries_its_unit() -> None:
    axes = cold_week(HOURLY, zone=ZONE, notation=IRISH)
    assert [ax.get_ylabel() for ax in axes] == [
        "Temperature [°C]",
        "Heat [kW]",
        "Electricity by use [kW]",
        "Import price [€/kWh]",
    ]
    assert axes[-1].get_xlabel() == "Wall time, Europe/Dublin"
    for ax in axes:
        assert_legible(ax)


def test_the_cold_week_shows_the_numbers_of_the_frame() -> None:
    warm, heat, use, price = cold_week(HOURLY, zone=ZONE)
    np.testing.assert_array_equal(line(warm, "Outdoor"), WEEK["outdoor_c"])
    np.testing.assert_array_equal(line(warm, "Room"), WEEK["air_c"])
    np.testing.assert_array_equal(steps(warm, "Needed").values, WEEK["needed_c"])
    np.testing.assert_array_equal(steps(heat, "Heat-pump capacity").values, WEEK["capacity_kw"])
    top = steps(heat, "By direct heaters")
    np.testing.assert_allclose(top.values, WEEK["space_heat_kw"] + WEEK["hot_water_kw"])
    np.testing.assert_allclose(top.values - top.baseline, WEEK["backup_heater_kw"])
    np.testing.assert_allclose(steps(use, "Pumps, standby").values, WEEK["import_kw"])
    np.testing.assert_array_equal(steps(price, "Bought").values, WEEK["import_price_per_kwh"])
    edges = steps(use, "Household").edges
    assert (edges[0], edges[-1], len(edges)) == (0.0, 168.0, 169)


def test_strips_are_aligned_and_days_are_named() -> None:
    axes = cold_week(HOURLY, zone=ZONE)
    assert {ax.get_xlim() for ax in axes} == {(0.0, 168.0)}
    for ax in axes:
        assert list(ax.get_xticks()) == list(range(0, 168, 24))
    names = [label.get_text() for label in axes[-1].get_xticklabels(minor=True)]
    assert names[0] == f"{WEEK.index[0]:%a} {WEEK.index[0].day} {WEEK.index[0]:%b}"
    assert len(names) == 7
    assert list(axes[-1].get_xticks(minor=True)) == list(range(12, 168, 24))


def test_what_is_nothing_but_zero_or_absent_is_left_out() -> None:
    plain = HOURLY[["outdoor_c", "air_c", "household_kw"]].assign(car_kw=0.0)
    axes = cold_week(plain, zone=ZONE)
    assert [ax.get_ylabel() for ax in axes] == ["Temperature [°C]", "Electricity by use [kW]"]
    assert drawn(axes[0]) == ["Room", "Outdoor"]
    assert drawn(axes[1]) == ["Household"]
    assert texts(axes[1], "end") == ["Household"]


def test_solar_and_export_price_are_lines() -> None:
    frame = HOURLY.assign(solar_kw=0.5, export_price_per_kwh=-0.02)
    axes = cold_week(frame, zone=ZONE)
    assert set(steps(axes[2], "Solar").values) == {0.5}
    assert texts(axes[3], "end") == ["Bought", "Sent out"]
    assert axes[3].get_ylim()[0] < -0.02


def test_lines_of_one_strip_differ_without_their_colour() -> None:
    warm = cold_week(HOURLY, zone=ZONE)[0]
    looks = [(artist.get_linestyle(), artist.get_linewidth()) for artist in warm.lines[:2]]
    looks += [(patch.get_linestyle(), patch.get_linewidth()) for patch in warm.patches if patch.get_label() == "Needed"]
    assert len(set(looks)) == 3


def test_a_figure_is_used_again() -> None:
    first = cold_week(HOURLY, zone=ZONE)
    again = cold_week(HOURLY.drop(columns="import_price_per_kwh"), zone=ZONE, figure=first[0].figure)
    assert again[0].figure is first[0].figure
    assert first[0].figure.axes == again
    assert len(again) == 3


def test_the_sentence_of_the_week() -> None:
    text = cold_week_sentence(HOURLY, zone=ZONE)
    short = (WEEK["needed_c"] - WEEK["air_c"]).max()
    assert text.startswith("In the coldest week, 31 January to 6 February, it was 1.2 °C outdoors on average")
    assert f"the rooms were at most {short:.1f} K colder than needed" in text
    assert f"the heat pump worked at up to {100 * WEEK['load_ratio'].max():.0f}\u00a0% of its capacity" in text
    assert text.endswith(f"and direct heaters used {WEEK['backup_heater_kw'].sum():.1f} kWh.")


def test_sentences_say_only_what_the_frame_knows() -> None:
    week = "In the coldest week, 31 January to 6 February, it was 1.2 °C outdoors on average"
    low = WEEK["air_c"].min()
    assert cold_week_sentence(HOURLY[["outdoor_c", "air_c"]], zone=ZONE) == f"{week}, the rooms fell to {low:.1f} °C."
    warm = HOURLY.assign(air_c=25.0, backup_heater_kw=0.0)[["outdoor_c", "air_c", "needed_c", "backup_heater_kw"]]
    assert cold_week_sentence(warm, zone=ZONE) == (
        f"{week}, the rooms were always as warm as needed and no direct heater ran."
    )
