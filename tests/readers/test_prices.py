"""Files of prices: what is read from right ones, and the sentence for each thing that can be wrong with one."""

from __future__ import annotations

import os
import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from references import Reference

from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.readers.prices import prices_on
from simkit.tariff.tariff import PriceSeries

COPENHAGEN = TimeAxis("Europe/Copenhagen", 2025, 60)
OPEN_DATA = os.environ.get("SIMKIT_OPEN_DATA")


def rule(path: Path, **terms: object) -> PriceSeries:
    plain = {"name": "Market", "file": str(path), "per": "MWh", "interval_minutes": 60, "clock": "utc"}
    return PriceSeries.model_validate(plain | terms)


def invented(axis: TimeAxis = COPENHAGEN, minutes: int = 60) -> pd.Series:
    """An invented year of prices that are all different, EUR/MWh, by UTC start."""
    end = axis.utc[-1] + pd.Timedelta(minutes=axis.step_minutes)
    index = pd.date_range(axis.utc[0], end, freq=pd.Timedelta(minutes=minutes), inclusive="left")
    number = np.arange(len(index))
    return pd.Series(np.round(90 + 70 * np.sin(number / 3.7) + number * 1e-3, 3), index=index)


def written(folder: Path, prices: pd.Series, form: str = "%Y-%m-%dT%H:%MZ", head: str = "time,EUR per MWh") -> Path:
    path = folder / "market.csv"
    rows = [f"{stamp},{price:.3f}" for stamp, price in zip(prices.index.strftime(form), prices, strict=True)]
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return path


def told(path: Path, axis: TimeAxis = COPENHAGEN, *, currency: str = "EUR", **terms: object) -> str:
    with pytest.raises(DataError) as caught:
        prices_on(axis, rule(path, **terms), currency=currency)
    assert caught.value.exit_code == 3
    assert len(caught.value.faults) == 1
    return str(caught.value)


# --- what is right ---------------------------------------------------------------------------------------------------


def test_hours_in_utc_become_the_price_of_a_kwh(tmp_path: Path) -> None:
    prices = invented()
    read = prices_on(COPENHAGEN, rule(written(tmp_path, prices)), currency="EUR")
    assert np.array_equal(read.per_kwh, prices.to_numpy() / 1000)
    assert read.notes == ()
    with pytest.raises(ValueError, match="read-only"):
        read.per_kwh[0] = 1.0


CLOCKS = [
    ("%Y-%m-%d %H:%M", "utc", "UTC", {}),
    ("%Y-%m-%d %H:%M", "local", "Europe/Copenhagen", {}),
    ("%d.%m.%Y %H:%M", "+01:00", "Etc/GMT-1", {}),
    ("%Y-%m-%d %H:%M", "-04:00", "Etc/GMT+4", {}),
    ("%d/%m/%Y %H:%M:%S", "local", "Europe/Copenhagen", {}),
    ("%Y-%m-%dT%H:%M:%S%z", "local", "Europe/Copenhagen", {}),
]


@pytest.mark.parametrize(("form", "clock", "zone", "terms"), CLOCKS, ids=str)
def test_every_clock_of_the_stamps_gives_the_same_prices(
    tmp_path: Path, form: str, clock: str, zone: str, terms: dict[str, object]
) -> None:
    prices = invented()
    path = written(tmp_path, prices.set_axis(prices.index.tz_convert(zone)), form)
    assert np.array_equal(
        prices_on(COPENHAGEN, rule(path, clock=clock, **terms), currency="EUR").per_kwh, prices / 1000
    )


def test_stamps_may_name_the_end_of_their_interval(tmp_path: Path) -> None:
    prices = invented()
    path = written(tmp_path, prices.set_axis(prices.index + pd.Timedelta(hours=1)))
    assert np.array_equal(prices_on(COPENHAGEN, rule(path, label="end"), currency="EUR").per_kwh, prices / 1000)


@pytest.mark.parametrize("minutes", [60, 30, 15])
@pytest.mark.parametrize("step", [60, 30, 15])
def test_longer_intervals_are_held_and_shorter_ones_averaged(tmp_path: Path, minutes: int, step: int) -> None:
    axis = TimeAxis("Europe/Copenhagen", 2025, step)
    prices = invented(minutes=minutes)
    read = prices_on(axis, rule(written(tmp_path, prices), interval_minutes=minutes), currency="EUR").per_kwh * 1000
    quarters = np.repeat(prices.to_numpy(), minutes // 15).reshape(axis.steps, -1).mean(axis=1)
    assert read == pytest.approx(quarters, rel=1e-12, abs=0.0)


def test_hours_of_utc_in_a_zone_that_is_half_an_hour_off(tmp_path: Path) -> None:
    kolkata = TimeAxis("Asia/Kolkata", 2025, 60)
    prices = invented(TimeAxis("UTC", 2025, 60))
    around = pd.Series([7.0] * 6, index=pd.date_range("2024-12-31 18:00", periods=6, freq="h", tz="UTC"))
    read = prices_on(kolkata, rule(written(tmp_path, pd.concat([around, prices]))), currency="EUR").per_kwh * 1000
    # own: the step from 18:30 UTC holds half of two hours at 7; that from 23:30 half of 7 and half of the first price
    assert read[0] == pytest.approx(7.0)
    assert read[5] == pytest.approx((7.0 + prices.iloc[0]) / 2)
    assert read[6] == pytest.approx((prices.iloc[0] + prices.iloc[1]) / 2)


def test_a_table_with_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    prices = invented()
    path = tmp_path / "market.csv"
    rows = [f"{t:%d.%m.%Y %H:%M};{p:.3f}".replace(".", ",") for t, p in prices.items()]
    rows = [row.replace(",", ".", 2) for row in rows]  # the commas of the date go back to full stops
    path.write_text("\ufeffZeit;Preis\n" + "\n".join(rows), encoding="utf-8")
    assert np.array_equal(prices_on(COPENHAGEN, rule(path), currency="EUR").per_kwh, prices / 1000)


def test_factor_adder_floor_cap_and_tax_in_their_order(tmp_path: Path) -> None:
    # own: 100 EUR/MWh: 0.1 × 1.1 + 0.02 = 0.13, × 1.25 = 0.1625; 900: 0.99 + 0.02 = 1.01 -> 0.5, × 1.25 = 0.625;
    # -500: -0.55 + 0.02 = -0.53 -> -0.1, × 1.25 = -0.125
    prices = invented()
    prices.iloc[:3] = [100.0, 900.0, -500.0]
    terms = {"factor": 1.1, "adder_per_kwh": 0.02, "floor_per_kwh": -0.1, "cap_per_kwh": 0.5, "tax": 0.25}
    read = prices_on(COPENHAGEN, rule(written(tmp_path, prices), **terms), currency="EUR").per_kwh
    assert read[:3] == pytest.approx([0.1625, 0.625, -0.125])


def test_prices_beyond_the_year_are_left_aside_and_named(tmp_path: Path) -> None:
    prices = invented()
    more = pd.Series([50.0, 51.0], index=prices.index[-1] + pd.to_timedelta([1, 2], unit="h"))
    read = prices_on(COPENHAGEN, rule(written(tmp_path, pd.concat([prices, more]))), currency="EUR")
    assert np.array_equal(read.per_kwh, prices / 1000)
    assert read.notes == ("2 of the prices in market.csv lie outside 2025 and are left aside.",)


def test_a_gap_is_held_over_only_when_asked_for(tmp_path: Path) -> None:
    prices = invented()
    path = written(tmp_path, prices.drop(prices.index[[0, 100]]))
    assert told(path) == (
        "market.csv: 2 of the 8,760 intervals of 2025 are missing, the first at 2025-01-01 00:00 local time. "
        "Complete the file, or write bridge_hours = 1 under [series] to hold the price before each gap."
    )
    read = prices_on(COPENHAGEN, rule(path, bridge_hours=1), currency="EUR")
    assert read.per_kwh[[0, 100]] == pytest.approx(prices.iloc[[1, 99]].to_numpy() / 1000)
    assert read.notes == (
        "2 of the 8,760 prices of 2025, missing in market.csv, are held from the price before, as asked for.",
    )


def test_a_gap_is_measured_in_hours_and_one_of_more_than_a_day_is_not_offered_to_be_held(tmp_path: Path) -> None:
    prices = invented(minutes=30)
    path = written(tmp_path, prices.drop(prices.index[100:103]))  # own: three half-hours are an hour and a half
    assert told(path, interval_minutes=30).endswith(
        "or write bridge_hours = 2 under [series] to hold the price before each gap."
    )
    read = prices_on(
        TimeAxis("Europe/Copenhagen", 2025, 30), rule(path, interval_minutes=30, bridge_hours=2), currency="EUR"
    )
    assert read.per_kwh[100:103] == pytest.approx(np.full(3, prices.iloc[99] / 1000))
    path = written(tmp_path, prices.drop(prices.index[100:150]))
    assert told(path, interval_minutes=30).endswith("or set [site] year to a year that it holds.")


def test_a_factor_turns_another_currency_into_ours_and_says_so(tmp_path: Path) -> None:
    path = written(tmp_path, invented(), head="time,DK1_EUR_MWh")
    read = prices_on(COPENHAGEN, rule(path, factor=7.46), currency="DKK")
    assert read.notes == ("market.csv is in EUR; its factor of 7.46 is taken to turn it into DKK.",)
    assert told(path, currency="DKK") == (
        'market.csv: column "DK1_EUR_MWh" names EUR, and the tariff is in DKK: prices are never converted by '
        "themselves. Take a file in DKK, or write the exchange rate as factor."
    )


def test_a_file_that_changes_is_read_again(tmp_path: Path) -> None:
    prices = invented()
    path = written(tmp_path, prices)
    assert prices_on(COPENHAGEN, rule(path), currency="EUR").per_kwh[0] == prices.iloc[0] / 1000
    os.utime(written(tmp_path, prices + 10), ns=(1, 1))
    assert prices_on(COPENHAGEN, rule(path), currency="EUR").per_kwh[0] == pytest.approx((prices.iloc[0] + 10) / 1000)


# --- what is wrong ---------------------------------------------------------------------------------------------------


def test_a_series_that_is_short(tmp_path: Path) -> None:
    assert told(written(tmp_path, invented().iloc[: 24 * 200])) == (
        "market.csv: 3,960 of the 8,760 intervals of 2025 are missing, the first at 2025-07-20 01:00 local time. "
        "Complete the file, which covers 2025-01-01 to 2025-07-20, or set [site] year to a year that it holds."
    )


def test_a_series_of_another_year(tmp_path: Path) -> None:
    path = written(tmp_path, invented(TimeAxis("Europe/Copenhagen", 2024, 60)))
    assert (
        "Complete the file, which covers 2024-01-01 to 2024-12-31, or set [site] year to a year that it holds"
        in told(path)
    )


def test_a_series_that_repeats_itself(tmp_path: Path) -> None:
    prices = invented()
    path = written(tmp_path, pd.concat([prices, prices.iloc[500:502]]))
    assert told(path) == (
        "market.csv: 2 stamps (2025-01-21 19:00 UTC; 2025-01-21 20:00 UTC) come more than once, and which row counts "
        "can't be known. Take the doubles out."
    )


def test_a_series_longer_than_the_year_by_a_repeated_hour(tmp_path: Path) -> None:
    prices = invented()
    path = written(tmp_path, pd.concat([prices, prices.iloc[[4000]]]))
    assert "1 stamp (2025-06-16 15:00 UTC) comes more than once" in told(path)


def test_wall_time_said_to_be_utc_is_known_by_its_clock_change(tmp_path: Path) -> None:
    prices = invented()
    wall = prices.set_axis(prices.index.tz_convert("Europe/Copenhagen").tz_localize(None))
    assert told(written(tmp_path, wall, "%Y-%m-%d %H:%M")) == (
        "market.csv: 1 stamp (2025-10-26 02:00 UTC) comes twice, and 1 is missing, where the clock changes in "
        'Europe/Copenhagen. The stamps are wall time: write clock = "local" under [series].'
    )


def test_standard_time_said_to_be_wall_time_is_known_by_the_hour_that_isnt(tmp_path: Path) -> None:
    prices = invented()
    standard = prices.set_axis(prices.index.tz_convert("Etc/GMT-1"))
    assert re.fullmatch(
        r"market\.csv line 2116: the stamp 2025-03-30 02:00 can't be a wall time in Europe/Copenhagen, where a clock "
        r"change takes or repeats an hour that the rows don't\. If every day has 24 hours, the stamps are not wall "
        r'time: write clock = "utc" or an offset such as "\+01:00" under \[series\]\.',
        told(written(tmp_path, standard, "%Y-%m-%d %H:%M"), clock="local"),
    )


def test_prices_for_a_mwh_said_to_be_for_a_kwh(tmp_path: Path) -> None:
    assert told(written(tmp_path, invented()), per="kWh").endswith(
        "EUR is more than a kWh costs anywhere (2 EUR), so that the prices are for a MWh. "
        'Write per = "MWh" under [series]; for hundredths (cents), factor = 0.01.'
    )


def test_prices_for_a_kwh_said_to_be_for_a_mwh(tmp_path: Path) -> None:
    assert told(written(tmp_path, invented() / 1000)) == (
        "market.csv: a highest price of 0.169 EUR is next to nothing for a MWh, so that the prices are for a kWh. "
        'Write per = "kWh" under [series].'
    )


def test_hundredths_for_a_kwh_pass_with_their_factor(tmp_path: Path) -> None:
    cents = invented() / 10
    read = prices_on(COPENHAGEN, rule(written(tmp_path, cents), per="kWh", factor=0.01), currency="EUR")
    assert read.per_kwh == pytest.approx(invented().to_numpy() / 1000, abs=1e-5)


CONTENTS = [
    ("", {}, "market.csv: the file is empty. Fetch or export it again; a file of a year has thousands of lines."),
    ("time,price\n", {}, "market.csv: the file holds no row with a date and a number beside it; nothing was read. "
     "Export it as a table: a date and time, and a value, in each row."),
    (
        "time,DK1,DK2\n2025-01-01T00:00Z,1,2\n", {},
        'market.csv: the file has 2 columns beside the stamps ("DK1", "DK2"), and one is needed. '
        "Name one under [series] as column.",
    ),
    (
        "time,DK1,DK2\n2025-01-01T00:00Z,1,2\n", {"column": "DK_1"},
        'market.csv: column "DK_1" is not among the columns of its head: "time", "DK1", "DK2". Perhaps "DK1" is meant.',
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-01T01:00Z,\n2025-01-01T02:00Z,12\n", {},
        "market.csv line 3: an empty field is not a number (1 of 3 rows). "
        "Write a number in every row; a gap is not a zero.",
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-01T01:00Z,n/e\n2025-01-01T02:00Z,12\n", {},
        'market.csv line 3: "n/e" in column "price" is not a number (1 of 3 rows). Write a number in every row; a gap is not a zero.',
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\nyesterday,11\n2025-01-01T02:00Z,12\n", {},
        'market.csv line 3: "yesterday" is not a date with a time (1 of 3 rows). '
        "Write stamps such as 2025-01-31T07:00, the same way in every row.",
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-01T00:15Z,11\n2025-01-01T00:30Z,12\n", {},
        "market.csv: a row every 15 minutes contradicts interval_minutes = 60. Write interval_minutes = 15.",
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-02T00:00Z,11\n2025-01-03T00:00Z,12\n", {},
        "market.csv: a row every 1440 minutes contradicts interval_minutes = 60. Give prices of 60, 30 or 15 minutes.",
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-01T01:00Z,11\n2025-01-01T02:00Z,12\n2025-01-01T03:07Z,12\n", {},
        "market.csv line 5: 2025-01-01T03:07 UTC is not on the 60 minutes of the other rows. Mend the stamp.",
    ),
    (
        "time,price\n2025-01-01T00:00Z,10\n2025-01-01T01:00Z,11,12,13\n", {},
        'market.csv line 3: has more fields than its head, which is split at ",". '
        "Mend the line; decimal commas need semicolons between the fields.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("content", "terms", "sentence"), CONTENTS)
def test_every_slip_has_its_sentence(tmp_path: Path, content: str, terms: dict[str, object], sentence: str) -> None:
    path = tmp_path / "market.csv"
    path.write_text(content, encoding="utf-8")
    assert told(path, **terms) == sentence


def test_a_file_that_is_not_there_or_no_text(tmp_path: Path) -> None:
    assert re.match(
        r"market\.csv: the file is not there\. Put it there, or mend the path: ", told(tmp_path / "market.csv")
    )
    (tmp_path / "market.csv").write_bytes(b"PK\x03\x04\x00\x00")
    assert "a spreadsheet or a packed file" in told(tmp_path / "market.csv")


# --- real prices -----------------------------------------------------------------------------------------------------


@pytest.mark.skipif(
    not OPEN_DATA, reason="SIMKIT_OPEN_DATA is not set: no real day-ahead prices; invented ones are tested"
)
@pytest.mark.parametrize(("year", "hours"), [(2022, 8760), (2024, 8784)])
def test_real_day_ahead_prices_of_a_year_with_both_clock_changes(year: int, hours: int) -> None:
    """Source: Energinet (www.energidataservice.dk), CC BY 4.0; yearly CSV merged from daily JSON."""
    path = Path(str(OPEN_DATA)) / "prices" / f"energinet_dayahead_DK1_DK2_DE_{year}.csv"
    axis = TimeAxis("Europe/Copenhagen", year, 60)
    terms = {"column": "DK1_EUR_MWh", "bridge_hours": 1}
    read = prices_on(axis, rule(path, **terms), currency="EUR").per_kwh
    assert len(read) == axis.steps == hours
    raw = pd.read_csv(path, index_col=0)["DK1_EUR_MWh"]
    assert read[1:] == pytest.approx(raw.to_numpy()[:-1] / 1000), (
        "the year of the wall begins an hour before that of UTC"
    )
    if year == 2022:
        source = "Energinet day-ahead prices DK1 2022, mean of the file's hours, 219.03 EUR/MWh"
        reason = "one hour at either end differs between the UTC year and the civil year"
        Reference(219.03, source, 0.05, reason).check(float(read.mean() * 1000))
        days = np.bincount(axis.day)
        assert days[np.flatnonzero(axis.dates == np.datetime64("2022-03-27"))] == 23
        assert days[np.flatnonzero(axis.dates == np.datetime64("2022-10-30"))] == 25
    assert (read < 0).any() == (raw.to_numpy() < 0).any()
