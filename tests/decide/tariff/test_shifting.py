"""What may be moved: hours of hot water, pre-heating, the car; and what must stay."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed, setting
from tariffs import band, tariff

from simkit.assemble.series import home_series
from simkit.case.build import vary
from simkit.decide.schedule.rule import Window, day_of_periods
from simkit.decide.tariff.shifting import NOT_AT_ALL, Shifting, moves_of, raised_day

NIGHT = tariff(band("Night", 0.15, "23:00", "08:00"), band("Day", 0.36, "08:00", "23:00"))
HOME = changed("estuary_bungalow", {"tariff": NIGHT})


def test_the_first_move_is_none() -> None:
    first = moves_of(HOME, setting(HOME), Shifting())[0]
    assert (first.words, first.changes, first.series) == ((), {}, {})


def test_nothing_is_moved_that_is_not_allowed() -> None:
    assert len(moves_of(HOME, setting(HOME), NOT_AT_ALL)) == 1
    water = moves_of(HOME, setting(HOME), Shifting(preheat_k=0.0))
    assert {key for move in water for key in move.changes} == {"hot_water.windows"}
    rooms = moves_of(HOME, setting(HOME), Shifting(water=False))
    assert {key for move in rooms for key in move.changes} == {"controls.periods", "controls.setback_c", "as_operated"}


def test_a_price_that_only_changes_with_the_season_gives_nothing_to_shift_to() -> None:
    seasons = tariff(
        band("Winter", 0.36, "00:00", "24:00", months=(1, 2, 3, 10, 11, 12)),
        band("Summer", 0.20, "00:00", "24:00", months=(4, 5, 6, 7, 8, 9)),
    )
    home = changed("estuary_bungalow", {"tariff": seasons})
    assert len(moves_of(home, setting(home), Shifting())) == 1


def test_a_boiler_and_a_floor_whose_heat_is_left_out_are_left_alone() -> None:
    boiler = changed("estuary_bungalow", {"tariff": NIGHT, "heat_source": "boiler"})
    assert len(moves_of(boiler, setting(boiler), Shifting())) == 1
    screed = changed("estuary_bungalow", {"tariff": NIGHT, "emitters.kind": "underfloor"})
    left_out = changed("estuary_bungalow", {"tariff": NIGHT, "emitters.kind": "underfloor", "emitters.stores": False})
    for case, moved in ((screed, True), (left_out, False)):
        words = [" ".join(move.words) for move in moves_of(case, setting(case), Shifting())]
        assert any("warmer" in one for one in words) == moved


def test_what_vary_is_told_gives_the_very_series_that_were_tried() -> None:
    around = setting(HOME)
    for move in moves_of(HOME, around, Shifting())[1:]:
        series = home_series(vary(HOME, move.changes), around)
        for name, values in move.series.items():
            assert np.allclose(series[name], values), (move.words, name)


def test_rooms_are_never_made_cooler() -> None:
    around = setting(HOME)
    now = home_series(HOME, around)["set_point_c"]
    for move in moves_of(HOME, around, Shifting()):
        assert (move.series.get("set_point_c", now) >= now - 1e-9).all()


def test_the_hygiene_cycle_stays_where_it_is() -> None:
    around = setting(HOME)
    now = home_series(HOME, around)["water_forced"]
    for move in moves_of(HOME, around, Shifting()):
        assert np.array_equal(move.series.get("water_forced", now), now)


def test_own_set_points_by_kind_of_day() -> None:
    home = changed("estuary_bungalow", {"controls.periods": [
        {"from": "06:00", "to": "22:00", "c": 21.0, "days": "workdays"},
        {"from": "08:00", "to": "23:00", "c": 20.5, "days": "weekend"},
    ]})  # fmt: skip
    day = day_of_periods(home.controls.periods, home.controls.setback_c, 60)
    assert day.shape == (2, 24)
    assert list(day[0, [5, 6, 21, 22]]) == [home.controls.setback_c, 21.0, 21.0, home.controls.setback_c]
    assert list(day[1, [7, 8, 22, 23]]) == [home.controls.setback_c, 20.5, 20.5, home.controls.setback_c]


@pytest.mark.parametrize("start", [4 * 60, 23 * 60])
def test_a_raised_stretch_lies_over_the_warmest_of_its_day(start: int) -> None:
    day = np.array([[18.0] * 6 + [21.0] * 18, [18.0] * 8 + [20.0] * 16])
    raised = raised_day(day, Window(start, 180), 1.0)
    hours = (start // 60 + np.arange(3)) % 24
    assert (raised[0, hours] == 22.0).all()
    assert (raised[1, hours] == 21.0).all()
    others = np.setdiff1d(np.arange(24), hours)
    assert np.array_equal(raised[:, others], day[:, others])
