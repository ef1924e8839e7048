"""Weather as it is stated: twelve figures or a file, and what a plain table must say of itself."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, sentences, table

MEAN = [5.3, 5.4, 6.6, 8.2, 10.9, 13.5, 15.4, 15.2, 13.4, 10.6, 7.4, 5.8]
TABLE = {"file": "x.csv", "format": "csv", "label": "start", "clock": "+01:00", "columns": {"outdoor_c": "T"}}


@pytest.mark.parametrize(
    "weather",
    [
        {"mean_c": MEAN},
        {"degree_days": [300] * 12, "degree_day_base_c": 15.5, "sunshine_hours": [100] * 12},
        {"file": "x.epw"},
        {"file": "x.csv", "format": "pvgis", "bridge_hours": 3},
        TABLE,
    ],
    ids=["means", "degree-days", "file", "format", "table"],
)
def test_every_way_to_state_it(weather: dict[str, Any]) -> None:
    assert made(table(weather=weather)).weather is not None


SLIPS = [
    ({"mean_c": MEAN, "file": "x.epw"}, "mean_c and file are given together, and exactly one is allowed: they say "
     "the same "
     "thing. Keep the one you know best."),
    ({"degree_days": [300] * 12}, "degree_day_base_c is missing, and degree_days needs it (base temperature of the "
     "degree-days). Add a line such as: degree_day_base_c = 15.5."),
    ({"file": "x.epw", "humidity": [0.8] * 12}, "humidity belongs to degree_days, which is not given: file is. Take "
     "humidity "
     "out."),
    ({"mean_c": MEAN, "radiation_kwh_m2": [80] * 12, "sunshine_hours": [100] * 12}, "radiation_kwh_m2 and "
     "sunshine_hours are "
     "both given, and they say the same thing in two ways. Keep the one that was measured."),
    ({**TABLE, "clock": "CET"}, 'clock = "CET" is not written as it should be (clock of the time stamps of a csv file: '
     '"utc", "local" or an offset such as "+01:00"). Write for example clock = "utc".'),
    ({**TABLE, "columns": {}}, None),
]  # fmt: skip


@pytest.mark.parametrize(("weather", "sentence"), SLIPS, ids=[str(weather)[:30] for weather, _ in SLIPS])
def test_what_contradicts_itself(weather: dict[str, Any], sentence: str | None) -> None:
    found = only(table(weather=weather))
    if sentence is None:
        assert found.startswith("case.toml: [weather.columns] outdoor_c is missing")
    else:
        assert found == f"case.toml: [weather] {sentence}"


def test_a_plain_table_must_say_what_its_stamps_and_columns_mean() -> None:
    found = sentences(table(weather={"file": "x.csv", "format": "csv"}))
    assert found == [
        'case.toml: [weather] label is missing, and format = "csv" can\'t be read without it (part of its interval '
        "that a "
        'time stamp of a csv file names). Add a line such as: label = "start".',
        'case.toml: [weather] clock is missing, and format = "csv" can\'t be read without it (clock of the time '
        "stamps of a "
        'csv file: "utc", "local" or an offset such as "+01:00"). Add a line such as: clock = "utc".',
        'case.toml: [weather] columns is missing, and format = "csv" can\'t be read without it (which column of a '
        "csv file "
        'holds what). Add a line such as: columns = { outdoor_c = "temperature" }.',
    ]
