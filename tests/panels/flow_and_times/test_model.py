"""Settings to try, without their widgets: what they change, what they stand beside, and what they say."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from panels.conftest import SAMPLES, few_lanes, sample
from simkit.answers.setting import BEFORE, THIS
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm
from simkit.year.compare import compare
from simkit.year.simulate import simulate

Made = Callable[..., Trial]


def test_it_begins_with_the_case_and_what_the_case_replaces(trial: Made) -> None:
    found = trial()
    table = found.table()
    assert list(table.index) == [THIS, BEFORE, "Oil boiler, as lived", "Oil boiler, same comfort"]
    assert not any(found.differs(name) for name in found.values)
    years = {year.case.name: year.bill.total for year in compare(sample("estuary_bungalow")).years}
    for name in ("Oil boiler, as lived", "Oil boiler, same comfort"):
        assert table.at[name, "year_cost"] == years[name]
    assert table.at[THIS, "year_cost"] == table.at[BEFORE, "year_cost"] == years["Heat pump, as installed"]


@pytest.mark.parametrize(
    ("settings", "changes"),
    [
        ({"flow_c": 48}, {"controls.design_flow_c": 48.0}),
        ({"night_c": "18,5"}, {"controls.setback_c": 18.5}),
        ({"water_from": "13:30", "water_hours": 3}, {"hot_water.windows": [{"from": "13:30", "to": "16:30"}]}),
        ({"water_from": "22:00", "water_hours": 4}, {"hot_water.windows": [{"from": "22:00", "to": "02:00"}]}),
        ({"water_from": "20:00", "water_hours": 4}, {"hot_water.windows": [{"from": "20:00", "to": "24:00"}]}),
        ({"water_hours": 24}, {"hot_water.windows": [{"from": "00:00", "to": "24:00"}]}),
    ],
)
def test_a_setting_is_the_year_of_the_varied_case(
    trial: Made, settings: dict[str, object], changes: dict[str, object]
) -> None:
    found = trial()
    found.set_all(settings)
    assert not found.problems
    expected = simulate(vary(sample("estuary_bungalow"), changes), step_minutes=found.year.axis.step_minutes)
    assert found.year.bill.total == expected.bill.total
    assert found.effect.costs[THIS] == expected.bill.total
    assert found.differs(next(iter(settings)))


def test_tariffs_are_those_of_the_samples_in_the_currency_of_the_case(trial: Made) -> None:
    found = trial()
    words = [words for _, words in found.fields["tariff"].options]  # type: ignore[union-attr]
    assert "Estuary long night" in words
    assert "Moor night meter" not in words
    found.set("tariff", "Estuary long night")
    assert found.case.tariff.name == "Estuary long night"
    assert found.table().at[BEFORE, "year_cost"] > 0


def test_everything_is_compared_on_one_step() -> None:
    found = Trial(sample("harbour_flat"), SAMPLES.parent)
    found.set("water_from", "12:30")
    steps = {year.axis.step_minutes for year in (found.year, found.beside.case, *found.beside.others)}
    assert len(steps) == 1


def test_the_coldest_days_are_whole_and_the_coldest_in_a_row(trial: Made) -> None:
    found = trial()
    steps, axis = found.beside.cold_steps, found.year.axis
    days = np.unique(axis.day[steps])
    assert len(days) == 4
    assert np.array_equal(days, np.arange(days[0], days[0] + 4))
    assert np.count_nonzero(np.isin(axis.day, days)) == len(steps)
    daily = found.year.hourly["outdoor_c"].groupby(axis.day).mean()
    assert daily.loc[days].mean() == pytest.approx(daily.rolling(4).mean().min())
    shown = found.effect
    room = found.year.hourly["air_c"].to_numpy()[steps]
    assert np.array_equal(shown.room_c, room)


@pytest.mark.parametrize(
    ("name", "given", "sentence"),
    [
        ("flow_c", 80, "80 °C is outside 25 to 62 °C (the heat pump makes no hotter water). Write a number such as 45."),
        ("night_c", "30", "30 °C is outside 14 to 21 °C (18 °C is the least that is safe for health, WHO 2018). Write a number such as 18."),
        ("night_c", "snug", '"snug" is not a number. Write a number such as 18.'),
        ("water_from", "4:10", "04:10 is not a multiple of 30 minutes. Write 04:00 or 04:30."),
        ("water_hours", 0, "0 h is outside 1 to 24 h (24 h: at any time). Write a number such as 4."),
        ("tariff", "free", '"free" is not among the choices. Choose one of: '),
    ],
)  # fmt: skip
def test_what_is_not_allowed_is_told_and_changes_nothing(trial: Made, name: str, given: object, sentence: str) -> None:
    found = trial()
    before, state = found.year, found.state()
    found.set(name, given)
    assert found.problems[name].startswith(sentence)
    assert found.year is before
    assert found.state() == state
    found.reset(name)
    assert name not in found.problems


def test_several_windows_of_the_case_become_one_only_when_moved(trial: Made) -> None:
    found = trial()
    assert found.limits("water_from") == "04:00–07:00 and 13:00–16:00 in your home; moving this makes it one"
    before = found.year.bill.total
    found.set("water_hours", 5)
    assert len(found.case.hot_water.windows) == 1
    found.reset("water_hours")
    assert len(found.case.hot_water.windows) == 2
    assert found.year.bill.total == before
    assert found.limits("flow_c") == "25 to 62 °C (the heat pump makes no hotter water)"
    assert found.limits("tariff") == ""


def test_reset_state_and_listeners(trial: Made) -> None:
    found, told = trial(), []
    found.on_change(lambda: told.append(found.values["flow_c"]))
    found.restore({"flow_c": 47, "night_c": 17, "colour": "blue"})
    state = json.loads(json.dumps(found.state()))
    total = found.year.bill.total
    found.reset()
    assert not any(found.differs(name) for name in found.values)
    found.restore(state)
    assert found.year.bill.total == total
    found.reset("flow_c")
    assert found.differs("night_c")
    assert told == [47.0, 55.0, 47.0, 55.0]
    found.set("flow_c", 55)
    assert len(told) == 4  # nothing moved, nothing is drawn


def test_a_colder_room_is_said_beside_a_smaller_bill(trial: Made) -> None:
    found = trial()
    found.set("flow_c", 40)
    assert found.table().at[THIS, "more_cost"] < 0
    assert found.table().at[THIS, "cool_h"] > found.table().at[BEFORE, "cool_h"]
    assert found.answer().sentences[0].startswith("With this setting the home is too cold: ")
    assert repr(found) == repr(found.answer())


def test_the_table_can_be_copied_as_csv(trial: Made) -> None:
    found = trial()
    found.set("flow_c", 50)
    rows = list(csv.reader(io.StringIO(found.csv())))
    assert rows[0][:2] == ["option", "year_cost"]
    assert float(rows[1][1]) == pytest.approx(found.year.bill.total, abs=0.01)
    assert ["Flow on the coldest day", "50 °C"] in rows


def test_it_follows_a_form_and_keeps_what_was_moved(tmp_path: Path) -> None:
    form = HomeForm(few_lanes("estuary_bungalow"), SAMPLES.parent)
    found = Trial(form)
    found.set("night_c", 18)
    form.set("flow_c", 50)
    assert found.values == found.state()
    assert (found.values["flow_c"], found.values["night_c"]) == (50.0, 18.0)
    assert not found.differs("flow_c")
    assert found.table().at[BEFORE, "year_cost"] == form.comparison.years[0].bill.total
    assert list(found.table().index[2:]) == ["Oil boiler, as lived", "Oil boiler, same comfort"]
    before = found.year
    form.set("flow_c", "warm")  # a faulty form changes nothing here
    assert found.year is before


def test_a_setting_is_written_as_a_case(trial: Made, tmp_path: Path) -> None:
    found = trial()
    found.set("flow_c", 50)
    written = found.write("cooler")
    assert written.path == tmp_path / "cooler.toml"
    assert read_case(written.path).controls.design_flow_c == 50.0
    assert "not overwritten" in found.write("cooler").sentence


def test_a_boiler_alone_is_given_a_machine_to_try() -> None:
    alone = vary(sample("canal_terrace"), {"heat_source": "boiler"})
    found = Trial(alone, SAMPLES.parent)
    assert found.table().at[THIS, "spf_h4"] > 1
