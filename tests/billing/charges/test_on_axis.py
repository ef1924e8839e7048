"""A tariff laid on a time axis: what is refused, what is noted, what is kept."""

from __future__ import annotations

import datetime as dt
import re
from types import SimpleNamespace

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charge import charge, charge_stove
from simkit.billing.charges.granted import granted_shares
from simkit.billing.charges.on_axis import laid
from simkit.billing.charges.refusals import require_one_price
from simkit.billing.price_signal import price_edges, price_signal
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.tariff.tariff import Demand, Granted, Rebate, Tier
from simkit.times_of_day import shortest_step

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
ALL_DAY = band("All day", 0.30, "00:00", "24:00")
GRANTED = Granted.model_validate({"per_week": 6, "from": "09:00", "to": "16:00", "price_per_kwh": 0.10})


def test_a_year_that_goes_on_after_the_tariff_is_refused() -> None:
    ended = tariff(ALL_DAY, valid_to=dt.date(2025, 9, 30))
    sentence = (
        'tariff "Test tariff": 2025-10-01 to 2025-12-31 has no tariff: it ends on 2025-09-30. Add a [[version]] from '
        "the next day on, leave valid_to out, or simulate another year."
    )
    with pytest.raises(CaseError, match=re.escape(sentence)):
        laid(ended, DUBLIN)
    assert laid(tariff(ALL_DAY, valid_to=dt.date(2025, 12, 31)), DUBLIN).split == 0


@pytest.mark.parametrize("minutes", [15, 30])
def test_peaks_shorter_than_a_step_shorten_it_or_are_refused(minutes: int) -> None:
    rules = tariff(ALL_DAY, demand=Demand(name="Peak", price_per_kw_month=4.0, interval_minutes=minutes))
    assert shortest_step(price_edges(rules, DUBLIN)) == (minutes, [])
    sentence = (
        f'tariff "Test tariff": [demand] peaks of {minutes} minutes can\'t be found on steps of 60 minutes, which hide '
        f"them. Set step_minutes = {minutes}."
    )
    with pytest.raises(CaseError, match=re.escape(sentence)):
        laid(rules, DUBLIN)


@pytest.mark.parametrize(("zone", "edges"), [("Europe/Dublin", ("00:00",)), ("Asia/Kolkata", ("00:00", "00:30"))])
def test_hours_of_utc_shorten_the_step_where_the_zone_is_half_an_hour_off(zone: str, edges: tuple[str, ...]) -> None:
    from simkit.tariff.tariff import PriceSeries

    hourly = PriceSeries(name="M", file="m.csv", per="MWh", interval_minutes=60, clock="utc")
    assert price_edges(tariff(series=hourly), TimeAxis(zone, 2025, 30)) == edges
    assert price_edges(tariff(series=hourly.model_copy(update={"interval_minutes": 15})), DUBLIN) == ("00:00", "00:15")


def test_netting_by_less_than_an_hour_shortens_the_step() -> None:
    assert price_edges(tariff(ALL_DAY, netting="15 min", export=0.1), DUBLIN) == ("00:00", "00:15")
    assert price_edges(tariff(ALL_DAY, netting="month", export=0.1), DUBLIN) == ("00:00",)


def test_granted_half_hours_are_a_scenario_and_never_counted_by_themselves() -> None:
    rules = tariff(ALL_DAY, granted=GRANTED)
    plain, scenario = laid(rules, DUBLIN), laid(rules, DUBLIN, granted=True)
    assert set(plain.import_per_kwh) == {0.30}
    assert plain.notes == (
        'Tariff "Test tariff" may grant 6 cheap half-hours a week; none is counted, since the supplier chooses them.',
    )
    assert scenario.notes == ('Scenario: tariff "Test tariff" grants 6 cheap half-hours a week, laid by chance.',)
    cheap = scenario.import_per_kwh == 0.10
    assert cheap.sum() == pytest.approx(365 / 7 * 3, abs=1), "three hours a week"
    hours = DUBLIN.minute_of_day[cheap] // 60
    assert hours.min() >= 9
    assert hours.max() < 16
    bill = charge(rules, DUBLIN, np.ones(8760), granted=True)
    assert [line.label for line in bill.lines] == ["All day", "Granted half-hours"]
    assert charge(rules, DUBLIN, np.ones(8760)).total == pytest.approx(0.30 * 8760, abs=1e-6), "unless it is asked for"
    assert bill.total == pytest.approx((scenario.import_per_kwh).sum(), abs=0.13)
    assert price_signal(rules, DUBLIN, granted=True).import_per_kwh is scenario.import_per_kwh


@pytest.mark.parametrize("step", [60, 30, 15])
def test_a_week_has_the_slots_that_were_promised(step: int) -> None:
    axis = TimeAxis("Europe/Dublin", 2025, step)
    hours = np.bincount(axis.day // 7, weights=granted_shares(GRANTED, axis)) * axis.hours
    assert hours[:52] == pytest.approx(3.0, abs=step / 60)
    assert hours[0] == 3.0, "nothing is owed when the year begins"
    assert np.array_equal(granted_shares(GRANTED, axis), granted_shares(GRANTED.model_copy(), axis)), (
        "the same every time"
    )


def test_laid_tariffs_are_kept_by_value() -> None:
    assert laid(tariff(ALL_DAY), DUBLIN, "IE") is laid(tariff(ALL_DAY), TimeAxis("Europe/Dublin", 2025, 60))


@pytest.mark.parametrize("zone", ["Australia/Lord_Howe", "Europe/Dublin", "Asia/Kolkata"])
@pytest.mark.parametrize("minutes", [30, 60])
def test_the_peak_of_a_constant_load_is_that_load_through_every_clock_change(zone: str, minutes: int) -> None:
    """IANA: the clock of Lord Howe Island shifts by half an hour."""
    axis = TimeAxis(zone, 2025, 30)
    rules = tariff(ALL_DAY, demand=Demand(name="Peak", price_per_kw_month=1.0, interval_minutes=minutes))
    peak = charge(rules, axis, np.full(axis.steps, 1.7 * 0.5)).lines[1]
    assert peak.quantities == pytest.approx(np.full(12, 1.7))


@pytest.mark.parametrize(("begin", "peak"), [("07:15", 3.0), ("07:30", 3.0), ("07:45", 1.0)])
def test_an_interval_counts_where_at_least_half_of_it_lies_within_the_hours(begin: str, peak: float) -> None:
    """own: three quarters, half and one quarter of the hour from 07:00, in which alone 3 kW are drawn."""
    axis = TimeAxis("Europe/Dublin", 2025, 15)
    demand = {
        "name": "Peak",
        "price_per_kw_month": 1.0,
        "interval_minutes": 60,
        "within": {"from": begin, "to": "22:00", "days": "all"},
    }
    kw = 1.0 + 2.0 * axis.window("07:00", "08:00")
    found = charge(tariff(ALL_DAY, demand=Demand.model_validate(demand)), axis, 0.25 * kw).lines[1]
    assert found.quantities == pytest.approx(np.full(12, peak))


def test_the_dearest_tier_is_in_the_price_that_control_sees() -> None:
    """By hand: 0.30 of the band and 0.06 of the upper tier, both with 9 % of tax."""
    tiers = (Tier(name="First", up_to_kwh=150.0, price_per_kwh=0.02), Tier(name="Beyond", price_per_kwh=0.06))
    rules = tariff(ALL_DAY, tax=0.09, prices_include_tax=False).model_copy(update={"tier": tiers})
    assert laid(rules, DUBLIN).import_per_kwh == pytest.approx(np.full(8760, 0.36 * 1.09), abs=1e-12)


class Hashed(SimpleNamespace):
    __hash__ = object.__hash__  # what is laid on an axis is kept by its tariff


def test_edges_of_the_hour_and_of_prices_of_export() -> None:
    hourly = tariff(ALL_DAY).model_copy(update={"netting": "hour"})
    assert set(price_edges(hourly, DUBLIN)) == {"00:00"}
    sold = SimpleNamespace(interval_minutes=15, clock="local")
    terms = SimpleNamespace(series=None, export=SimpleNamespace(series=sold), demand=None)
    rules = Hashed(edges=(), clock="local", versions=(terms,), netting=None, band=(ALL_DAY,))
    assert price_edges(rules, DUBLIN) == ("00:15",)


def test_of_many_stretches_without_a_price_three_are_shown() -> None:
    off = np.zeros(DUBLIN.steps)
    off[[24 * day for day in (0, 10, 20, 30, 40)]] = 1.0
    with pytest.raises(CaseError) as caught:
        require_one_price(tariff(ALL_DAY), DUBLIN, off)
    assert "2025-01-01, 2025-01-11, 2025-01-21 and 2 more stretches" in str(caught.value)


def test_a_rebate_that_is_taxed_takes_its_tax_off_as_well() -> None:
    """By hand: 0.10 on 365 days, with 9 % of tax on top."""
    plain = tariff(ALL_DAY, tax=0.09, prices_include_tax=False)
    less = plain.model_copy(update={"rebate": (Rebate(name="Off", per_day=0.10, taxed=True),)})
    bills = [charge(rules, DUBLIN, np.ones(8760)).total for rules in (plain, less)]
    assert bills[0] - bills[1] == pytest.approx(36.5 * 1.09, abs=0.07)  # rounded by the month


def test_a_stove_burns_what_is_stated_in_the_months_of_its_heat() -> None:
    """By hand: twice the heat in January's hours as in every other: 2 · 744 of 8,760 + 744 shares of 4 m³."""
    heat = np.ones(8760)
    heat[:744] = 2.0
    stove = SimpleNamespace(amount=4.0, burns="wood", kind="stove", unit="m3", price_per_unit=100.0)
    (line,) = charge_stove(stove, DUBLIN, heat, currency="EUR").lines
    assert line.quantity == pytest.approx(4.0)
    assert line.months[0] == pytest.approx(400.0 * 1488 / 9504, abs=0.005)
