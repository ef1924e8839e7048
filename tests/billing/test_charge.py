"""A year charged: hand-worked months, clocks, edges, tax, export, fuel, and many homes at once."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tariffs import band, tariff

from simkit.billing.bill import Bill
from simkit.billing.charge import charge, charge_fuel, charge_fuel_lanes_months, charge_lanes_months
from simkit.billing.price_signal import price_edges, price_signal
from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.tariff.tariff import Tariff
from simkit.times_of_day import shortest_step

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
FLAT = tariff(band("All day", 0.30, "00:00", "24:00"))
TWO_RATE = tariff(
    band("Night", 0.125, "23:00", "08:00"),
    band("Day", 0.355, "08:00", "23:00"),
    export=0.08,
    tax=0.09,
    prices_include_tax=False,
    standing_per_day=0.61,
)


def by_label(bill: Bill) -> dict[str, np.ndarray]:
    return {line.label: line.months for line in bill.lines}


def quantities(bill: Bill) -> dict[str, float]:
    return {line.label: line.quantity for line in bill.lines}


def constant(axis: TimeAxis, kw: float) -> np.ndarray:
    return np.full(axis.steps, kw * axis.hours)


# --- one home, against arithmetic done by hand -----------------------------------------------------------------------


def test_a_january_worked_by_hand() -> None:
    # own. Load 0.7 kW all month on TWO_RATE, 0.2 kW exported from 12:00 to 14:00.
    # Night 23:00-08:00 is 9 h:  31 d × 9 h × 0.7 kW = 195.3 kWh × 0.125 = 24.4125  -> 24.41
    # Day   08:00-23:00 is 15 h: 31 d × 15 h × 0.7 kW = 325.5 kWh × 0.355 = 115.5525 -> 115.55
    # Standing 31 d × 0.61 = 18.91
    # Tax 9 % of 24.41 + 115.55 + 18.91 = 158.87: 14.2983 -> 14.30
    # Export 31 d × 2 h × 0.2 kW = 12.4 kWh × 0.08 = 0.992 -> -0.99
    # Sum 24.41 + 115.55 + 18.91 + 14.30 - 0.99 = 172.18
    noon = (DUBLIN.minute_of_day >= 720) & (DUBLIN.minute_of_day < 840)
    bill = charge(TWO_RATE, DUBLIN, constant(DUBLIN, 0.7), noon * 0.2)
    january = {label: float(months[0]) for label, months in by_label(bill).items()}
    assert january == {
        "Night": 24.41,
        "Day": 115.55,
        "Standing charge": 18.91,
        "Tax at 9 %": 14.30,
        "Exported energy": -0.99,
    }
    assert bill.months[0] == 172.18
    assert [line.unit for line in bill.lines] == ["kWh", "kWh", "days", "EUR", "kWh"]
    assert bill.lines[0].quantities[0] == pytest.approx(195.3)


def test_an_october_with_a_25_hour_day_and_a_price_change_to_the_cent() -> None:
    # own. Load 1 kW, Europe/Dublin, October 2025: the clock goes back on 26 October at 02:00 (IANA), so that the
    # night 23:00-08:00 of that date has 10 h. The night's price changes on 16 October.
    # Night until 15 Oct: 15 d × 9 h = 135 kWh × 0.1333 = 17.9955                -> 18.00
    # Night from 16 Oct:  16 d × 9 h + 1 h = 145 kWh × 0.1555 = 22.5475          -> 22.55
    # Day: 31 d × 15 h = 465 kWh × 0.3517 = 163.5405                             -> 163.54
    # Standing: 31 civil days × 0.7777 = 24.1087 (not 745 h / 24 = 31.04 d: 24.14) -> 24.11
    # Sum 228.20
    rules = tariff(
        band("Night", 0.1333, "23:00", "08:00", last_date=dt.date(2025, 10, 15)),
        band("Night", 0.1555, "23:00", "08:00", first_date=dt.date(2025, 10, 16)),
        band("Day", 0.3517, "08:00", "23:00"),
        standing_per_day=0.7777,
    )
    bill = charge(rules, DUBLIN, constant(DUBLIN, 1.0))
    october = {label: float(months[9]) for label, months in by_label(bill).items()}
    assert october == {"Night at 0.1333": 18.00, "Night at 0.1555": 22.55, "Day": 163.54, "Standing charge": 24.11}
    assert bill.months[9] == 228.20
    assert bill.lines[1].quantities[9] == 145


@pytest.mark.parametrize("year", [2024, 2025])
def test_the_standing_charge_counts_local_civil_days(year: int) -> None:
    bill = charge(tariff(band("All", 0.0, "00:00", "24:00"), standing_per_day=1.0), TimeAxis("Europe/Berlin", year, 60),
                  np.zeros(TimeAxis("Europe/Berlin", year, 60).steps))  # fmt: skip
    leap = year == 2024
    assert list(by_label(bill)["Standing charge"]) == [31, 28 + leap, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    assert bill.total == 365 + leap
    assert list(bill.quarters) == [90 + leap, 91, 92, 92]


def test_tax_inside_the_price_is_stated_and_not_added() -> None:
    inside = FLAT.model_copy(update={"tax": 0.09})
    bill = charge(inside, DUBLIN, constant(DUBLIN, 1.0))
    assert bill.total == pytest.approx(0.30 * 8760)
    assert bill.notes[0] == "Prices include tax at 9 %."


def test_amounts_in_a_currency_without_cents_are_whole() -> None:
    yen = FLAT.model_copy(update={"currency": "JPY"})
    bill = charge(yen, DUBLIN, constant(DUBLIN, 1.0))
    # own: January has 744 kWh × 0.30 = 223.2 -> 223; February 672 × 0.30 = 201.6 -> 202
    assert list(bill.months[:2]) == [223, 202]
    assert bill.total == int(bill.total)


# --- properties ------------------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.0, 1.5), st.sampled_from([60, 30, 15]))
def test_a_flat_tariff_is_energy_times_price(seed: int, price: float, step: int) -> None:
    axis = TimeAxis("Europe/Dublin", 2025, step)
    kwh = np.random.default_rng(seed).gamma(0.5, 1.0, axis.steps)
    bill = charge(tariff(band("All", price, "00:00", "24:00")), axis, kwh)
    assert bill.total == pytest.approx(kwh.sum() * price, abs=12 * 0.005 + 1e-6), "half a cent a month is rounded"


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0, 0.5), st.booleans(), st.floats(0, 2))
def test_lines_sum_to_the_total_to_the_cent(seed: int, tax: float, included: bool, standing: float) -> None:
    rng = np.random.default_rng(seed)
    rules = TWO_RATE.model_copy(update={"tax": tax, "prices_include_tax": included, "standing_per_day": standing})
    bill = charge(rules, DUBLIN, rng.gamma(0.5, 1.0, DUBLIN.steps), rng.gamma(0.2, 1.0, DUBLIN.steps))
    assert sum(Decimal(repr(line.amount)) for line in bill.lines) == Decimal(repr(bill.total))
    for line in bill.lines:
        assert sum(Decimal(repr(float(x))) for x in line.months) == Decimal(repr(line.amount))


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(-90, 90), st.sampled_from(["local", "utc"]))
def test_the_signal_times_the_energy_is_the_bill(seed: int, late: int, clock: str) -> None:
    rules = TWO_RATE.model_copy(update={"meter_offset_minutes": late, "clock": clock, "standing_per_day": 0.0})
    rng = np.random.default_rng(seed)
    bought, sold = rng.gamma(0.5, 1.0, DUBLIN.steps), rng.gamma(0.2, 1.0, DUBLIN.steps)
    signal = price_signal(rules, DUBLIN)
    seen = (signal.import_per_kwh * bought).sum() - (signal.export_per_kwh * sold).sum()
    bill = charge(rules, DUBLIN, bought, sold)
    assert bill.total == pytest.approx(seen, abs=len(bill.lines) * 12 * 0.0055), (
        "half a cent a line and month is rounded"
    )
    assert sum(x.kwh for x in bill.bands) == pytest.approx(bought.sum())


# --- clocks and edges ------------------------------------------------------------------------------------------------


def two_clocks(clock: str) -> Tariff:
    return tariff(band("Night", 0.1, "00:30", "07:30"), band("Day", 0.3, "07:30", "00:30"), clock=clock)


def test_a_constant_load_splits_alike_on_both_clocks() -> None:
    # own: 365 d × 7 h = 2555 kWh. On wall time the night keeps 7 h on average: the change at 01:00 UTC takes its hour
    # from the night of 30 March (6 h) and gives it to that of 26 October (8 h).
    axis = TimeAxis("Europe/London", 2025, 30)
    for clock in ("local", "utc"):
        found = quantities(charge(two_clocks(clock), axis, constant(axis, 1.0)))
        assert found == {"Night": pytest.approx(2555), "Day": pytest.approx(6205)}


def test_a_night_load_on_wall_time_misses_an_hour_of_a_utc_night_all_summer() -> None:
    # own. 1 kW from 00:30 to 07:30 wall time. London 2025: summer time from 30 March 01:00 UTC to 26 October 01:00 UTC.
    # Local clock: all of it is night: 363 d × 7 h + 6 h on 30 March + 8 h on 26 October = 2555 h.
    # UTC clock: in summer 00:30-07:30 wall is 23:30-06:30 UTC, of which 00:30-06:30 (6 h) is night.
    # 31 March to 25 October is 209 d, each 1 h of day rate. 30 March (change after 00:30-01:00, all inside the night:
    # 00:30-01:00 and 02:00-07:30 wall = 00:30-06:30 UTC): none. 26 October: 00:30 wall is 23:30 UTC, so again 1 h.
    # Day rate 210 h, night 2555 - 210 = 2345 h.
    axis = TimeAxis("Europe/London", 2025, 30)
    load = axis.window("00:30", "07:30")
    assert quantities(charge(two_clocks("local"), axis, load * axis.hours)) == {
        "Night": pytest.approx(2555),
        "Day": pytest.approx(0),
    }
    assert quantities(charge(two_clocks("utc"), axis, load * axis.hours)) == {
        "Night": pytest.approx(2345),
        "Day": pytest.approx(210),
    }


def test_a_load_that_follows_a_half_hour_window_costs_the_same_at_every_step_wanted() -> None:
    rules = tariff(band("Cheap", 0.10, "00:30", "04:30"), band("Rest", 0.34, "04:30", "00:30"))
    totals = {}
    for wanted in (60, 30, 15):
        step, left = shortest_step(price_edges(rules, DUBLIN), wanted)
        axis = TimeAxis("Europe/Dublin", 2025, step)
        totals[wanted] = charge(rules, axis, 2.0 * axis.window("00:30", "04:30") * axis.hours).total
        assert left == []
    # own: 365 nights × 4 h × 2 kW × 0.10 = 292.00 (30 March has 3 h, 26 October 5 h)
    assert set(totals.values()) == {292.0}
    blurred = charge(rules, DUBLIN, 2.0 * DUBLIN.window("00:30", "04:30")).total
    assert blurred / 292.0 == pytest.approx(1.30, abs=0.01), "hourly steps would misprice it: (3 + 1 × 2.2) / 4"


# --- many homes at once ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("included", [True, False])
def test_lanes_cost_what_each_home_costs_alone(included: bool) -> None:
    rng = np.random.default_rng(11)
    rules = TWO_RATE.model_copy(update={"prices_include_tax": included})
    bought, sold = rng.gamma(0.5, 1.0, (DUBLIN.steps, 5)), rng.gamma(0.2, 1.0, (DUBLIN.steps, 5))
    alone = [charge(rules, DUBLIN, bought[:, k], sold[:, k]) for k in range(5)]
    months = charge_lanes_months(rules, DUBLIN, bought, sold)
    assert np.array_equal(months, np.array([bill.months for bill in alone]).T)
    without = [charge(rules, DUBLIN, bought[:, k]).months for k in range(5)]
    assert np.array_equal(charge_lanes_months(rules, DUBLIN, bought), np.array(without).T)


def test_no_home_changes_the_bill_of_its_neighbour() -> None:
    rng = np.random.default_rng(5)
    bought = rng.gamma(0.5, 1.0, (DUBLIN.steps, 3))
    before = charge_lanes_months(TWO_RATE, DUBLIN, bought)
    bought[:, 1] = 1e6
    assert np.array_equal(charge_lanes_months(TWO_RATE, DUBLIN, bought)[:, [0, 2]], before[:, [0, 2]])


# --- fuel ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Terms:
    kind: str = "gas"
    unit: str = "m3"
    price_per_unit: float = 1.10
    kwh_per_unit: float = 11.0
    standing_per_day: float = 0.40
    other_use_kwh: float = 0.0
    delivery_fee: float | None = None
    delivery_amount: float | None = None


def test_a_january_of_gas_worked_by_hand() -> None:
    # own. 2 kW of gas all January: 31 × 24 × 2 = 1488 kWh / 11 = 135.2727 m³ × 1.10 = 148.80
    # Hob 365 kWh a year, 1 kWh a day: 31 / 11 = 2.81818 m³ × 1.10 = 3.10.  Standing 31 × 0.40 = 12.40
    bill = charge_fuel(Terms(other_use_kwh=365), DUBLIN, constant(DUBLIN, 2.0), currency="EUR", keeps_supply=False)
    january = {label: float(months[0]) for label, months in by_label(bill).items()}
    assert january == {"Gas burnt for heat": 148.80, "Gas for other uses": 3.10, "Gas standing charge": 12.40}
    assert [line.unit for line in bill.lines] == ["m³", "m³", "days"]
    assert bill.notes[0] == "Gas is charged as it is burnt, tax included."


@pytest.mark.parametrize(
    ("heat_kw", "hob_kwh", "kept", "days"),
    [(1.0, 0, False, 365), (0.0, 365, False, 365), (0.0, 0, True, 365), (0.0, 0, False, 0)],
)
def test_the_standing_charge_falls_only_with_the_last_appliance(
    heat_kw: float, hob_kwh: float, kept: bool, days: int
) -> None:
    terms = Terms(other_use_kwh=hob_kwh)
    bill = charge_fuel(terms, DUBLIN, constant(DUBLIN, heat_kw), currency="EUR", keeps_supply=kept)
    assert quantities(bill)["Gas standing charge"] == days
    assert bill.total == pytest.approx(heat_kw * 876.0 + hob_kwh * 0.1 + days * 0.4, abs=0.12)


def test_deliveries_are_charged_by_their_share() -> None:
    # own. 1 kW all January: 744 kWh / 10 = 74.4 l of 600 l a delivery: 0.124 × 30.00 = 3.72
    @dataclass(frozen=True)
    class Delivered(Terms):
        delivery_fee: float = 30.0
        delivery_amount: float = 600.0

    oil = Delivered("oil", "litre", 1.0, 10.0, 0.0)
    bill = charge_fuel(oil, DUBLIN, constant(DUBLIN, 1.0), currency="EUR", keeps_supply=False)
    january = {label: float(months[0]) for label, months in by_label(bill).items()}
    assert january == {"Heating oil burnt for heat": 74.40, "Heating oil deliveries": 3.72}


def test_oil_without_a_stated_standing_charge_has_no_line_for_it() -> None:
    oil = Terms("oil", "litre", 1.05, 10.35, 0.0)
    bill = charge_fuel(oil, DUBLIN, constant(DUBLIN, 1.0), currency="EUR", keeps_supply=True)
    assert [(line.label, line.unit) for line in bill.lines] == [("Heating oil burnt for heat", "l")]


@pytest.mark.parametrize("kind", ["electricity", "none"])
def test_what_is_not_bought_by_the_unit_has_no_bill(kind: str) -> None:
    bill = charge_fuel(Terms(kind), DUBLIN, constant(DUBLIN, 1.0), currency="EUR", keeps_supply=True)
    assert (bill.lines, bill.total, bill.notes) == ((), 0.0, ())
    months = charge_fuel_lanes_months(Terms(kind), DUBLIN, np.ones((8760, 2)), currency="EUR", keeps_supply=True)
    assert months.tolist() == [[0.0, 0.0]] * 12


def test_fuel_of_many_homes_costs_what_each_costs_alone() -> None:
    kwh = np.random.default_rng(3).gamma(0.5, 1.0, (DUBLIN.steps, 3)) * np.array([1.0, 0.0, 2.0])
    for terms in (Terms(), Terms(other_use_kwh=400.0)):
        lanes = charge_fuel_lanes_months(terms, DUBLIN, kwh, currency="EUR", keeps_supply=False)
        alone = [charge_fuel(terms, DUBLIN, kwh[:, k], currency="EUR", keeps_supply=False).total for k in range(3)]
        assert lanes.round(2).sum(axis=0) == pytest.approx(alone, abs=1e-9), "not a cent between them"


def test_electricity_and_fuel_make_one_bill() -> None:
    power = charge(TWO_RATE, DUBLIN, constant(DUBLIN, 0.5))
    gas = charge_fuel(Terms(), DUBLIN, constant(DUBLIN, 1.0), currency="EUR", keeps_supply=False)
    both = power + gas
    assert Decimal(repr(both.total)) == Decimal(repr(power.total)) + Decimal(repr(gas.total))
    assert sum(x.kwh for x in both.bands) == pytest.approx(4380), "fuel is no band of the tariff"


# --- faults ----------------------------------------------------------------------------------------------------------

FAULTS = [
    (
        lambda: charge(FLAT, DUBLIN, np.ones(8759)),
        "import_kwh of 8759 values does not fit the time axis, which asks for 8760. Give both on one time axis.",
    ),
    (
        lambda: charge(FLAT, DUBLIN, np.ones(8760), np.ones(17520)),
        "export_kwh of 17520 values does not fit the time axis, which asks for 8760. Give both on one time axis.",
    ),
    (
        lambda: charge_lanes_months(FLAT, DUBLIN, np.ones((8760, 4)), np.ones((8760, 3))),
        "export_kwh of 8760 × 3 values does not fit the time axis, which asks for 8760 × 4. "
        "Give both on one time axis.",
    ),
    (
        lambda: charge(FLAT, DUBLIN, -np.ones(8760)),
        "import_kwh = -1.0 in step 0 is not an energy of 0 or more. "
        "Give import and export apart, each 0 or more, and mend gaps first.",
    ),
    (
        lambda: charge(FLAT, DUBLIN, np.where(np.arange(8760) == 7, np.nan, 1.0)),
        "import_kwh = nan in step 7 is not an energy of 0 or more. "
        "Give import and export apart, each 0 or more, and mend gaps first.",
    ),
]


@pytest.mark.parametrize(("call", "text"), FAULTS)
def test_every_fault_is_a_plain_sentence(call: object, text: str) -> None:
    with pytest.raises(DataError, match=re.escape(text)):
        call()


def test_tax_is_taken_on_lines_that_are_rounded_already() -> None:
    """own: twice 10.006 are 20.02 in cents, and a quarter of it 5.005 is 5.01; of 20.012 unrounded it would be 5.00."""
    rules = tariff(
        band("Night", 0.10, "23:00", "08:00"), band("Day", 0.10, "08:00", "23:00"), tax=0.25, prices_include_tax=False
    )
    kwh = np.zeros(DUBLIN.steps)
    kwh[[2, 12]] = 100.06
    night, day, tax = charge(rules, DUBLIN, kwh).lines
    assert (night.amount, day.amount, tax.amount) == (10.01, 10.01, 5.01)
