"""Plain tables: separators, commas, clocks, labels, units, gaps, doubles; each slip has its sentence."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from real_weather import german_year
from references import Reference

from readers.rows import PLACE, year_of_hours
from simkit.errors import DataError
from simkit.readers.plain_csv import read_plain

COLUMNS = {"time": "when", "outdoor_c": "temp", "humidity": "rh", "ghi_w_m2": "sun"}
FIRST = pd.Timestamp("2022-12-31 23:00", tz="UTC")


def table(hours=None) -> pd.DataFrame:
    hours = year_of_hours() if hours is None else hours
    return pd.DataFrame(
        {
            "when": hours.index.strftime("%Y-%m-%d %H:%M"),
            "temp": hours["outdoor_c"].to_numpy(),
            "rh": hours["humidity"].to_numpy(),
            "sun": hours["ghi_w_m2"].to_numpy(),
        }
    )


def read(tmp_path, rows=None, *, text=None, **how):
    path = tmp_path / "a.csv"
    path.write_text((table() if rows is None else rows).to_csv(index=False) if text is None else text, encoding="utf-8")
    return read_plain(path, **({"columns": COLUMNS, "label": "start", "clock": "+01:00", "place": PLACE} | how))


def refusal(tmp_path, rows=None, **how) -> str:
    with pytest.raises(DataError) as caught:
        read(tmp_path, rows, **how)
    assert caught.value.exit_code == 3
    return str(caught.value)


def test_as_written(tmp_path):
    frame, found = read(tmp_path)
    assert frame.index[0] == FIRST
    assert tuple(frame.columns) == found.columns == ("outdoor_c", "humidity", "ghi_w_m2")
    assert frame["outdoor_c"].to_numpy() == pytest.approx(year_of_hours()["outdoor_c"].to_numpy())
    assert found.sentences() == (
        "a.csv is read as CSV: 8,760 rows of 60 minutes, 2023, clock UTC+01:00, stamps at the start of the interval.",
    )


@pytest.mark.parametrize(
    ("label", "minutes"), [("end", 60), ("middle", 30)], ids=["stamps at the end", "stamps in the middle"]
)
def test_labels(tmp_path, label, minutes):
    rows = table()
    rows["when"] = (year_of_hours().index + pd.Timedelta(minutes=minutes)).strftime("%Y-%m-%d %H:%M")
    frame, found = read(tmp_path, rows, label=label)
    assert (frame.index[0], found.label, found.years) == (FIRST, label, (2023,))


def test_hour_24_ends_a_day(tmp_path):
    rows = table()
    ends = year_of_hours().index
    rows["when"] = [f"{at:%Y-%m-%d} {at.hour + 1:02d}:00" for at in ends]
    assert read(tmp_path, rows, label="end")[0].index[0] == FIRST


@pytest.mark.parametrize(
    ("form", "separator", "decimal"),
    [
        ("%d.%m.%Y %H:%M", ";", ","),
        ("%d/%m/%Y %H:%M", ",", "."),
        ("%m/%d/%Y %H:%M", ",", "."),
        ("%Y-%m-%dT%H:%M:%S", "\t", "."),
        ("%Y%m%d:%H%M", ";", "."),
        ("%Y/%m/%d %H:%M:%S", ";", ","),
        ("%Y-%m-%dT%H:%M:%S+01:00", ",", "."),
    ],
)
def test_stamps_and_separators(tmp_path, form, separator, decimal):
    rows = table()
    rows["when"] = year_of_hours().index.strftime(form)
    text = "\ufeff" + rows.to_csv(index=False, sep=separator, decimal=decimal)
    frame, _ = read(tmp_path, text=text)
    assert frame.index[0] == FIRST
    assert frame["outdoor_c"].to_numpy() == pytest.approx(year_of_hours()["outdoor_c"].to_numpy())


def test_a_stamp_s_own_offset_counts(tmp_path):
    rows = table()
    rows["when"] = (year_of_hours().index - pd.Timedelta(hours=1)).strftime("%Y-%m-%dT%H:%M:%SZ")
    assert read(tmp_path, rows, clock="+05:00")[0].index[0] == FIRST


def test_lines_before_the_table_and_blank_lines_after(tmp_path):
    text = "Station: invented\nheight;200\n\n" + table().to_csv(index=False) + "\n,,,\n"
    assert len(read(tmp_path, text=text)[0]) == 8760


def test_first_column_is_the_time_when_none_is_named(tmp_path):
    assert read(tmp_path, columns=COLUMNS | {"time": None})[0].index[0] == FIRST


def test_local_wall_time_with_both_clock_changes(tmp_path):
    rows = table()
    wall = year_of_hours().index.tz_localize("Etc/GMT-1").tz_convert("Europe/Berlin")
    rows["when"] = wall.strftime("%Y-%m-%d %H:%M")
    frame, found = read(tmp_path, rows, clock="local", zone="Europe/Berlin")
    assert (frame.index[0], len(frame), found.clock) == (FIRST, 8760, "Europe/Berlin")


def test_standard_time_said_to_be_local(tmp_path):
    assert refusal(tmp_path, clock="local", zone="Europe/Berlin") == (
        "a.csv line 2020: the stamp 2023-03-26 02:00 can't be a wall time in Europe/Berlin, where a clock change takes "
        "or repeats an hour that the rows don't. If every day has 24 hours, the stamps are not wall time: write "
        'clock = "utc" or an offset such as "+01:00" under [weather].'
    )


def test_per_cent_is_seen_and_told(tmp_path):
    rows = table()
    rows["rh"] *= 100.0
    frame, found = read(tmp_path, rows)
    assert frame["humidity"].max() <= 1.0
    assert "Relative humidity in a.csv is in per cent: it goes above 1.5." in found.notes


def test_a_missing_hour_makes_8759_rows(tmp_path):
    assert refusal(tmp_path, table().drop(index=1000)) == (
        "a.csv: 8,759 rows, 1 step without a value at 2023-02-11 15:00 to 16:00 UTC (outdoor_c, humidity, ghi_w_m2), and gaps "
        "are not filled silently. Mend the file, or set bridge_hours = 1 under [weather] for a straight line over gaps."
    )


def test_gaps_are_bridged_when_asked(tmp_path):
    rows = table()
    rows.loc[1000:1002, "temp"] = np.nan
    frame, found = read(tmp_path, rows.drop(index=3000), bridge_hours=3)
    before, after = (year_of_hours()["outdoor_c"].iloc[k] for k in (999, 1003))
    assert frame["outdoor_c"].iloc[1000:1003].to_numpy() == pytest.approx(np.linspace(before, after, 5)[1:-1])
    assert (found.bridged_steps, [gap.steps for gap in found.gaps]) == (4, [3, 1])
    assert "4 missing steps are bridged by a straight line, as asked for." in found.sentences()


def test_gaps_longer_than_asked_are_refused(tmp_path):
    rows = table()
    rows.loc[1000:1002, "temp"] = np.nan
    rows.loc[[2000, 2500, 3000, 3500], "sun"] = np.nan
    message = refusal(tmp_path, rows, bridge_hours=2)
    assert message == (
        "a.csv: 8,760 rows, 7 steps without a value at 2023-02-11 15:00 to 18:00 UTC (outdoor_c); 2023-03-25 07:00 to 08:00 UTC "
        "(ghi_w_m2); 2023-04-15 03:00 to 04:00 UTC (ghi_w_m2); 2023-05-05 23:00 to 2023-05-06 00:00 UTC (ghi_w_m2); and 1 more, and gaps are not "
        "filled silently. Mend the file, or set bridge_hours = 3 under [weather] for a straight line over gaps."
    )


@pytest.mark.parametrize("lost", [slice(1000, 1060), slice(8700, 8759)], ids=["long", "at the end"])
def test_gaps_that_no_line_can_bridge(tmp_path, lost):
    rows = table()
    rows.loc[lost, "temp"] = np.nan
    assert refusal(tmp_path, rows, bridge_hours=48).endswith(
        "Mend the file or take another: so long a gap, or one at the end, can't be bridged by a straight line."
    )


def test_gap_over_midnight_names_both_days(tmp_path):
    rows = table()
    rows.loc[1005:1010, "temp"] = np.nan
    assert "at 2023-02-11 20:00 to 2023-02-12 02:00 UTC (outdoor_c)" in refusal(tmp_path, rows)


def test_doubles(tmp_path):
    rows = pd.concat([table(), table().iloc[[5, 700]]])
    assert refusal(tmp_path, rows) == (
        "a.csv: 2 stamps (2023-01-01 04:00 UTC; 2023-01-30 03:00 UTC) occur more than once, and which row counts can't "
        'be known. Take the doubles out; if they lie in the autumn clock change, the clock of the file is "local".'
    )


@pytest.mark.parametrize(
    ("factor", "offset", "column", "sentence"),
    [
        (
            1.0,
            273.15,
            "temp",
            "outdoor_c from 269.1 to 295.1 is in kelvin, and °C is needed. Take 273.15 from every value.",
        ),
        (
            1.8,
            32.0,
            "temp",
            "outdoor_c from 24.8 to 71.6 is above 60 °C, hotter than air gets. If it is in °F, turn it into °C: (°F "
            "- 32) "
            "/ 1.8.",
        ),
        (
            10.0,
            0.0,
            "temp",
            "outdoor_c from -40.0 to 220.0 is outside -70 to 60 °C. If it is in tenths of a degree, divide by 10; take "
            "out marks for missing values, such as -999.",
        ),
        (
            1.0,
            -2.0,
            "rh",
            "humidity from -1.40 to -1.10 is outside 0 to 1. Give shares or per cent, and take out marks for missing "
            "values.",
        ),
        (
            0.36,
            0.0,
            "sun",
            "ghi_w_m2 has clear days with 32 % of what a cloudless sky brings there, so it is not in W/m². If it is in "
            "J/cm² for each hour, multiply by 2.7778.",
        ),
        (
            3.6,
            0.0,
            "sun",
            "ghi_w_m2 up to 2978 is above 1600 W/m², more than the sun gives. If it is in kJ/m² for each hour, "
            "divide by "
            "3.6.",
        ),
        (
            0.0036,
            0.0,
            "sun",
            "ghi_w_m2 has clear days with 0.32 % of what a cloudless sky brings there, so it is not in W/m². If it "
            "is in "
            "MJ/m² for each hour, multiply by 277.78.",
        ),
        (
            0.05,
            0.0,
            "sun",
            "ghi_w_m2 has clear days with 4.5 % of what a cloudless sky brings there, so it is not in W/m². Turn it "
            "into "
            "mean W/m² over each step.",
        ),
        (
            1.0,
            -50.0,
            "sun",
            "ghi_w_m2 down to -50 is below 0, and radiation can't be. Take out marks for missing values, such as -999.",
        ),
    ],
    ids=["K", "°F", "tenths", "negative humidity", "J/cm²", "kJ/m²", "MJ/m²", "unknown", "negative sun"],
)
def test_units(tmp_path, factor, offset, column, sentence):
    rows = table()
    rows[column] = rows[column] * factor + offset
    assert refusal(tmp_path, rows) == f"a.csv: {sentence}"


def test_all_unit_faults_at_once(tmp_path):
    rows = table()
    rows["temp"] += 273.15
    rows["sun"] *= 3.6
    assert [line.split()[1] for line in refusal(tmp_path, rows).splitlines()] == ["outdoor_c", "ghi_w_m2"]


def test_odd_but_possible_values_are_told(tmp_path):
    rows = table()
    rows["temp"] = 34.0 + 0.01 * rows["temp"]
    rows["rh"] = 0.4 * rows["rh"]
    assert read(tmp_path, rows)[1].suspicious == (
        "The mean temperature in a.csv is 34.1 °C: is it in °F?",
        "The temperature in a.csv hardly moves.",
        "Relative humidity in a.csv never reaches 0.5.",
    )


def test_a_wrong_clock_is_told_and_left(tmp_path):
    frame, found = read(tmp_path, clock="utc")
    assert frame.index[0] == FIRST + pd.Timedelta(hours=1)
    assert found.sun_offset_h == pytest.approx(1.0, abs=0.1)
    assert found.suspicious == (
        "The stamps of a.csv are 1.00 h late against the sun in its radiation: check clock and label.",
    )


def test_a_misspelt_column(tmp_path):
    assert refusal(tmp_path, columns=COLUMNS | {"outdoor_c": "tempp", "humidity": "feuchte"}) == (
        'a.csv: column "tempp" is not among the columns of its head: "when", "temp", "rh", "sun". Perhaps "temp" is '
        "meant.\n"
        'a.csv: column "feuchte" is not among the columns of its head: "when", "temp", "rh", "sun". Name one of these '
        "under [weather] columns."
    )


def test_text_among_numbers(tmp_path):
    rows = table().astype({"temp": str})
    rows.loc[[16, 30], "temp"] = ["warm", "hot"]
    assert refusal(tmp_path, rows) == (
        'a.csv line 18: "warm" in column "temp" is not a number (2 of 8,760 rows). Mend it, or leave the field empty '
        "where nothing was measured."
    )


def test_a_point_parts_thousands_only_before_three_digits(tmp_path):
    text = table().to_csv(index=False, sep=";", decimal=",")
    parted = read(tmp_path, text=text.replace(";0,0\n", ";1.000,5\n", 1))[0]
    assert parted["ghi_w_m2"].iloc[0] == 1000.5
    for cell in ("1.00,0", "100.5"):
        message = refusal(tmp_path, text=text.replace(";0,0\n", f";{cell}\n", 1))
        assert message.startswith(f'a.csv line 2: "{cell}" in column "sun" is not a number (1 of 8,760 rows).')


def test_a_column_without_numbers(tmp_path):
    rows = table()
    rows["temp"] = ""
    assert refusal(tmp_path, rows) == (
        'a.csv: column "temp" holds no number at all. Name the column of the outdoor temperature.'
    )


def test_an_empty_quantity_is_left_out(tmp_path):
    rows = table()
    rows["sun"] = "n/a"
    assert read(tmp_path, rows)[1].columns == ("outdoor_c", "humidity")


@pytest.mark.parametrize(
    ("stamp", "sentence"),
    [
        (
            "2023-01-32 00:00",
            'a.csv line 2: "2023-01-32 00:00" is not a date with a time (1 of 8,760 rows). Write stamps such as '
            "2025-01-31T07:00, the same way in every row.",
        ),
        (
            "noon",
            'a.csv line 2: "noon" is not a date with a time (1 of 8,760 rows). Write stamps such as 2025-01-31T07:00, '
            "the same way in every row.",
        ),
    ],
)
def test_stamps_that_are_none(tmp_path, stamp, sentence):
    rows = table()
    rows.loc[0, "when"] = stamp
    assert refusal(tmp_path, rows) == sentence


def test_days_alone_are_no_hours(tmp_path):
    rows = table()
    rows["when"] = rows["when"].str[:10]
    assert refusal(tmp_path, rows) == (
        'a.csv line 2: "2023-01-01" has no time of day (8,760 of 8,760 rows). Write stamps such as 2025-01-31T07:00, '
        "the same way in every row."
    )


def test_rows_that_are_longer_than_the_head(tmp_path):
    text = table().to_csv(index=False).replace("2023-01-01 05:00", "2023-01-01 05:00,1,2,3,4")
    assert refusal(tmp_path, text=text) == (
        'a.csv line 7: has more fields than its head, which is split at ",". Mend the line; decimal commas need '
        "semicolons between the fields."
    )


def test_head_alone(tmp_path):
    assert refusal(tmp_path, text="when,temp,rh,sun\n") == (
        "a.csv: the file holds no row with a date and a number beside it; nothing was read. Export it as a table: a "
        "date and time, and a value, in each row."
    )


def test_one_row(tmp_path):
    assert refusal(tmp_path, table().iloc[:1]) == (
        "a.csv: the file holds one row of data. Fetch or export it again: a row for each interval is needed."
    )


@pytest.mark.parametrize("minutes", [180, 7])
def test_steps_that_don_t_fit(tmp_path, minutes):
    rows = table().iloc[:200].copy()
    rows["when"] = pd.date_range("2023-01-01", periods=200, freq=f"{minutes}min").strftime("%Y-%m-%d %H:%M")
    assert refusal(tmp_path, rows) == (
        f"a.csv: a step of {minutes} minutes is no even step of 60 minutes or a whole part of it. Export the data by "
        "the "
        "hour, or by the half or quarter hour."
    )


def test_german_test_reference_year_as_a_plain_table(tmp_path):
    year = german_year(4)
    path = year.write(tmp_path / "region_4.csv")
    columns = {"outdoor_c": "t", "humidity": "rf", "ghi_w_m2": "global", "dhi_w_m2": "diffus"}
    place = (year.latitude_deg, year.longitude_deg, year.altitude_m)
    frame, found = read_plain(path, columns=columns, label="end", clock="+01:00", place=place)
    source = "own: the year itself (DWD 2010, region 4, as the package demandlib carries it)"
    Reference(year.outdoor_c.mean(), source, 1e-9, "same numbers").check(frame["outdoor_c"].mean())
    Reference(year.ghi_w_m2.sum() / 1000.0, source, 1e-9, "same numbers").check(frame["ghi_w_m2"].sum() / 1000.0)
    assert frame.index[0] == pd.Timestamp("2009-12-31 23:00", tz="UTC")
    assert abs(found.sun_offset_h) < 0.6
    assert found.years == (2010,)


@pytest.mark.parametrize(("clock", "leap"), [("+01:00", 3), ("-05:00", 2), ("utc", 3)])
def test_months_of_different_years_are_laid_on_one(tmp_path, clock, leap):
    """Typical months in a plain table; where one is of a leap year, UTC makes a 29 February of hours beside it."""
    rows, years = table(), {month: 2003 if month < leap else 2001 for month in range(1, 13)} | {leap: 2004}
    rows["when"] = rows["when"].str.slice(5, 7).astype(int).map(years).astype(str) + rows["when"].str.slice(4)
    frame, found = read(tmp_path, rows, clock=clock, place=None)
    assert found.typical
    assert len(frame) == 8760
    assert np.all(np.diff(frame.index) == np.timedelta64(1, "h"))
    assert frame["outdoor_c"].sort_values().to_numpy() == pytest.approx(np.sort(year_of_hours()["outdoor_c"]))
    at = frame.index[frame["outdoor_c"].to_numpy() == year_of_hours()["outdoor_c"].loc["2023-03-01 00:00"]]
    hour = {"+01:00": "02-28 23:00", "-05:00": "03-01 05:00", "utc": "03-01 00:00"}[clock]
    assert hour in at.strftime("%m-%d %H:%M")


def test_a_29_february_among_typical_months_is_told(tmp_path):
    rows = table()
    rows["when"] = rows["when"].str.replace("2023-02-28", "2004-02-29").str.replace("2023-03", "2004-03")
    assert "is no day of the calendar of typical months, which have no 29 February" in refusal(tmp_path, rows)
