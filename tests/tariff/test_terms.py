"""Every further part of a tariff file: what is right, and the sentence for every way to get one wrong."""

from __future__ import annotations

import datetime as dt
from contextlib import nullcontext
from pathlib import Path

import pytest

from simkit.errors import CaseError
from simkit.schema.toml_layout import laid_out
from simkit.tariff.tariff import Tariff, read_tariff
from simkit.tariff.terms import Export, Rebate, Tier

HEAD = """
name = "Test tariff"
note = "Invented."
currency = "EUR"
valid_from = 2025-01-01
clock = "local"
tax = 0.09
prices_include_tax = false
standing_per_day = 0.75
"""
BAND = """
[[band]]
name = "All day"
price_per_kwh = 0.30
from = "00:00"
to = "24:00"
days = "all"
"""
SERIES = """
[series]
name = "Market"
file = "market.csv"
per = "MWh"
interval_minutes = 60
clock = "utc"
"""
TIERS = """
[[tier]]
name = "First"
up_to_kwh = 200.0
price_per_kwh = 0.25

[[tier]]
name = "Beyond"
price_per_kwh = 0.31
"""
DEMAND = """
[demand]
name = "Peak power"
price_per_kw_month = 4.1
interval_minutes = 15
"""
LEVY = """
[[levy]]
name = "Levy"
per_kwh = 0.01
taxed = true
"""
REBATE = """
[[rebate]]
name = "Gift"
once = 50.0
date = 2025-03-01
taxed = false
"""
EXPORT = """
[export]
price_per_kwh = 0.05
sell_grid_energy = false
"""
GRANTED = """
[granted]
per_week = 6
from = "09:00"
to = "16:00"
price_per_kwh = 0.10
"""
VERSION = """
[[version]]
valid_from = 2025-07-01
standing_per_day = 0.80

[version.demand]
name = "Peak power"
price_per_kw_month = 4.4
interval_minutes = 15
"""
EVERYTHING = HEAD + SERIES + BAND + TIERS + DEMAND + LEVY + REBATE + EXPORT + GRANTED + VERSION


def written(folder: Path, text: str) -> Path:
    path = folder / "test.toml"
    path.write_text(text, encoding="utf-8")
    return path


def faults(folder: Path, text: str) -> list[str]:
    with pytest.raises(CaseError) as caught:
        read_tariff(written(folder, text))
    assert caught.value.exit_code == 2
    return [str(fault) for fault in caught.value.faults]


def test_a_tariff_with_everything_is_read_and_written_back(tmp_path: Path) -> None:
    tariff = read_tariff(written(tmp_path, EVERYTHING))
    assert tariff.series.file == str(tmp_path.resolve() / "market.csv"), "seen from the folder of the tariff file"
    assert tariff.files == (tariff.series.file,)
    sold = tariff.series.model_copy(update={"file": "sold.csv"})
    paid = tariff.model_copy(update={"version": None, "export": Export(series=sold)})
    assert paid.files == (tariff.series.file, "sold.csv")
    again = laid_out(Tariff, tariff.model_dump(by_alias=True, exclude_none=True, mode="python"))
    assert read_tariff(written(tmp_path, again)) == tariff
    assert hash(tariff) == hash(Tariff.model_validate_json(tariff.model_dump_json(exclude_none=True)))


@pytest.mark.parametrize("part", [SERIES, TIERS, BAND, SERIES + BAND, TIERS + BAND])
def test_a_price_of_any_kind_will_do(tmp_path: Path, part: str) -> None:
    assert read_tariff(written(tmp_path, HEAD + part)).name == "Test tariff"


@pytest.mark.parametrize(("share", "can_be"), [(0.0, True), (0.005, True), (1.0, True), (1.5, False), (-0.1, False)])
def test_a_rebate_takes_off_a_share_from_nothing_to_all(share: float, can_be: bool) -> None:
    with nullcontext() if can_be else pytest.raises(ValueError, match="share"):
        assert Rebate.model_validate({"name": "Off", "share": share, "taxed": True}).share == share


@pytest.mark.parametrize(("kwh", "can_be"), [(0.1, True), (0.095, False)])
def test_a_tier_ends_at_a_tenth_of_a_kilowatt_hour_or_more(kwh: float, can_be: bool) -> None:
    with nullcontext() if can_be else pytest.raises(ValueError, match="up_to_kwh"):
        assert Tier.model_validate({"name": "First", "up_to_kwh": kwh, "price_per_kwh": 0.1}).up_to_kwh == kwh


def test_versions_follow_each_other(tmp_path: Path) -> None:
    one, other = read_tariff(written(tmp_path, EVERYTHING)).versions
    assert (one.valid_from, one.valid_to) == (dt.date(2025, 1, 1), dt.date(2025, 6, 30))
    assert (other.valid_from, other.valid_to) == (dt.date(2025, 7, 1), None)
    assert (one.standing_per_day, other.standing_per_day) == (0.75, 0.80)
    assert (one.demand.price_per_month, other.demand.price_per_month) == (4.1, 4.4)
    assert other.band == one.band


def test_a_demand_charge_by_the_year_is_a_twelfth_by_the_month(tmp_path: Path) -> None:
    text = HEAD + BAND + DEMAND.replace("price_per_kw_month = 4.1", "price_per_kw_year = 48.0")
    assert read_tariff(written(tmp_path, text)).demand.price_per_month == 4.0


ONE_SLIP = [
    # tax stated twice
    (
        "prices_include_tax = false", "prices_include_tax = true",
        'test.toml: levy "Levy": taxed = true adds the tax to it, and prices_include_tax = true says that it is in the '
        "prices already: it would count twice. Write taxed = false and the amount with its tax.",
    ),
    (
        'clock = "utc"', 'clock = "utc"\ntax = 0.25',
        "test.toml: [series] tax = 0.25 is added to the prices of the file, and tax = 0.09 is added to everything: it "
        "would count twice. Leave it out of [series].",
    ),
    # dates
    (
        "valid_from = 2025-01-01", "valid_from = 2025-01-01\nvalid_to = 2025-05-31",
        "test.toml: 2025-06-01 to 2025-06-30 has no tariff: every day needs one. "
        "Let valid_to and the next valid_from meet, or leave valid_to out.",
    ),
    (
        "valid_from = 2025-01-01", "valid_from = 2025-01-01\nvalid_to = 2025-07-31",
        "test.toml: 2025-07-01 to 2025-07-31 has two versions of the tariff. "
        "Let valid_to and the next valid_from meet.",
    ),
    (
        "valid_from = 2025-07-01", "valid_from = 2024-07-01",
        "test.toml: version from 2024-07-01 is not after the day on which the terms before begin, 2025-01-01. "
        "Write the versions in order of time.",
    ),
    (
        "valid_from = 2025-07-01", "valid_from = 2025-07-01\nvalid_to = 2025-06-01",
        "test.toml: valid_to = 2025-06-01 is before valid_from = 2025-07-01. Swap the two, or mend the year.",
    ),
    # tiers
    (
        'name = "Beyond"', 'name = "Beyond"\nup_to_kwh = 900.0',
        "test.toml: up_to_kwh = 900 ends the tiers, and what is used beyond it would have no price. "
        "Add a last [[tier]] without up_to_kwh.",
    ),
    (
        "up_to_kwh = 200.0", "",
        "test.toml: tier no. 1 has no up_to_kwh, and only the last tier may do without. "
        "Say up to which use of a month it holds.",
    ),
    (
        "up_to_kwh = 200.0\nprice_per_kwh = 0.25",
        'up_to_kwh = 200.0\nprice_per_kwh = 0.25\n\n[[tier]]\nname = "x"\nup_to_kwh = 150.0\nprice_per_kwh = 0.3',
        "test.toml: tier no. 2: up_to_kwh = 150 is not above the 200 of the tier before it. "
        "Write the tiers from the least use up.",
    ),
    # exactly one of
    (
        "price_per_kw_month = 4.1", "price_per_kw_month = 4.1\nprice_per_kw_year = 49.0",
        "test.toml: [demand] price_per_kw_month and price_per_kw_year are given together, and exactly one is allowed: "
        "they say the same thing. Keep the one you know best.",
    ),
    (
        "price_per_kw_month = 4.4", "price_per_kw_month = 4.4\nprice_per_kw_year = 49.0",
        "test.toml: version no. 1.demand: price_per_kw_month and price_per_kw_year are given together, and exactly one "
        "is allowed: they say the same thing. Keep the one you know best.",
    ),
    (
        "per_kwh = 0.01", "per_kwh = 0.01\nper_day = 0.1",
        "test.toml: levy no. 1: per_kwh and per_day are given together, and exactly one is allowed. "
        "Keep one, or write the other apart.",
    ),
    (
        "per_kwh = 0.01", "",
        "test.toml: levy no. 1: per_kwh and per_day are all missing, and exactly one is needed. "
        "Add the one that holds, such as per_kwh.",
    ),
    (
        "date = 2025-03-01", "",
        "test.toml: rebate no. 1: date is missing, and once needs it. Add a line such as: date = 2025-03-01.",
    ),
    (
        "once = 50.0", "per_day = 0.5",
        "test.toml: rebate no. 1: date = 2025-03-01 belongs to once, which is not given. Take date out.",
    ),
    (
        "once = 50.0\ndate = 2025-03-01", "share = 0.1",
        'test.toml: rebate "Gift": share = 0.1 is taken off bands and prices of a file, and these are tiers. '
        "Lower the prices of the tiers.",
    ),
    (
        "[export]\nprice_per_kwh = 0.05", "[export]",
        "test.toml: [export] price_per_kwh, band and series are all missing, and exactly one is needed. "
        "Add the one you know, such as price_per_kwh = 0.15.",
    ),
    (
        "[export]\nprice_per_kwh = 0.05",
        '[export]\nband = [{ name = "E", price_per_kwh = 0.2, from = "16:00", to = "19:00", days = "all" }]',
        "test.toml: [export] every day 00:00 to 16:00 is not covered by any band. "
        "Every minute has exactly one price: stretch a band over it, or add one.",
    ),
    # units
    (
        "per_kwh = 0.01", "per_kwh = 10.0",
        "test.toml: levy no. 1: per_kwh = 10 is outside 0 to 2 EUR per kWh. "
        "If it is in hundredths (cents, pence), write 0.1.",
    ),
    (
        "price_per_kwh = 0.31", "price_per_kwh = 31",
        "test.toml: tier no. 2: price_per_kwh = 31 is outside 0 to 2 EUR per kWh. "
        "If it is in hundredths (cents, pence), write 0.31.",
    ),
    (
        'clock = "utc"', 'clock = "utc"\nadder_per_kwh = 250.0',
        "test.toml: [series] adder_per_kwh = 250 is outside -2 to 2 EUR per kWh. If for a MWh, write 0.25.",
    ),
    (
        "standing_per_day = 0.80", "standing_per_day = -0.80",
        "test.toml: version no. 1: standing_per_day = -0.8 is below 0, and a standing charge is paid, not earned. "
        "Write 0.8, or 0 for none.",
    ),
    (
        'clock = "utc"', 'clock = "utc"\nfloor_per_kwh = 0.5\ncap_per_kwh = 0.4',
        "test.toml: [series] floor_per_kwh = 0.5 is above cap_per_kwh = 0.4. Swap the two, or leave one out.",
    ),
    (
        "per_week = 6", "per_week = 99",
        "test.toml: [granted] per_week = 99 is more than the 98 half-hours that lie between 09:00 and 16:00 in a "
        "week. Widen from and to, or write fewer.",
    ),
    (
        "interval_minutes = 15\n\n[[levy]]", "interval_minutes = 20\n\n[[levy]]",
        "test.toml: [demand] interval_minutes = 20 is not 60, 30 or 15 (time over which power is averaged, in "
        "minutes). Write for example interval_minutes = 15.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "sentence"), ONE_SLIP)
def test_every_slip_has_its_sentence(tmp_path: Path, good: str, bad: str, sentence: str) -> None:
    assert good in EVERYTHING
    found = faults(tmp_path, EVERYTHING.replace(good, bad, 1))
    assert sentence in found, found


def test_no_price_of_any_kind_leaves_every_minute_uncovered(tmp_path: Path) -> None:
    assert faults(tmp_path, HEAD) == [
        "test.toml: every day 00:00 to 24:00 is not covered by any band. "
        "Every minute has exactly one price: stretch a band over it, or add one."
    ]


def test_a_hole_in_the_bands_of_a_version_names_the_version(tmp_path: Path) -> None:
    version = VERSION + BAND.replace("[[band]]", "[[version.band]]").replace('"24:00"', '"23:30"')
    (told,) = faults(tmp_path, HEAD + BAND + version)
    assert told.startswith("test.toml: version from 2025-07-01: every day 23:30 to 24:00 is not covered by any band.")


def test_a_country_of_sale_is_a_country(tmp_path: Path) -> None:
    where = HEAD.replace("currency", 'sold_in = "UK"\ncurrency', 1)
    assert faults(tmp_path, where + BAND) == [
        'test.toml: sold_in = "UK" is not a country code of ISO 3166. Write "GB".'
    ]
    assert read_tariff(written(tmp_path, where.replace("UK", "GB") + BAND)).sold_in == "GB"
