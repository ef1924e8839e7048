"""Zones and countries: what is one, and what is meant by what isn't."""

from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

import pytest

from case.stated import made, only, table, with_path
from simkit.schema.country_codes import country_codes, country_of_zone
from simkit.times_of_day import is_zone

SLIPS = [
    ("zone", "Europe/Dubln", 'zone = "Europe/Dubln" is not a time zone of the IANA database. Perhaps "Europe/Dublin" '
     'is meant.'),
    ("zone", "xyz", 'zone = "xyz" is not a time zone of the IANA database. Write a name such as "Europe/Dublin".'),
    ("zone", "../etc", 'zone = "../etc" is not a time zone of the IANA database.'),
    ("country", "UK", 'country = "UK" is not a country code of ISO 3166. Write "GB".'),
    ("country", "ie", 'country = "ie" is not a country code of ISO 3166. Write "IE".'),
    ("country", "Ireland", 'country = "Ireland" is not a country code of ISO 3166. Perhaps "IE" is meant.'),
    ("country", "QQ", 'country = "QQ" is not a country code of ISO 3166. Write a code of two capital letters such as '
     '"IE".'),
]  # fmt: skip


@pytest.mark.parametrize(("key", "value", "sentence"), SLIPS, ids=[value for _, value, _ in SLIPS])
def test_what_is_no_zone_and_no_country(key: str, value: Any, sentence: str) -> None:
    assert only(with_path(f"site.{key}", value)).startswith(f"case.toml: [site] {sentence}")


def test_the_country_follows_the_zone_unless_it_is_said() -> None:
    assert made(table()).site.country == "IE"
    assert made(with_path("site.country", "GB")).site.country == "GB"


def test_a_zone_of_no_one_country_asks_for_the_country() -> None:
    assert only(with_path("site.zone", "Etc/UTC")) == (
        "case.toml: [site] country is missing (ISO 3166 country code of two letters, for public holidays). "
        'Add a line such as: country = "IE".'
    )


def test_every_zone_with_a_country_is_a_zone_and_the_country_has_a_name() -> None:
    zones, codes = country_of_zone(), country_codes()
    assert zones["Europe/Brussels"] == "BE"
    assert zones["Europe/Copenhagen"] == "DK"
    assert set(zones.values()) <= set(codes)
    assert set(zones) <= available_timezones()
    assert all(is_zone(zone) for zone in zones)
