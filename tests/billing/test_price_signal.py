"""The price that control sees: bands, clocks, holidays and edges inside steps."""

from __future__ import annotations

import datetime as dt
import re

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charges.hours import free_dates
from simkit.billing.charges.on_axis import laid
from simkit.billing.price_signal import price_edges, price_signal
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.tariff.tariff import Demand, Tariff

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
SHORT_NIGHT = tariff(band("Cheap", 0.10, "00:30", "04:30"), band("Rest", 0.34, "04:30", "00:30"))


def at(axis: TimeAxis, when: str) -> int:
    """Step that begins at a local wall time."""
    return int(np.flatnonzero(axis.local.strftime("%Y-%m-%d %H:%M") == when)[0])


def test_a_flat_price_holds_in_every_step_with_its_tax() -> None:
    flat = tariff(band("All", 0.30, "00:00", "24:00"), tax=0.1, prices_include_tax=False, export=0.05)
    signal = price_signal(flat, DUBLIN)
    assert signal.import_per_kwh == pytest.approx(np.full(8760, 0.33), abs=1e-15)
    assert set(signal.export_per_kwh) == {0.05}
    assert signal.notes == ()


def test_a_step_over_an_edge_carries_the_mean_and_a_note_says_so() -> None:
    signal = price_signal(SHORT_NIGHT, DUBLIN)
    night = at(DUBLIN, "2025-01-10 00:00")
    assert signal.import_per_kwh[night : night + 6] == pytest.approx([0.22, 0.10, 0.10, 0.10, 0.22, 0.34])
    assert signal.notes == (
        'Tariff "Test tariff": the price changes inside 730 of 8,760 steps, which carry the mean weighted by time; '
        "steps of 30 minutes would end it.",
    )
    assert price_signal(SHORT_NIGHT, TimeAxis("Europe/Dublin", 2025, 30)).notes == ()


def test_a_late_meter_leaves_edges_inside_every_step_length() -> None:
    late = SHORT_NIGHT.model_copy(update={"meter_offset_minutes": 12})
    signal = price_signal(late, TimeAxis("Europe/Dublin", 2025, 15))
    assert signal.import_per_kwh[2] == pytest.approx((12 * 0.34 + 3 * 0.10) / 15)
    assert signal.notes[0].endswith("weighted by time.")


@pytest.mark.parametrize(("months", "told"), [(1, False), (2, True)])
def test_peaks_of_the_months_before_are_the_years_own_and_a_note_says_so(months: int, told: bool) -> None:
    peak = {"name": "Peak", "price_per_kw_month": 4.0, "interval_minutes": 60, "rolling_months": months}
    rules = tariff(band("All", 0.3, "00:00", "24:00"), demand=Demand.model_validate(peak))
    note = (
        'Tariff "Test tariff": peaks of the months before 2025 are taken from its own end, as if the years were alike.'
    )
    assert (note in price_signal(rules, DUBLIN).notes) == told


def test_two_bands_of_one_price_make_no_note() -> None:
    same = tariff(band("A", 0.3, "00:30", "04:30"), band("B", 0.3, "04:30", "00:30"))
    assert price_signal(same, DUBLIN).notes == ()


def test_a_utc_meter_is_an_hour_late_in_summer() -> None:
    night = tariff(band("Night", 0.1, "00:00", "07:00"), band("Day", 0.3, "07:00", "24:00"), clock="utc")
    axis = TimeAxis("Europe/London", 2025, 60)
    price = price_signal(night, axis).import_per_kwh
    for day, cheap in (("2025-01-15", range(7)), ("2025-07-15", range(1, 8))):
        first = at(axis, f"{day} 00:00")
        assert list(np.flatnonzero(price[first : first + 24] == 0.1)) == list(cheap)
    assert price_edges(night, axis) == ("00:00", "01:00", "07:00", "08:00")
    assert price_edges(night, TimeAxis("Asia/Kolkata", 2025, 30)) == ("05:30", "12:30")
    assert price_edges(SHORT_NIGHT, axis) == ("00:30", "04:30")


def test_weekend_and_months_are_asked_of_each_minutes_own_day() -> None:
    rules = tariff(
        band("Day", 0.3, "07:00", "22:00", days="workdays"),
        band("Night", 0.2, "22:00", "07:00", days="workdays"),
        band("Weekend", 0.1, "00:00", "24:00", days=("saturday", "sunday"), months=(1, 2, 3, 4, 5, 6)),
        band("Weekend", 0.15, "00:00", "24:00", days="weekend", months=(7, 8, 9, 10, 11, 12)),
    )
    price = price_signal(rules, DUBLIN).import_per_kwh
    assert price[at(DUBLIN, "2025-06-27 23:00")] == 0.2  # a Friday
    assert price[at(DUBLIN, "2025-06-28 00:00")] == 0.1
    assert price[at(DUBLIN, "2025-06-29 23:00")] == 0.1  # a Sunday
    assert price[at(DUBLIN, "2025-06-30 06:00")] == 0.2
    assert price[at(DUBLIN, "2025-07-05 12:00")] == 0.15
    assert [line.label for line in laid(rules, DUBLIN).bought.lines] == [
        "Day",
        "Night",
        "Weekend at 0.1",
        "Weekend at 0.15",
    ]


def holiday_tariff() -> Tariff:
    return tariff(
        band("Work", 0.3, "00:00", "24:00", days="workdays"),
        band("Free", 0.1, "00:00", "24:00", days="weekend"),
        holidays_as="weekend",
    )


def test_public_holidays_are_priced_as_sundays() -> None:
    import holidays  # the package is the outside check: its own calendar of the year, day by day

    price = price_signal(holiday_tariff(), DUBLIN, country="IE").import_per_kwh
    calendar = holidays.country_holidays("IE", years=2025)
    noons = {f"{stamp:%Y-%m-%d}": k for k, stamp in enumerate(DUBLIN.local) if stamp.hour == 12}
    for day in DUBLIN.dates.astype(object):
        noon = noons[str(day)]
        free = day.weekday() > 4 or day in calendar
        assert price[noon] == (0.1 if free else 0.3), day
    assert dt.date(2025, 3, 17) in calendar, "Saint Patrick's Day, a Monday in 2025"


def test_a_part_of_a_country_has_its_own_holidays() -> None:
    scotland, england = (set(free_dates(2025, f"GB-{part}", tariff="x").astype(object)) for part in ("SCT", "ENG"))
    assert dt.date(2025, 1, 2) in scotland - england, "2 January is a bank holiday in Scotland only"


def test_a_tariff_applied_before_it_is_valid_says_so() -> None:
    early = tariff(band("All", 0.3, "00:00", "24:00"), valid_from=dt.date(2025, 7, 1))
    assert price_signal(early, DUBLIN).notes == (
        'Tariff "Test tariff" is valid from 1 July 2025 and is applied to all of 2025.',
    )
    assert price_signal(early.model_copy(update={"valid_from": dt.date(2025, 1, 1)}), DUBLIN).notes == ()


def test_the_same_arguments_give_the_same_arrays() -> None:
    first = price_signal(SHORT_NIGHT, TimeAxis("Europe/Dublin", 2025, 60))
    assert price_signal(SHORT_NIGHT.model_copy(), DUBLIN, country="IE") is first
    with pytest.raises(ValueError, match="read-only"):
        first.import_per_kwh[0] = 0.0


FAULTS = [
    (
        lambda: price_signal(holiday_tariff(), DUBLIN),
        'tariff "Test tariff": holidays_as = "weekend" needs the country of the home, to know its public holidays. '
        'Give the country of the home by its ISO 3166 code, for example "IE" or "GB-SCT".',
    ),
    (
        lambda: price_signal(holiday_tariff(), DUBLIN, country="XQ"),
        'tariff "Test tariff": country = "XQ" is not a country or part of one whose public holidays are known. '
        'Give the country of the home by its ISO 3166 code, for example "IE" or "GB-SCT".',
    ),
    (
        lambda: price_signal(
            tariff(
                band("Old", 0.3, "00:00", "24:00", last_date=dt.date(2025, 3, 31)),
                band("New", 0.3, "00:00", "24:00", first_date=dt.date(2025, 5, 1), last_date=dt.date(2025, 12, 30)),
            ),
            DUBLIN,
        ),
        'tariff "Test tariff": 2025-04-01 to 2025-04-30, 2025-12-31 has no price, or more than one, at some time of '
        "these days. Stretch first_date and last_date of its bands, or simulate another year.",
    ),
]


@pytest.mark.parametrize(("call", "text"), FAULTS)
def test_every_fault_is_a_plain_sentence(call: object, text: str) -> None:
    with pytest.raises(CaseError, match=re.escape(text)):
        call()
