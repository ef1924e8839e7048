"""Shares of steps inside the hours and dates of a tariff."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charges.hours import billing_months, by_month, dates_within, free_dates, runs, share_of, span_of
from simkit.clock import TimeAxis
from simkit.tariff.tariff import Version

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
LONDON = TimeAxis("Europe/London", 2025, 60)
CHANGE = tariff(band("All", 0.3, "00:00", "24:00"), version=(Version(valid_from=dt.date(2025, 7, 1)),))


def test_versions_share_out_the_year_and_the_first_reaches_back() -> None:
    versions = CHANGE.versions
    spans = [span_of(terms, versions) for terms in versions]
    assert spans == [(None, "2025-06-30"), ("2025-07-01", None)]
    shares = [share_of(None, terms, DUBLIN, span=span) for terms, span in zip(versions, spans, strict=True)]
    assert np.array_equal(shares[0] + shares[1], np.ones(DUBLIN.steps))
    assert shares[0].sum() == 181 * 24 - 1  # own: January to June without the hour of 30 March
    assert [by_month(DUBLIN, dates_within(DUBLIN, span)).sum() for span in spans] == [181, 184]


def test_a_band_is_cut_to_the_dates_of_its_version() -> None:
    dated = band("Spring", 0.3, "00:00", "24:00", first_date=dt.date(2025, 3, 1), last_date=dt.date(2025, 8, 31))
    share = share_of(dated, CHANGE, DUBLIN, span=(None, "2025-06-30"), country=None)
    days = np.unique(DUBLIN.dates[DUBLIN.day[share > 0]])
    assert (days[0], days[-1]) == (np.datetime64("2025-03-01"), np.datetime64("2025-06-30"))


def test_the_day_of_a_utc_meter_begins_at_its_own_midnight() -> None:
    utc = CHANGE.model_copy(update={"clock": "utc"})
    share = share_of(None, utc, LONDON, span=(None, "2025-06-30"))
    last = LONDON.local[np.flatnonzero(share)[-1]]
    assert str(last) == "2025-07-01 00:00:00+01:00", "the hour from 00:00 wall time is 23:00 UTC of the day before"


@pytest.mark.parametrize(("day", "first", "length"), [(None, 0, 31), (15, 11, 31)])
def test_billing_months(day: int | None, first: int, length: int) -> None:
    months = billing_months(DUBLIN, day)
    assert months[0] == first
    assert np.bincount(months)[0] == length
    assert np.bincount(months).sum() == 365


def test_runs_begin_where_any_key_changes() -> None:
    assert list(runs(np.array([1, 1, 2, 2, 2]), np.array([0, 0, 0, 5, 5]))) == [0, 2, 3]


def test_holidays_at_both_turns_of_the_year_are_known() -> None:
    found = free_dates(2025, "IE", tariff="test").astype(str)
    assert {"2024-12-25", "2025-12-25", "2026-12-25"} <= set(found)
