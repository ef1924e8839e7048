"""Files as an engineer tried them: columns beside others that speak of them, and units that hide in a letter."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from meter.reading.test_layouts import DAYS, HOURS, _read, _told
from simkit.answers.meter.readings import readings_answer

pytestmark = pytest.mark.short


@pytest.mark.parametrize("names", [("Laagtarief", "Normaaltarief"), ("HT", "NT"), ("Heures creuses", "Heures pleines")])
def test_day_and_night_counters_as_rows_read_once_a_day(tmp_path: Path, names: tuple[str, str]) -> None:
    counters = [(names[0], 4123.4, 3.0), (names[1], 6034.1, 7.5)]
    rows = [
        f"871687120051234567;{name};{day:%d-%m-%Y};{first + k * more:.3f}".replace(".", ",")
        for k, day in enumerate(DAYS[:60])
        for name, first, more in counters
    ]
    found = _read(tmp_path, "Aansluiting;Register;Datum;Stand (kWh)", *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(59 * 10.5)}
    assert found.report.is_good
    assert not found.questions


def test_a_number_a_day_beside_its_intervals_is_named_and_says_nothing_of_them(tmp_path: Path) -> None:
    hours = ",".join(f"{k:02d}:00" for k in range(24))
    rows = [
        f"6102345678,{day:%d/%m/%Y},{0.3 + 0.1 * (k % 9):.2f},{','.join(['0.5'] * 24)}" for k, day in enumerate(DAYS)
    ]
    found = _read(tmp_path, f"Meter point,Date,Gas m3,{hours}", *rows)
    assert found.quantities == ("import_kwh",)
    assert found.report.totals_kwh["import_kwh"] == pytest.approx(0.5 * 8760, rel=0.001)
    assert found.layout is not None
    assert found.layout.left == (("Gas m3", "one number a day beside its intervals"),)
    said = readings_answer(found).sentences
    assert 'Not read: column "Gas m3" (one number a day beside its intervals).' in said


def test_a_column_of_units_speaks_of_its_own_column_and_fahrenheit_is_read_by_one_letter(tmp_path: Path) -> None:
    rows = [
        f"{t:%m/%d/%Y},{t:%I:%M %p},{t + pd.Timedelta(minutes=59):%I:%M %p},0.5{k % 7},kWh,{28 + k % 12},0.15{k % 5}"
        for k, t in enumerate(HOURS)
    ]
    found = _read(tmp_path, "Usage Date,Start,End,Usage,Units,Outdoor F,Gas", *rows, zone="America/Chicago")
    assert found.frame["outdoor_c"].mean() == pytest.approx((33.5 - 32.0) / 1.8, abs=0.1)
    assert [question.key for question in found.questions] == ["unit"]
    assert 'unit of "Gas"' in str(found.questions[0])
    assert found.layout is not None
    assert found.layout.label == "start"


def test_temperatures_that_no_winter_has_are_asked_after(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},0.5{k % 7},{26 + k % 6}" for k, t in enumerate(HOURS)]
    _told(_read(tmp_path, "time,import kWh,Outdoor", *rows), "is it in °F?")
    hot = _read(
        tmp_path, "time,import kWh,Room", *(row.rpartition(",")[0] + f",{66 + k % 5}" for k, row in enumerate(rows))
    )
    assert hot.frame["room_c"].mean() == pytest.approx(20.0, abs=0.1)


def test_a_unit_that_changes_within_a_day_is_told(tmp_path: Path) -> None:
    rows = [
        f"{t:%Y-%m-%d %H:%M},{(0.3 + 0.1 * (k % 5)) * (1000.0 if k < 15 * 24 + 2 else 1.0):.3f}"
        for k, t in enumerate(HOURS)
    ]
    _told(_read(tmp_path, "time,import", *rows, mapping={"unit": "Wh"}), "Wh and kWh are mixed in one column")


def _hourly(head: str, *values: float) -> list[str]:
    return [head, *(f"{hour:%Y-%m-%d %H:%M},{','.join(map(str, values))}" for hour in HOURS[:480])]


@pytest.mark.parametrize("head", ["Household (kWh)", "Haushalt kWh", "kitchen_kwh", "Wallbox [kWh]"])
def test_what_may_be_a_part_of_the_home_is_asked_of(tmp_path: Path, head: str) -> None:
    found = _read(tmp_path, *_hourly(f"time,{head}", 0.3))
    (asked,) = found.questions
    assert asked.confidence <= 0.5
    assert f'Answer with --say "import_kwh={head}"' in str(asked) or f"--say import_kwh={head}" in str(asked)
    assert not _read(
        tmp_path, *_hourly(f"time,{head}", 0.3), mapping={"columns": {"import_kwh": {"column": head}}}
    ).questions


def test_people_beside_a_heat_pump_may_together_be_the_home(tmp_path: Path) -> None:
    lines = _hourly("time,Household (kWh),Heat pump (kWh)", 0.3, 0.5)
    (asked,) = _read(tmp_path, *lines).questions
    both = asked.choices[0][0]
    assert both == "Household (kWh)+Heat pump (kWh)"
    said = {"import_kwh": {"column": both.split("+")}, "heat_pump_kwh": {"column": "Heat pump (kWh)"}}
    found = _read(tmp_path, *lines, mapping={"columns": said})
    assert found.report.totals_kwh == {
        "import_kwh": pytest.approx(480 * 0.8), "heat_pump_kwh": pytest.approx(480 * 0.5)
    }  # fmt: skip


def test_a_circuit_beside_the_whole_home_is_left_aside(tmp_path: Path) -> None:
    found = _read(tmp_path, *_hourly("time,Import (kWh),Kitchen (kWh)", 0.8, 0.1))
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(480 * 0.8)}
    assert found.layout is not None
    assert found.layout.left == (("Kitchen (kWh)", "a part of the home"),)
    assert not found.questions


@pytest.mark.parametrize(("names", "asks"), [(("Päiväsähkö", "Yösähkö"), True), (("1.8.1", "1.8.2"), False)])
def test_registers_in_rows_whose_names_say_nothing_are_asked_of(
    tmp_path: Path, names: tuple[str, str], asks: bool
) -> None:
    counters = [(names[0], 4123.4, 3.0), (names[1], 6034.1, 7.5)]
    rows = [
        f"{day:%d-%m-%Y};{name};{first + k * more:.3f}"
        for k, day in enumerate(DAYS[:60])
        for name, first, more in counters
    ]
    found = _read(tmp_path, "Date;Register;kWh", *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(59 * 10.5)}
    assert [guess.what for guess in found.questions] == (["columns of import_kwh"] if asks else [])
    both = _read(tmp_path, "Date;Register;kWh", *rows, mapping={"columns": {"import_kwh": {"column": list(names)}}})
    assert both.report.totals_kwh == found.report.totals_kwh
    assert not both.questions
    sold = {"import_kwh": {"column": names[0]}, "export_kwh": {"column": names[1]}}
    parted = _read(tmp_path, "Date;Register;kWh", *rows, mapping={"columns": sold})
    assert parted.report.totals_kwh == {"import_kwh": pytest.approx(59 * 3.0), "export_kwh": pytest.approx(59 * 7.5)}


def test_energy_that_no_word_explains_is_asked_of_and_an_answer_leaves_the_rest(tmp_path: Path) -> None:
    """A column of power beside the heat pump's: perhaps the home's; said or denied, the others stay as they were taken."""
    lines = _hourly("time,Main [W],Heat pump [W],Outside °C", 800.0, 500.0, 5.0)
    (asked,) = _read(tmp_path, *lines).questions
    assert [answer for answer, _, _ in asked.choices] == ["Main [W]", "none"]
    for answer, kwh in (("Main [W]", {"import_kwh": 480 * 0.8}), ("none", {})):
        said = {"columns": {"import_kwh": {"column": [answer]}}, "others": "guessed"}
        found = _read(tmp_path, *lines, mapping=said)
        assert not found.questions
        assert found.report.totals_kwh == pytest.approx({**kwh, "heat_pump_kwh": 480 * 0.5})
        assert "outdoor_c" in found.quantities


def test_an_amount_beside_a_column_of_energy_units_is_no_money(tmp_path: Path) -> None:
    rows = [f'"{day:%d %b %Y}","28.66","kWh"' for day in DAYS[:60]]
    found = _read(tmp_path, '"Read date","Amount","Unit"', *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(60 * 28.66)}


def test_a_counter_and_a_thermometer_that_take_turns_in_many_rows(tmp_path: Path) -> None:
    rows = [
        line
        for k, hour in enumerate(HOURS)
        for line in (
            f"main_meter_energy,{4000 + 0.5 * k:.1f},{hour:%Y-%m-%dT%H:%M}Z",
            f"room_temperature,20.5,{hour:%Y-%m-%dT%H:%M}Z",
        )
    ]
    found = _read(tmp_path, "name,state,changed", *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(0.5 * (len(HOURS) - 1))}
    assert found.frame["room_c"].mean() == pytest.approx(20.5)


def test_columns_without_heads_ask_one_question_and_are_named_by_their_number(tmp_path: Path) -> None:
    rows = [f"{day:%d/%m/%Y},{20 + k % 7}.5,{8 + k % 5}.2" for k, day in enumerate(DAYS[:60])]
    found = _read(tmp_path, *rows)
    (question,) = found.questions
    assert str(question).endswith('--say "import_kwh=column 2" or --say "import_kwh=column 3"')
    assert not any(said.startswith("Please confirm") for said in readings_answer(found).sentences)
    named = {"columns": {"import_kwh": {"column": ["column 2"]}}, "others": "guessed"}
    told = _read(tmp_path, *rows, mapping=named)
    assert not told.questions
    assert told.report.totals_kwh["import_kwh"] == pytest.approx(sum(20.5 + k % 7 for k in range(60)))
    assert told.layout is not None
    assert told.layout.left == (("column 3", "another one was named for import_kwh"),)


def test_a_heat_meter_in_gigajoules(tmp_path: Path) -> None:
    """Own: 0.36 GJ are 100 kWh."""
    rows = [f"{day:%d-%m-%Y};{412.5 + 0.36 * k:.4f}".replace(".", ",") for k, day in enumerate(DAYS[:40])]
    found = _read(tmp_path, "Tidspunkt;Varmemængde (GJ)", *rows)
    assert found.report.totals_kwh == {"heat_kwh": pytest.approx(3900.0)}
    assert not found.questions


def test_a_midnight_behind_the_rows_of_its_date_ends_it(tmp_path: Path) -> None:
    """Own: hours that end at one to midnight of their date, as clocks of twelve hours write them."""
    ends = [(day, hour) for day in DAYS[:30] for hour in range(1, 25)]
    rows = [
        f"{day:%m/%d/%Y},{(hour - 1) % 12 + 1}:00 {'AM' if hour < 12 or hour == 24 else 'PM'},{hour / 10:.1f}"
        for day, hour in ends
    ]
    found = _read(tmp_path, "Date,Hour ending,kWh", *rows, zone="America/Chicago")
    first = found.frame["import_kwh"].tz_convert("America/Chicago")
    assert first.index[0] == pd.Timestamp(DAYS[0].date(), tz="America/Chicago")
    assert first.iloc[:24].tolist() == pytest.approx([hour / 10 for hour in range(1, 25)])
    assert len(first) == len(rows)
