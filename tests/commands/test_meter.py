"""`simkit read`, `fit`, `project` and `account`, as an owner would: a file in, one page out, next month appended."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask
from simkit.commands.meter_files import bills_of
from simkit.errors import CaseError


@pytest.fixture
def readings(bungalow: Path) -> Path:
    return bungalow.parent / "readings.csv"


def test_read_shows_rows_guesses_and_a_report(ask: Ask, readings: Path, tmp_path: Path) -> None:
    found = ask("read", readings, "--zone", "Europe/Dublin", "--save", tmp_path / "map.toml")
    assert found.code == 0
    assert "What was read, and can it be used?" in found.out.splitlines()[0]
    assert "25.0 days in steps of 30 minutes: 820 kWh by the electricity meter" in found.out
    assert "only commas stand in" in found.out
    assert "1,200 rows, 1,200 readings" in found.out
    assert "Please confirm" not in found.out
    assert "reads the same on" in found.out  # a winter in Dublin doesn't tell the clocks apart
    told = json.loads(
        ask("read", readings, "--zone", "Europe/Dublin", "--mapping", tmp_path / "map.toml", "--json").out
    )
    assert told["usable_as_is"] is True
    held = (tmp_path / "map.toml").read_bytes()
    again = ask("read", readings, "--zone", "Europe/Dublin", "--save", tmp_path / "map.toml")
    assert (again.code, again.out) == (2, "")
    assert (
        "is there already, and nothing that may have been changed by hand is overwritten. Choose a new name,"
        in again.faults[0]
    )
    assert (tmp_path / "map.toml").read_bytes() == held
    assert told["quantities"] == ["import_kwh", "outdoor_c"]


def test_read_asks_what_is_too_unsure_and_takes_the_answer(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    file, kept = tmp_path / "two.csv", tmp_path / "two.toml"
    rows = "".join(f"2025-01-{1 + h // 24:02d} {h % 24:02d}:00,0.{h % 7},0.{h % 5}\n" for h in range(480))
    file.write_text(f"start,upstairs kWh,downstairs kWh\n{rows}")
    asked = ask("read", file, "--zone", "Europe/Dublin")
    assert asked.code == 3
    said = " ".join(asked.out.split())
    assert "but one thing must be answered before they are used" in said
    assert "columns of import_kwh: the sum of them (60 %) or upstairs kWh alone (20 %)" in said
    assert '--say "import_kwh=downstairs kWh"' in said
    told = json.loads(ask("read", file, "--zone", "Europe/Dublin", "--json").out)
    assert told["questions"] == [["import_kwh", "upstairs kWh+downstairs kWh", "upstairs kWh", "downstairs kWh"]]
    assert not told["usable_as_is"]
    refused = ask("fit", bungalow, file)
    assert (refused.code, refused.out) == (3, "")
    assert "is only 60 % sure, too little to build on. Answer it with simkit read two.csv" in refused.faults[0]
    answer = "import_kwh=downstairs kWh"
    found = ask("read", file, "--zone", "Europe/Dublin", "--say", answer, "--save", kept)
    assert found.code == 0
    assert ask("read", file, "--zone", "Europe/Dublin", "--mapping", kept).code == 0
    wrong = ask("read", file, "--zone", "Europe/Dublin", "--say", "clock=noon")
    assert wrong.code == 2
    assert 'Write "local", "utc" or what it is ahead of UTC, as "+01:00"' in wrong.faults[0]
    assert ask("read", file, "--zone", "Europe/Dublin", "--say", "clock").code == 2


def test_read_refuses_in_one_line(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text("a;b\n1;2\n")
    found = ask("read", tmp_path / "x.csv", "--zone", "Europe/Dublin")
    assert (found.code, found.out) == (3, "")
    assert found.faults[0].startswith(
        "x.csv: the file holds no row with a date and a number beside it; nothing was read."
    )


def test_fit_tells_the_home_and_writes_a_case(ask: Ask, bungalow: Path, readings: Path, tmp_path: Path) -> None:
    target = bungalow.parent / "fitted.toml"
    found = ask("fit", bungalow, readings, "--draws", "1280", "--write", target, "--json")
    assert found.code == 0
    told = json.loads(found.out)
    assert list(told["unknowns"]) == [
        "loss_w_per_k", "held_k", "efficiency", "cold", "base_kwh", "steady_kwh", "gains", "windows", "mass", "draws",
    ]  # fmt: skip
    held = told["held_out"]["import_kwh"]
    assert 0 < held["inside"] <= held["days"] == 25
    assert abs(told["metrics"]["import_kwh"]["nmbe"]) < 0.05
    assert [row["signature"] for row in told["tables"]["signature"]]
    assert "% off on a typical day" in told["signature"][0]
    assert ask("check", target).code == 0
    unsaid = "Fitted too, and in no key of a case file, so that a year simulated from it leaves them out:"
    assert unsaid in found.err
    assert unsaid in target.read_text(encoding="utf-8")
    assert "heat that flows whatever the weather (" in target.read_text(encoding="utf-8")
    again = ask("fit", bungalow, readings, "--write", target)
    assert again.code == 2
    assert "is there already, and nothing that may have been changed by hand is overwritten" in again.faults[0]


def test_fit_takes_a_folder_of_homes_and_says_in_a_line_what_it_can_not_read(
    ask: Ask, bungalow: Path, readings: Path, tmp_path: Path
) -> None:
    folder = bungalow.parent / "street"
    folder.mkdir()
    (folder / "a.csv").write_bytes(readings.read_bytes())
    (folder / "b.csv").write_bytes(readings.read_bytes())
    text = bungalow.read_text(encoding="utf-8").replace("fuel_amount = 1850.0", "fuel_amount = 3700.0")
    (folder / "b.toml").write_text(text.replace("../tariffs", "../../tariffs"), encoding="utf-8")
    (folder / "c.csv").write_text("a;b\n1;2\n")
    page = tmp_path / "street.html"
    found = ask("fit", bungalow, folder, "--draws", "640", "--json", "--page", page)
    assert found.code == 0
    told = json.loads(found.out)
    assert list(told["homes"]) == ["a.csv", "b.csv"]
    assert told["homes"]["b.csv"]["described"] > 1.5 * told["homes"]["a.csv"]["described"]
    assert told["refused"]["c.csv"].startswith("c.csv: the file holds no row with a date and a number beside it")
    assert "c.csv: the file holds no row" in page.read_text(encoding="utf-8")
    refused = ask("fit", bungalow, folder, "--write", tmp_path / "one.toml")
    assert refused.code == 2
    assert "--write is of one home, and a folder holds several" in refused.faults[0]
    (tmp_path / "empty").mkdir()
    assert "holds no file of readings" in ask("fit", bungalow, tmp_path / "empty").faults[0]


def test_project_is_one_page(ask: Ask, bungalow: Path, readings: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    found = ask("project", bungalow, readings, "--draws", "1280", "--page", page)
    assert found.code == 0
    for words in (
        "A year will cost about",
        "The home loses about",
        "Heat loss ",
        "What to measure next",
        "WHO Housing",
    ):
        assert words in found.out
    text = page.read_text(encoding="utf-8")
    assert text.count("data:image/svg+xml;base64,") == 3
    assert "://" not in text  # the letters alone can stand in a picture written as base64


def test_account_is_begun_and_next_month_appended_by_one_command(
    ask: Ask, bungalow: Path, readings: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "account"
    assert ask("account", folder, "--start", bungalow, "--add", readings).code == 0
    found = ask("account", folder, "--add", readings.with_name("readings_next.csv"), "--json")
    assert found.code == 0
    told = json.loads(found.out)
    assert told["months"]["month"] == ["2025-01", "2025-02", "2025-03"]
    assert sum(told["months"]["days"]) == 58
    assert [len(told["causes"][part]["use_kwh"]) for part in ("months", "days")] == [3, 58]
    corrected = readings.with_name("corrected.csv")
    lines = readings.with_name("readings_next.csv").read_text().splitlines()
    stamp, _, outdoor = lines[20].split(";")
    corrected.write_text("\n".join([*lines[:20], f"{stamp};7,5;{outdoor}", *lines[21:]]) + "\n")
    put_right = ask("account", folder, "--add", corrected)
    assert put_right.code == 0
    assert "1 reading of the electricity meter replaced" in put_right.err
    assert "the old ones are kept in readings.csv" in put_right.err
    dated = ask("account", folder, "--fuel-price", "2025-02-01=1,95", "--json")
    assert dated.code == 0
    assert sum(json.loads(dated.out)["months"]["old_cost"]) > 1.1 * sum(told["months"]["old_cost"])
    wrong = ask("account", folder, "--fuel-price", "spring=1,95")
    assert (wrong.code, wrong.faults[0]) == (
        2, "--fuel-price: spring=1,95 is not a day and what holds from it on. Write for example 2026-03-01=1.25.",
    )  # fmt: skip
    no_price = ask("account", folder, "--fuel-price", "2025-02-01=dear")
    assert "--fuel-price: dear is no price of a unit of fuel" in no_price.faults[0]
    no_file = ask("account", folder, "--tariff", "2025-02-01=nowhere.toml")
    assert (no_file.code, no_file.out) == (2, "")
    assert "nowhere.toml" in no_file.faults[0]
    twice = ask("account", folder, "--add", readings.with_name("readings_next.csv"))
    assert twice.code == 3
    assert "are in the account already; nothing was appended" in twice.faults[0]
    assert "The old fuel would have cost €" in " ".join(ask("account", folder).out.split())


def test_a_bill_is_a_month_and_an_amount() -> None:
    assert bills_of(["2026-01=412,5"]) == {"2026-01": 412.5}
    with pytest.raises(CaseError) as refused:
        bills_of(["January=3"])
    assert str(refused.value) == "--bill: January=3 is not a month and an amount. Write for example 2026-01=412.5."


def _night(folder: Path, loss: float, *, columns: str = "time,room °C,outdoor °C", hours: float = 10.0) -> Path:
    """A logger's file of one night: one node cooling by the closed form T = Te + (T0 − Te)·exp(−t/τ), no gains."""
    import numpy as np
    from meter.homes import flagship

    from simkit.meter.account.cooldown import time_constant_h

    tau = time_constant_h(flagship(), loss)
    rows = []
    for k in range(round(hours * 12) + 1):
        stamp = f"2025-01-{20 + (21 * 60 + 5 * k) // 1440:02d} {(21 * 60 + 5 * k) // 60 % 24:02d}:{5 * k % 60:02d}"
        room = 1.0 + (21.0 - 1.0) * np.exp(-k / 12.0 / tau)
        rows.append(f"{stamp},{room:.3f},1.0"[: None if "outdoor" in columns else -4])
    path = folder / "night.csv"
    path.write_text("\n".join([columns, *rows]) + "\n", encoding="utf-8")
    return path


def test_a_logged_night_gives_time_constant_and_loss(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    from meter.homes import flagship

    from simkit.meter.account.cooldown import time_constant_h

    told = json.loads(ask("cooldown", bungalow, _night(tmp_path, 220.0), "--gain-w", "0", "--json").out)
    assert told["time_constant_h"][1] == pytest.approx(time_constant_h(flagship(), 220.0), rel=0.01)
    assert told["loss_w_per_k"][1] == pytest.approx(220.0, rel=0.02)
    assert told["loss_w_per_k"][0] < 220.0 < told["loss_w_per_k"][2]
    shown = ask(
        "cooldown", bungalow, tmp_path / "night.csv", "--from", "2025-01-20 21:30", "--until", "2025-01-21 06:30"
    )
    assert shown.code == 0
    assert "a time constant of" in shown.out
    assert "let no room fall under 18 °C" in " ".join(shown.out.split())
    assert "WHO Housing and Health Guidelines 2018" in " ".join(shown.out.split())


def test_a_night_that_says_too_little_is_refused_in_one_line(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    short = ask("cooldown", bungalow, _night(tmp_path, 220.0, hours=5.0))
    assert (short.code, short.out) == (3, "")
    assert "say too little: after the first 2 hours, 5 hours and 0.5 K are needed" in short.faults[0]
    alone = ask("cooldown", bungalow, _night(tmp_path, 220.0, columns="time,room °C"))
    assert alone.code == 3
    assert alone.faults[0].startswith("cool-down night: no outdoor temperature is in the files, and both are needed.")
    long = ask("cooldown", bungalow, _night(tmp_path, 220.0, hours=40.0))
    assert long.code == 3
    assert "40 hours are more than one night of 30 hours" in long.faults[0]
    when = ask("cooldown", bungalow, tmp_path / "night.csv", "--from", "yesterday evening")
    assert (when.code, when.faults[0]) == (
        2, "--from yesterday evening is no local time. Write for example 2026-01-20 22:00.",
    )  # fmt: skip


def test_a_year_of_readings_is_fitted_to_degree_days_typed_in(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    """Weather of an invented home is known by its monthly degree-days alone; own: truth inside the 98 % range."""
    import numpy as np
    import pandas as pd
    from meter.invented import invent

    from simkit.case.load import read_case

    made = invent(read_case(bungalow), 11, "2025-01-01", "2025-12-31")
    frame = made.readings.frame
    rows = pd.DataFrame(
        {
            "start": frame.index.strftime("%Y-%m-%dT%H:%M:%SZ"),
            "end": pd.DatetimeIndex(frame["end"]).strftime("%Y-%m-%dT%H:%M:%SZ"),
            "import_kwh": frame["import_kwh"].round(4),
        }
    )
    path = tmp_path / "year.csv"
    rows.to_csv(path, index=False)
    outdoor = made.weather.years[2025].frame["outdoor_c"].tz_convert(made.readings.zone)
    short = np.maximum(15.5 - outdoor.resample("1D").mean(), 0.0)
    typed = [
        word
        for month, value in short.groupby(short.index.tz_localize(None).to_period("M")).sum().items()
        if str(month).startswith("2025")
        for word in ("--degree-days", f"{month}={value:.1f}")
    ]
    words = ("fit", bungalow, path, "--draws", "1280", "--json")
    unknown = ask(*words, *typed, "--base-c", "15.5")
    assert unknown.code == 0, unknown.faults
    told = json.loads(unknown.out)
    assert any("shifted to the degree-days given (base 15.5 °C)" in note for note in told["notes"])
    assert told["metrics"]["import_kwh"]["count"] == 11  # the last day ends the year: December lacks it
    loss = told["unknowns"]["loss_w_per_k"]
    ratio = made.truth["loss_w_per_k"] / made.truth["efficiency"]
    middle = loss["middle"] / told["unknowns"]["efficiency"]["middle"]
    assert ratio == pytest.approx(middle, rel=0.12)
    no_base = ask(*words, *typed)
    assert (no_base.code, no_base.out) == (2, "")
    assert no_base.faults[0].endswith(
        "degree-days say nothing without the temperature that they are counted to. Write for example --base-c 15.5."
    )
    too_few = ask(*words, *typed[:4], "--base-c", "15.5")
    assert "was read and has no degree-days. Write --degree-days 2025-03=VALUE as well." in too_few.faults[0]
    wrong = ask(*words, "--degree-days", "March=3", "--base-c", "15.5")
    assert "March=3 is not a month and its degree-days. Write for example 2026-01=412." in wrong.faults[0]


def test_readings_of_odd_spans_have_a_table_and_no_picture(ask: Ask, tmp_path: Path) -> None:
    bills = tmp_path / "bills.csv"
    bills.write_text("from;to;kWh\n01.01.2025;31.01.2025;812\n01.02.2025;28.02.2025;900\n01.03.2025;31.03.2025;640\n")
    found = ask(
        "read", bills, "--zone", "Europe/Dublin", "--csv", tmp_path / "sums.csv", "--page", tmp_path / "page.html"
    )
    assert found.code == 0
    assert (tmp_path / "sums.csv").read_text().splitlines()[1].split(",")[1] == "2352.0"
    assert "2,352" not in (tmp_path / "sums.csv").read_text()
    drawn = ask("read", bills, "--zone", "Europe/Dublin", "--figure", tmp_path / "x.png")
    assert (drawn.code, drawn.faults[0]) == (
        2, f"--figure {tmp_path / 'x.png'} has nothing to show: this answer has no picture. Leave it out.",
    )  # fmt: skip


def test_a_change_is_held_against_the_weather(ask: Ask, bungalow: Path, tmp_path: Path) -> None:
    rows = [f"2025-01-{4 + k:02d},{30 - k % 7 + k % 3 / 2},{k % 7}" for k in range(28)]
    rows += [f"2025-02-{1 + k:02d},{26 - k % 7 + k % 3 / 2},{k % 7}" for k in range(28)]
    path = tmp_path / "days.csv"
    path.write_text("\n".join(["date,import kWh,outdoor °C", *rows]) + "\n", encoding="utf-8")
    told = json.loads(ask("change", bungalow, path, "--on", "2025-02-01", "--json").out)
    low, middle, high = told["effect_kwh_per_day"]
    assert low < -4.0 < high
    assert middle == pytest.approx(-4.0, abs=0.3)
    refused = ask("change", bungalow, path, "--on", "2025-02-26")
    assert refused.code == 3
    assert "after are too few: 7 of each are needed" in refused.faults[0]
