"""A month worked by hand for every kind of line that a tariff can have, the arithmetic beside it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.bill import Bill
from simkit.billing.charge import charge, charge_lanes_months, fixed_cost
from simkit.billing.price_signal import price_signal
from simkit.clock import TimeAxis
from simkit.tariff.tariff import Demand, Export, Hours, Levy, PriceSeries, Rebate, Tariff, Tier, Version

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
BRUSSELS = TimeAxis("Europe/Brussels", 2025, 15)
ALL_DAY = band("All day", 0.30, "00:00", "24:00")


def month(bill: Bill, number: int) -> dict[str, float]:
    return {line.label: float(line.months[number - 1]) for line in bill.lines}


def total(bill: Bill, number: int) -> float:
    return float(bill.months[number - 1])


def constant(axis: TimeAxis, kw: float) -> np.ndarray:
    return np.full(axis.steps, kw * axis.hours)


# --- versions --------------------------------------------------------------------------------------------------------


def test_terms_that_change_in_the_middle_of_an_october_with_a_25_hour_day() -> None:
    # own. 1 kW all of October 2025 in Dublin; the clock goes back on the 26th (IANA), whose night 23:00-08:00 has 10 h.
    # Until the 15th (15 d): night 15 × 9 = 135 kWh × 0.1333 = 17.9955 -> 18.00; day 15 × 15 = 225 × 0.3517 = 79.1325
    # -> 79.13; standing 15 × 0.7777 = 11.6655 -> 11.67; tax 9 % of 108.80 = 9.792 -> 9.79.
    # From the 16th (16 d): night 16 × 9 + 1 = 145 kWh × 0.1555 = 22.5475 -> 22.55; day 16 × 15 = 240 × 0.3711 = 89.064
    # -> 89.06; standing 16 × 0.8123 = 12.9968 -> 13.00; tax 13.5 % of 124.61 = 16.82235 -> 16.82.
    # Sum 108.80 + 9.79 + 124.61 + 16.82 = 260.02
    rules = tariff(
        band("Night", 0.1333, "23:00", "08:00"), band("Day", 0.3517, "08:00", "23:00"),
        standing_per_day=0.7777, tax=0.09, prices_include_tax=False,
        version=(Version(
            valid_from=dt.date(2025, 10, 16), standing_per_day=0.8123, tax=0.135,
            band=(band("Night", 0.1555, "23:00", "08:00"), band("Day", 0.3711, "08:00", "23:00")),
        ),),
    )  # fmt: skip
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 10) == {
        "Night at 0.1333": 18.00, "Day at 0.3517": 79.13, "Night at 0.1555": 22.55, "Day at 0.3711": 89.06,
        "Standing charge at 0.7777": 11.67, "Standing charge at 0.8123": 13.00, "Tax at 9 %": 9.79,
        "Tax at 13.5 %": 16.82,
    }  # fmt: skip
    assert total(bill, 10) == 260.02
    assert [line.quantities[9] for line in bill.lines if line.kind == "standing"] == [15, 16]


def test_what_a_version_leaves_out_stays_as_it_was() -> None:
    later = Version(valid_from=dt.date(2025, 7, 1), standing_per_day=2.0)
    rules = tariff(ALL_DAY, standing_per_day=1.0, version=(later,))
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert [line.label for line in bill.lines] == ["All day", "Standing charge at 1", "Standing charge at 2"]
    assert fixed_cost(rules, DUBLIN) == 181 + 184 * 2  # own: 181 days to 30 June, 184 after


# --- prices of a file ------------------------------------------------------------------------------------------------


def series(folder: Path, prices: np.ndarray, **terms: object) -> PriceSeries:
    stamps = DUBLIN.utc.strftime("%Y-%m-%dT%H:%MZ")
    path = folder / "invented.csv"
    path.write_text("time,price\n" + "\n".join(f"{a},{b:.4f}" for a, b in zip(stamps, prices, strict=True)) + "\n")
    plain = {"name": "Market", "file": str(path), "per": "MWh", "interval_minutes": 60, "clock": "utc"}
    return PriceSeries.model_validate(plain | terms)


def test_a_january_at_market_prices_with_factor_adder_cap_and_floor(tmp_path: Path) -> None:
    # own. Prices in turn: day hours 0-11 at 80 EUR/MWh, 12-22 at 400, hour 23 at -200. Rule 1.1 × price + 0.02, held
    # between 0 and 0.40: 0.088 + 0.02 = 0.108; 0.44 + 0.02 = 0.46 -> 0.40; -0.22 + 0.02 = -0.20 -> 0.
    # January, 1 kW: 31 × (12 × 0.108 + 11 × 0.40 + 1 × 0) = 31 × 5.696 = 176.576 -> 176.58
    # Network band 31 × 24 × 0.05 = 37.20; tax 9 % of 213.78 = 19.2402 -> 19.24; sum 233.02
    hour = DUBLIN.minute_of_day // 60
    prices = np.where(hour < 12, 80.0, np.where(hour < 23, 400.0, -200.0))
    market = series(tmp_path, prices, factor=1.1, adder_per_kwh=0.02, floor_per_kwh=0.0, cap_per_kwh=0.40)
    rules = tariff(band("Network", 0.05, "00:00", "24:00"), series=market, tax=0.09, prices_include_tax=False)
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 1) == {"Network": 37.20, "Market": 176.58, "Tax at 9 %": 19.24}
    assert total(bill, 1) == 233.02
    # own: 5.696 / 24 + 0.05 = 0.28733 before tax, on days of 24 h; the two clock changes lie in the hours at 0.108
    assert bill.mean_price_per_kwh == pytest.approx((5.696 / 24 + 0.05) * 1.09, abs=2e-5)


def test_a_tax_of_its_own_on_prices_of_a_file_where_the_others_hold_theirs(tmp_path: Path) -> None:
    # own: 744 kWh × 0.100 × 1.25 = 93.00, beside a band that holds its tax: 744 × 0.05 = 37.20
    market = series(tmp_path, np.full(8760, 100.0), tax=0.25)
    bill = charge(
        tariff(band("Network", 0.05, "00:00", "24:00"), series=market, tax=0.25), DUBLIN, constant(DUBLIN, 1.0)
    )
    assert month(bill, 1) == {"Network": 37.20, "Market": 93.00}


def test_a_negative_market_price_is_not_a_negative_bill(tmp_path: Path) -> None:
    # own: -10 EUR/MWh + network 0.05 + levy 0.02: 744 × (-0.01 + 0.05 + 0.02) = 44.64
    market = series(tmp_path, np.full(8760, -10.0))
    rules = tariff(
        band("Network", 0.05, "00:00", "24:00"), series=market, levy=(Levy(name="Levy", per_kwh=0.02, taxed=False),)
    )
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 1) == {"Network": 37.20, "Market": -7.44, "Levy": 14.88}


# --- tiers -----------------------------------------------------------------------------------------------------------


def tiers(*rows: tuple[str, float | None, float], **terms: object) -> Tariff:
    return tariff(tier=tuple(Tier(name=n, up_to_kwh=u, price_per_kwh=p) for n, u, p in rows), **terms)


def test_a_february_through_three_tiers() -> None:
    # own. 1 kW in February 2025: 672 kWh. First 200 × 0.20 = 40.00; to 500: 300 × 0.25 = 75.00; rest 172 × 0.31 = 53.32
    rules = tiers(("First 200", 200.0, 0.20), ("To 500", 500.0, 0.25), ("Beyond", None, 0.31))
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 2) == {"First 200": 40.00, "To 500": 75.00, "Beyond": 53.32}
    assert [use.name for use in bill.bands] == ["First 200", "To 500", "Beyond"]
    assert sum(use.kwh for use in bill.bands) == pytest.approx(8760)


def test_tiers_of_a_month_in_which_the_terms_change_have_their_thresholds_cut_by_days() -> None:
    # own. April 2025, 1 kW: 10 days of old terms (240 kWh, threshold 300 × 10/30 = 100), 20 of new (480 kWh, threshold
    # 300 × 20/30 = 200). Old: 100 × 0.20 + 140 × 0.30; new: 200 × 0.22 + 280 × 0.33
    change = Version(valid_from=dt.date(2025, 4, 11), tier=(Tier(name="Low", up_to_kwh=300.0, price_per_kwh=0.22),
                                                            Tier(name="High", price_per_kwh=0.33)))  # fmt: skip
    rules = tiers(("Low", 300.0, 0.20), ("High", None, 0.30), version=(change,))
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 4) == {"Low at 0.2": 20.00, "High at 0.3": 42.00, "Low at 0.22": 44.00, "High at 0.33": 92.40}


def test_billing_months_from_the_15th_are_shared_out_over_calendar_months() -> None:
    # own. 1 kW. Billing month 15 June to 14 July: 16 d + 14 d = 384 + 336 = 720 kWh, of which 200 in the first tier:
    # by use 200 × 384/720 = 106.67 in June and 93.33 in July. 15 May to 14 June: 17 d + 14 d = 744 kWh: 200 × 336/744
    # = 90.32 in June. June: 106.67 + 90.32 = 196.99 kWh × 0.10 = 19.70.
    # The billing month over the turn of the year: 14 d of January and 17 d of December, 744 kWh together.
    rules = tiers(("First", 200.0, 0.10), ("Rest", None, 0.20), billing_day=15)
    bill = charge(rules, TimeAxis("UTC", 2025, 60), constant(TimeAxis("UTC", 2025, 60), 1.0))
    assert month(bill, 6)["First"] == 19.70
    assert bill.lines[0].quantity == pytest.approx(2400), "twelve billing months of 200 kWh"
    # January: 14 d of the joined month, 200 × 336/744 = 90.32; 17 d of 15 Jan to 14 Feb (408 + 336 kWh), 109.68
    assert bill.lines[0].quantities[0] == pytest.approx(200.0)


# --- demand ----------------------------------------------------------------------------------------------------------


def with_demand(**terms: object) -> Tariff:
    plain = {"name": "Peak power", "interval_minutes": 15, "price_per_kw_year": 48.0}
    return tariff(ALL_DAY, demand=Demand.model_validate(plain | terms))


def test_a_peak_of_fifteen_minutes_over_twelve_months_with_a_floor() -> None:
    # own. 1 kW all year, 9 kW for a quarter of an hour in March. Month's peaks: 2.5 (the floor) in eleven, 9 in one.
    # Mean of twelve (11 × 2.5 + 9) / 12 = 3.041667 kW in every month, × 48 / 12 = 12.1667 -> 12.17
    use = constant(BRUSSELS, 1.0)
    use[np.flatnonzero(BRUSSELS.month == 3)[777]] = 9.0 * 0.25
    bill = charge(with_demand(rolling_months=12, floor_kw=2.5), BRUSSELS, use)
    assert month(bill, 1)["Peak power"] == month(bill, 3)["Peak power"] == 12.17
    alone = charge(with_demand(floor_kw=2.5), BRUSSELS, use)
    assert [month(alone, m)["Peak power"] for m in (2, 3, 4)] == [10.00, 36.00, 10.00]  # own: 2.5 × 4, 9 × 4, 2.5 × 4
    assert alone.lines[1].unit == "kW"


@pytest.mark.parametrize(("minutes", "peak"), [(15, 9.0), (30, 5.0), (60, 3.0)])
def test_the_peak_is_the_mean_over_the_charges_own_interval(minutes: int, peak: float) -> None:
    # own: 1 kW, one quarter-hour of 9 kW: over half an hour (9 + 1) / 2 = 5, over an hour (9 + 3 × 1) / 4 = 3
    use = constant(BRUSSELS, 1.0)
    use[np.flatnonzero(BRUSSELS.month == 3)[776]] = 9.0 * 0.25
    bill = charge(with_demand(interval_minutes=minutes), BRUSSELS, use)
    assert bill.lines[1].quantities[2] == pytest.approx(peak)


def test_peaks_outside_the_hours_that_count_are_free() -> None:
    within = Hours.model_validate({"from": "07:00", "to": "22:00", "days": "workdays"})
    use = constant(BRUSSELS, 1.0)
    night = np.flatnonzero((BRUSSELS.month == 3) & (BRUSSELS.minute_of_day == 120))[3]
    use[night] = 9.0 * 0.25
    bill = charge(with_demand(within=within), BRUSSELS, use)
    assert bill.lines[1].quantities[2] == pytest.approx(1.0)


def test_the_peak_is_of_the_whole_house_and_not_of_one_part() -> None:
    rng = np.random.default_rng(2)
    one, other = rng.gamma(0.5, 1.0, (2, BRUSSELS.steps))
    rules = with_demand()
    apart = charge(rules, BRUSSELS, one).lines[1].quantity + charge(rules, BRUSSELS, other).lines[1].quantity
    assert charge(rules, BRUSSELS, one + other).lines[1].quantity < apart, "peaks of parts don't meet"


# --- levies, rebates -------------------------------------------------------------------------------------------------


def test_a_march_with_levies_and_rebates_taxed_and_not() -> None:
    # own. 1 kW in March 2025 in Dublin: 31 d of 24 h less one hour = 743 kWh.
    # Energy 743 × 0.30 = 222.90; taxed levy 743 × 0.012 = 8.916 -> 8.92; untaxed levy 743 × 0.02 = 14.86;
    # levy by day 31 × 0.10 = 3.10 (taxed); rebate before tax -15 % of 222.90 = -33.435 -> -33.44 (away from zero);
    # rebate after tax -10.00. Taxed sum 222.90 + 8.92 + 3.10 - 33.44 = 201.48 × 0.09 = 18.1332 -> 18.13
    # Sum 222.90 + 8.92 + 14.86 + 3.10 - 33.44 - 10.00 + 18.13 = 224.47
    rules = tariff(
        ALL_DAY, tax=0.09, prices_include_tax=False,
        levy=(Levy(name="Renewables", per_kwh=0.012, taxed=True), Levy(name="Fund", per_kwh=0.02, taxed=False),
              Levy(name="Network access", per_day=0.10, taxed=True)),
        rebate=(Rebate(name="Welcome", share=0.15, taxed=True), Rebate(name="State help", per_month=10.0, taxed=False)),
    )  # fmt: skip
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    assert month(bill, 3) == {
        "All day": 222.90, "Renewables": 8.92, "Fund": 14.86, "Welcome": -33.44, "Network access": 3.10,
        "State help": -10.00, "Tax at 9 %": 18.13,
    }  # fmt: skip
    assert total(bill, 3) == 224.47
    assert bill.mean_price_per_kwh == pytest.approx(0.30 * 0.85 * 1.09 + 0.012 * 1.09 + 0.02)


def test_what_is_taken_off_once_falls_on_its_day() -> None:
    once = Rebate(name="Gift", once=50.0, date=dt.date(2025, 5, 3), taxed=False)
    daily = Rebate(name="Loyal", per_day=0.1, taxed=False)
    bill = charge(tariff(ALL_DAY, rebate=(once, daily)), DUBLIN, constant(DUBLIN, 0.0))
    assert [month(bill, m)["Gift"] for m in (4, 5, 6)] == [0, -50.00, 0]
    assert month(bill, 2)["Loyal"] == -2.80


# --- export, netting -------------------------------------------------------------------------------------------------


def test_export_by_band() -> None:
    # own. 0.5 kW sent out all day in January: 31 × 3 h × 0.5 = 46.5 kWh × 0.20 = 9.30; 31 × 21 h × 0.5 = 325.5 × 0.05
    # = 16.275 -> 16.28
    evening, rest = band("Evening", 0.20, "16:00", "19:00"), band("Other hours", 0.05, "19:00", "16:00")
    rules = tariff(ALL_DAY, export=Export(band=(evening, rest)))
    bill = charge(rules, DUBLIN, constant(DUBLIN, 0.0), constant(DUBLIN, 0.5))
    assert month(bill, 1) == {"All day": 0.0, "Evening": -9.30, "Other hours": -16.28}
    assert price_signal(rules, DUBLIN).export_per_kwh[[15, 16, 18, 19]] == pytest.approx([0.05, 0.20, 0.20, 0.05])


def test_export_at_market_prices_may_cost(tmp_path: Path) -> None:
    # own: 0.5 kW, 744 h × 0.5 = 372 kWh × -0.03 = -11.16 earned, a cost
    rules = tariff(ALL_DAY, export=Export(series=series(tmp_path, np.full(8760, -30.0)), sell_grid_energy=True))
    bill = charge(rules, DUBLIN, constant(DUBLIN, 0.0), constant(DUBLIN, 0.5))
    assert month(bill, 1)["Market"] == 11.16
    assert price_signal(rules, DUBLIN).sells_grid_energy


def test_the_right_to_sell_grid_energy_must_be_given() -> None:
    assert not price_signal(tariff(ALL_DAY, export=0.1), DUBLIN).sells_grid_energy
    assert not price_signal(tariff(ALL_DAY), DUBLIN).sells_grid_energy


@pytest.mark.parametrize(("period", "left"), [("hour", 372.0), ("day", 372.0), ("month", 372.0), (None, 744.0)])
def test_a_january_of_netting(period: str | None, left: float) -> None:
    # own. Quarter-hours in Brussels. Every hour 1 kWh is bought (in its first half) and 0.5 kWh sent out (in its second
    # half). By the hour 0.5 kWh remains bought: 744 × 0.5 = 372; by day and month alike; without netting 744 and 372.
    first = (BRUSSELS.minute_of_day % 60) < 30
    use, sun = np.where(first, 0.5, 0.0), np.where(first, 0.0, 0.25)
    rules = tariff(ALL_DAY, export=0.10, netting=period)
    found = {line.label: line.quantities[0] for line in charge(rules, BRUSSELS, use, sun).lines}
    assert found == pytest.approx({"All day": left, "Exported energy": left - 372.0})


@pytest.mark.parametrize("period", ["15 min", "30 min"])
def test_netting_over_less_than_what_alternates_changes_nothing(period: str) -> None:
    first = (BRUSSELS.minute_of_day % 60) < 30
    use, sun = np.where(first, 0.5, 0.0), np.where(first, 0.0, 0.25)
    rules = tariff(ALL_DAY, export=0.10, netting=period)
    assert charge(rules, BRUSSELS, use, sun).lines[0].quantities[0] == pytest.approx(744.0)


def test_over_a_day_only_what_lies_in_one_band_is_set_off() -> None:
    # own. 1 kW at night (9 h), 1 kW sent out by day (15 h): nothing meets within a band by the day, nor by the year.
    night = DUBLIN.window("23:00", "08:00")
    rules = tariff(band("Night", 0.1, "23:00", "08:00"), band("Day", 0.3, "08:00", "23:00"), export=0.05, netting="day")
    apart = charge(rules, DUBLIN, night, 1.0 - night)
    assert {line.label: line.quantity for line in apart.lines} == pytest.approx(
        {"Night": night.sum(), "Day": 0.0, "Exported energy": 8760 - night.sum()}
    )
    flat = charge(tariff(ALL_DAY, export=0.05, netting="day"), DUBLIN, night, 1.0 - night)
    assert flat.lines[0].quantity == 0.0


# --- everything together ---------------------------------------------------------------------------------------------


def everything(folder: Path) -> Tariff:
    change = Version(valid_from=dt.date(2025, 6, 10), tax=0.135, standing_per_day=0.9)
    return tariff(
        band("Night", 0.05, "23:00", "08:00"), band("Day", 0.09, "08:00", "23:00"),
        series=series(folder, 60 + 50 * np.sin(np.arange(8760) / 5)), tax=0.09, prices_include_tax=False,
        standing_per_day=0.6, netting="month", export=Export(price_per_kwh=0.04), version=(change,),
        tier=(Tier(name="Low", up_to_kwh=250.0, price_per_kwh=0.0), Tier(name="High", price_per_kwh=0.02)),
        demand=Demand(name="Peak", interval_minutes=60, price_per_kw_month=2.0, rolling_months=3, floor_kw=1.0),
        levy=(Levy(name="Levy", per_kwh=0.01, taxed=False),), rebate=(Rebate(name="Gift", per_month=3.0, taxed=True),),
    )  # fmt: skip


def test_lanes_of_a_tariff_with_everything_cost_what_each_home_costs_alone(tmp_path: Path) -> None:
    rules, rng = everything(tmp_path), np.random.default_rng(8)
    bought, sold = rng.gamma(0.5, 1.0, (DUBLIN.steps, 5)), rng.gamma(0.1, 1.0, (DUBLIN.steps, 5))
    alone = [charge(rules, DUBLIN, bought[:, k], sold[:, k]) for k in range(5)]
    assert np.array_equal(charge_lanes_months(rules, DUBLIN, bought, sold), np.array([bill.months for bill in alone]).T)
    for bill in alone:
        assert sum(Decimal(repr(line.amount)) for line in bill.lines) == Decimal(repr(bill.total))


@pytest.mark.parametrize("clock", ["local", "utc"])
def test_the_signal_is_the_bill_for_a_tariff_without_tiers_demand_and_netting(tmp_path: Path, clock: str) -> None:
    full = everything(tmp_path)
    rules = full.model_copy(
        update={"tier": None, "demand": None, "netting": None, "clock": clock, "meter_offset_minutes": 9,
                "rebate": (Rebate(name="Share", share=0.1, taxed=True),)}
    )  # fmt: skip
    rng = np.random.default_rng(4)
    bought, sold = rng.gamma(0.5, 1.0, DUBLIN.steps), rng.gamma(0.1, 1.0, DUBLIN.steps)
    signal = price_signal(rules, DUBLIN)
    bill = charge(rules, DUBLIN, bought, sold)
    seen = (signal.import_per_kwh * bought).sum() - (signal.export_per_kwh * sold).sum() + fixed_cost(rules, DUBLIN)
    assert bill.total == pytest.approx(seen, abs=len(bill.lines) * 12 * 0.0055), "half a cent a line and month"
    assert not any("approximation" in note for note in signal.notes)


def test_an_approximate_signal_says_so(tmp_path: Path) -> None:
    assert (
        'Tariff "Test tariff": the price that control sees is an approximation of the bill: it takes every kWh at the '
        "price of the last tier, and it leaves out the charge on peak power, and it leaves out that export is set off "
        "against import by the month."
    ) in charge(everything(tmp_path), DUBLIN, np.ones(8760)).notes
