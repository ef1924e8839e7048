"""Tariff files: the samples, what every key says, and the sentence for every way to get one wrong."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Any

import pytest

from simkit.errors import CaseError
from simkit.tariff.prices import day_fault, price_faults
from simkit.tariff.tariff import DEAREST_PER_KWH, Band, Tariff, read_tariff

SAMPLES = sorted((Path(__file__).parents[2] / "sample_data" / "tariffs").glob("*.toml"))

GOOD = """
name = "Test tariff"
note = "Invented."
currency = "EUR"
valid_from = 2025-01-01
clock = "local"
tax = 0.09
prices_include_tax = true
standing_per_day = 0.75

[[band]]
name = "Night"
price_per_kwh = 0.15
from = "23:00"
to = "08:00"
days = "all"

[[band]]
name = "Day"
price_per_kwh = 0.35
from = "08:00"
to = "23:00"
days = "all"
"""


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "night.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def faults(folder: Path, text: str | bytes) -> list[str]:
    with pytest.raises(CaseError) as caught:
        read_tariff(written(folder, text))
    assert caught.value.exit_code == 2
    return [str(fault) for fault in caught.value.faults]


# --- what is right ---------------------------------------------------------------------------------------------------


def test_there_are_eleven_samples_and_each_says_that_it_is_invented() -> None:
    assert len(SAMPLES) == 11
    tariffs = [read_tariff(path) for path in SAMPLES]
    assert all("nvented" in tariff.note for tariff in tariffs)
    assert len({tariff.name for tariff in tariffs}) == 11
    assert {tariff.currency for tariff in tariffs} == {"EUR", "GBP", "DKK"}
    assert {tariff.clock for tariff in tariffs} == {"local", "utc"}


def test_a_file_becomes_a_frozen_hashable_tariff(tmp_path: Path) -> None:
    tariff = read_tariff(written(tmp_path, GOOD))
    assert (tariff.valid_from, tariff.standing_per_day, tariff.export) == (dt.date(2025, 1, 1), 0.75, None)
    assert (tariff.band[0].start, tariff.band[0].end, tariff.band[0].months) == ("23:00", "08:00", None)
    assert hash(tariff) == hash(read_tariff(written(tmp_path, GOOD)))
    assert tariff == read_tariff(written(tmp_path, "\ufeff" + GOOD)), "a byte-order mark is no fault"
    with pytest.raises(Exception, match="frozen"):
        tariff.tax = 0.1  # type: ignore[misc]


def test_a_tariff_comes_back_from_its_own_table(tmp_path: Path) -> None:
    tariff = read_tariff(SAMPLES[-1])
    assert Tariff.model_validate_json(tariff.model_dump_json(exclude_none=True)) == tariff


def test_tax_factor_and_edges(tmp_path: Path) -> None:
    tariff = read_tariff(written(tmp_path, GOOD))
    assert tariff.tax_factor == 1.0
    late = tariff.model_copy(update={"prices_include_tax": False, "meter_offset_minutes": 70})
    assert late.tax_factor == 1.09
    assert (tariff.edges, late.edges) == (("08:00", "23:00"), ("00:10", "09:10"))


def test_weekdays_by_word_and_by_list() -> None:
    terms: dict[str, Any] = {"name": "x", "price_per_kwh": 0.3, "from": "00:00", "to": "24:00"}
    found = [
        Band.model_validate(terms | {"days": days}).weekdays for days in ("all", "workdays", "weekend", ("sunday",))
    ]
    assert found == [set(range(7)), {0, 1, 2, 3, 4}, {5, 6}, {6}]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_sample_prices_lie_well_inside_the_bounds_that_catch_cents(path: Path) -> None:
    tariff = read_tariff(path)
    for band in tariff.band:
        assert DEAREST_PER_KWH[tariff.currency] / 40 < band.price_per_kwh < DEAREST_PER_KWH[tariff.currency] / 3


@pytest.mark.parametrize(
    ("dearest", "currencies"),
    [(2.0, "CHF EUR GBP USD"), (3.0, "CAD"), (4.0, "AUD BGN NZD"), (9.0, "PLN"), (10.0, "BRL RON"), (15.0, "DKK"),
     (20.0, "NOK SEK"), (50.0, "CZK"), (300.0, "JPY"), (800.0, "HUF")],
)  # fmt: skip
def test_a_price_may_be_as_high_as_its_currency_s_bound_and_not_a_twentieth_higher(dearest, currencies) -> None:
    """About two euros a kilowatt-hour in any of them: less would refuse real prices, more would let cents through."""
    for currency in currencies.split():
        for factor, faults in ((1.0, 0), (1.05, 1)):
            table = {"currency": currency, "band": [{"price_per_kwh": factor * dearest}]}
            assert len(list(price_faults(table))) == faults, currency


@pytest.mark.parametrize(
    ("table", "faults"),
    [({"currency": "XAF", "band": [{"price_per_kwh": 100_000.0}]}, 0),
     ({"currency": "XAF", "band": [{"price_per_kwh": 100_000.5}]}, 1),
     ({"currency": "XAF", "standing_per_day": 250_000.0}, 0), ({"currency": "XAF", "standing_per_day": 250_000.5}, 1),
     ({"currency": "EUR", "standing_per_day": 5.0}, 0), ({"currency": "EUR", "standing_per_day": 5.1}, 1)],
)  # fmt: skip
def test_a_currency_that_is_not_listed_has_the_widest_bounds_and_a_day_costs_some_kilowatt_hours(table, faults) -> None:
    assert len(list(price_faults(table))) == faults


# --- what is wrong ---------------------------------------------------------------------------------------------------

ONE_SLIP = [
    (
        'currency = "EUR"',
        'currency = "€"',
        'night.toml: currency = "€" is not a currency code of ISO 4217. Perhaps "EUR" is meant.',
    ),
    (
        'currency = "EUR"',
        'currency = "XQZ9"',
        'night.toml: currency = "XQZ9" is not a currency code of ISO 4217. Write a code such as "EUR".',
    ),
    (
        "tax = 0.09",
        "tax = 9",
        "night.toml: tax = 9 is outside 0 to 0.99 (tax on energy and standing charge). "
        "It is a share, not per cent: write 0.09.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kwh = 15",
        "night.toml: band no. 1: price_per_kwh = 15 is outside 0 to 2 EUR per kWh. "
        "If it is in hundredths (cents, pence), write 0.15.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kwh = 150.0",
        "night.toml: band no. 1: price_per_kwh = 150 is outside 0 to 2 EUR per kWh. "
        "If it is in hundredths (cents, pence), write 1.5; if for a MWh, write 0.15.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kwh = 285",
        "night.toml: band no. 1: price_per_kwh = 285 is outside 0 to 2 EUR per kWh. If for a MWh, write 0.285.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kwh = 9000",
        "night.toml: band no. 1: price_per_kwh = 9000 is outside 0 to 2 EUR per kWh. "
        "Write the price of a kilowatt-hour in EUR, such as 0.25.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kwh = -0.15",
        "night.toml: band no. 1: price_per_kwh = -0.15 is below 0, and a price of a fixed tariff can't be. "
        "Write 0.15, or 0.",
    ),
    (
        "price_per_kwh = 0.35",
        'price_per_kwh = 0.35\n\n[export]\nprice_per_kwh = -0.05\n\n[[band]]\nname = "x"\nprice_per_kwh = 0.1',
        "night.toml: [export] price_per_kwh = -0.05 is below 0, and earnings of a fixed tariff can't be. "
        "Write 0.05, or 0.",
    ),
    (
        "standing_per_day = 0.75",
        "standing_per_day = -0.75",
        "night.toml: standing_per_day = -0.75 is below 0, and a standing charge is paid, not earned. "
        "Write 0.75, or 0 for none.",
    ),
    (
        "standing_per_day = 0.75",
        "standing_per_day = 274",
        "night.toml: standing_per_day = 274 is outside 0 to 5 EUR per day. If it is for a month, write 9.008; "
        "if for a year, 0.7507; if in hundredths (cents, pence), 2.74.",
    ),
    (
        'days = "all"',
        'days = "weekdays"',
        'night.toml: band no. 1: days = "weekdays" is not "all", "workdays", "weekend" or a list of weekdays. '
        'Perhaps "workdays" is meant.',
    ),
    (
        'days = "all"',
        'days = ["mon"]',
        'night.toml: band no. 1: days = ["mon"] is not "all", "workdays", "weekend" or a list of weekdays. '
        'Write one of the three words, or a list such as ["monday", "friday"].',
    ),
    (
        'days = "all"',
        'days = "all"\nmonths = [0, 1]',
        "night.toml: band no. 1: months = [0, 1] is not a list of months from 1 to 12. "
        "Write the numbers of the months, such as [11, 12, 1, 2, 3], or leave the key out for every month.",
    ),
    (
        'to = "08:00"',
        'to = "23:00"',
        "night.toml: band no. 1: 23:00 to 23:00 is a window without length. "
        "Write 00:00 to 24:00 for the whole day, or leave the window out.",
    ),
    (
        'days = "all"',
        'days = "all"\nfirst_date = 2025-06-01\nlast_date = 2025-05-01',
        "night.toml: band no. 1: last_date = 2025-05-01 is before first_date = 2025-06-01. "
        "Swap the two, or mend the year.",
    ),
    (
        'to = "08:00"',
        'to = "07:30"',
        "night.toml: every day 07:30 to 08:00 is not covered by any band. "
        "Every minute has exactly one price: stretch a band over it, or add one.",
    ),
    (
        'from = "08:00"',
        'from = "07:00"',
        'night.toml: every day 07:00 to 08:00 is covered more than once, by "Night" (1) and "Day" (2). '
        "A later band does not override an earlier one: cut one of them back.",
    ),
    (
        "standing_per_day",
        "standing_charge",
        "night.toml: standing_charge is not a key at the top of the file. Perhaps standing_per_day is meant.",
    ),
    (
        "price_per_kwh = 0.15",
        "price_per_kWh = 0.15",
        "night.toml: band no. 1: price_per_kWh is not a key of this table. Perhaps price_per_kwh is meant.",
    ),
]


@pytest.mark.parametrize(("good", "bad", "sentence"), ONE_SLIP)
def test_every_slip_has_its_sentence(tmp_path: Path, good: str, bad: str, sentence: str) -> None:
    assert sentence in faults(tmp_path, GOOD.replace(good, bad, 1))


def test_all_faults_of_a_file_are_told_at_once_and_none_twice(tmp_path: Path) -> None:
    text = GOOD.replace("tax = 0.09", "tax = 9").replace("0.35", "35").replace('clock = "local"', 'clock = "UTC"')
    told = faults(tmp_path, text.replace("standing_per_day = 0.75", "standing_per_day = -1"))
    assert len(told) == len(set(told)) == 4
    assert all(sentence.startswith("night.toml: ") and sentence.endswith(".") for sentence in told)


@pytest.mark.parametrize("key", [line.split(" = ")[0] for line in GOOD.split("[[", maxsplit=1)[0].split("\n") if line])
def test_a_missing_key_is_asked_for(tmp_path: Path, key: str) -> None:
    told = faults(tmp_path, "\n".join(line for line in GOOD.split("\n") if not line.startswith(f"{key} = ")))
    wanted = [sentence for sentence in told if f"{key} is missing" in sentence]
    assert wanted
    assert all(f"Add a line such as: {key} = " in sentence for sentence in wanted)


@pytest.mark.parametrize("value", ["true", '"x"', "nan", "inf", "-1e9", "1e9", "[]", "2025-01-01", "{}"])
@pytest.mark.parametrize("key", sorted(tomllib.loads(GOOD).keys() - {"band"} | {"price_per_kwh", "from", "to", "days"}))
def test_no_bad_value_gets_through_or_into_a_traceback(tmp_path: Path, key: str, value: str) -> None:
    lines = GOOD.split("\n")
    at = next(k for k, line in enumerate(lines) if line.startswith(f"{key} = "))
    texts = {(label, text) for label in ("name", "note") for text in ('"x"', "2025-01-01")}  # a date may be a name
    right = texts | {("prices_include_tax", "true"), ("valid_from", "2025-01-01")}
    text = "\n".join([*lines[:at], f"{key} = {value}", *lines[at + 1 :]])
    if (key, value) in right:
        read_tariff(written(tmp_path, text))
        return
    told = faults(tmp_path, text)
    assert any(key in sentence for sentence in told)
    for jargon in ("pydantic", "validation", "Input should", "tuple", "str_", "float_", "NoneType", "dict"):
        assert not any(jargon in sentence for sentence in told), told


FILES = [
    (b"", "is empty"),
    (b"\n \n", "is empty"),
    (b"\x89PNG\r\n\x1a\n\x00\x00", "is not text but binary data"),
    ("name = 'Preis für alle'".encode("latin-1"), "is not UTF-8 text"),
    (b"name: flat\n", "can't be read as TOML"),
    (b"price,hour\n0.3,1\n", "can't be read as TOML"),
]


@pytest.mark.parametrize(("content", "words"), FILES)
def test_a_file_that_is_no_tariff_gets_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    (told,) = faults(tmp_path, content)
    assert told.startswith("night.toml")
    assert words in told


def test_a_path_without_a_file_gets_one_sentence(tmp_path: Path) -> None:
    for path, words in ((tmp_path / "nihgt.toml", "is not there"), (tmp_path, "is a folder, not a file")):
        with pytest.raises(CaseError, match=words):
            read_tariff(path)


def test_a_tariff_without_bands_has_no_minute_covered(tmp_path: Path) -> None:
    told = faults(tmp_path, GOOD.split("[[band]]", maxsplit=1)[0].replace("name =", "band = []\nname =", 1))
    assert told == [
        "night.toml: every day 00:00 to 24:00 is not covered by any band. "
        "Every minute has exactly one price: stretch a band over it, or add one."
    ]


def test_a_price_of_export_is_found_by_its_band() -> None:
    data = {"currency": "EUR", "export": {"band": [{"price_per_kwh": 0.1}, {"price_per_kwh": 99.0}]}}
    (fault,) = price_faults(data)
    assert str(fault).startswith("[export] band no. 2: price_per_kwh = 99")


def test_cents_are_suggested_only_where_they_would_be_allowed() -> None:
    assert "in hundredths (cents, pence), 10" in str(day_fault("", 1000.0, 10.0, "EUR"))
    assert "hundredths" not in str(day_fault("", 1005.0, 10.0, "EUR"))
