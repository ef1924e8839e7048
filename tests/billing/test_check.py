"""A typed bill held against ours: each cause planted by hand, found, named and priced."""

from __future__ import annotations

import datetime as dt
import re
from contextlib import nullcontext
from difflib import SequenceMatcher
from typing import Any

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.bill import BillLine
from simkit.billing.check import BillCheck, check_bill
from simkit.billing.matching import _likeness, matched
from simkit.billing.period import charge_period
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.notation import Notation
from simkit.tariff.tariff import Demand, Tier, Version
from simkit.tariff.typed_bill import TypedLine, typed_bill

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
NET = tariff(
    band("Night", 0.15, "23:00", "08:00"), band("Day", 0.35, "08:00", "23:00"), standing_per_day=0.80, tax=0.09,
    prices_include_tax=False,
)  # fmt: skip
GROSS = NET.model_copy(update={"prices_include_tax": True})
# A load with a shape: 0.4 kW, 2 kW from 23:00 to 02:00, 1 kW from 17:00 to 19:00.
LOAD = 0.4 + 2.0 * DUBLIN.window("23:00", "02:00") + DUBLIN.window("17:00", "19:00")


def printed(**changes: Any) -> dict[str, Any]:
    """The bill of June to August as the tariff gives it, to be changed.

    own. 92 days without a clock change. Night a day: 9 h × 0.4 + 3 h × 2 = 9.6 kWh, 883.2 kWh × 0.15 = 132.48.
    Day: 15 × 0.4 + 2 × 1 = 8 kWh, 736 kWh × 0.35 = 257.60. Standing 92 × 0.80 = 73.60. Sum 463.68; tax 9 % = 41.7312
    -> 41.73. Total 505.41.
    """
    bill: dict[str, Any] = {
        "name": "Summer", "currency": "EUR", "first_date": "2025-06-01", "last_date": "2025-08-31",
        "line": [
            {"label": "Night units", "kind": "energy", "quantity": 883.2, "price": 0.15, "amount": 132.48},
            {"label": "Day units", "kind": "energy", "quantity": 736.0, "price": 0.35, "amount": 257.60},
            {"label": "Standing charge", "kind": "standing", "quantity": 92.0, "price": 0.80, "amount": 73.60},
            {"label": "VAT", "kind": "tax", "amount": 41.73},
        ],
        "total": 505.41,
    }  # fmt: skip
    return bill | changes


def with_line(number: int, total: float, tax: float = 41.73, **changes: Any) -> dict[str, Any]:
    bill = printed(total=total)
    bill["line"][number] = bill["line"][number] | changes
    bill["line"][3] = bill["line"][3] | {"amount": tax}
    return bill


def check(bill: dict[str, Any], rules: Any = NET, load: Any = LOAD) -> BillCheck:
    return check_bill(typed_bill(bill), rules, DUBLIN, load)


def causes(found: BillCheck) -> dict[str, float]:
    return {cause.name: round(cause.amount, 2) for cause in found.causes}


def test_a_quarter_is_charged_and_rounded_by_line() -> None:
    ours = charge_period(NET, DUBLIN, LOAD, first=dt.date(2025, 6, 1), last=dt.date(2025, 8, 31))
    assert {line.label: line.amount for line in ours.lines} == {
        "Night": 132.48, "Day": 257.60, "Standing charge": 73.60, "Tax at 9 %": 41.73,
    }  # fmt: skip
    assert (ours.total, ours.days) == (505.41, 92)


def test_a_bill_that_is_right_matches() -> None:
    found = check(printed())
    assert found.difference == 0
    assert found.causes == ()
    assert found.sentence == "The bill matches: €505.41 against €505.41."


def test_lines_whose_names_say_nothing_are_told_by_their_price() -> None:
    bill = printed()
    bill["line"][0]["label"], bill["line"][1]["label"] = "Rate 1", "Rate 2"
    assert SequenceMatcher(None, "rate 1", "day").ratio() > SequenceMatcher(None, "rate 1", "night").ratio()
    found = check(bill)
    assert (found.causes, found.difference) == ((), 0)


def test_lines_of_one_price_are_told_by_their_names() -> None:
    rules = tariff(
        band("Night", 0.15, "23:00", "08:00"), band("Afternoon", 0.15, "12:00", "16:00"),
        band("Day", 0.35, "08:00", "12:00"), band("Evening", 0.35, "16:00", "23:00"),
    )  # fmt: skip
    names = ("Evening units", "Afternoon units", "Day units", "Night units")
    lines = [
        {"label": name, "kind": "energy", "price": 0.35 if k % 2 == 0 else 0.15, "amount": 40.0}
        for k, name in enumerate(names)
    ]
    ours = charge_period(rules, DUBLIN, LOAD, first=dt.date(2025, 6, 1), last=dt.date(2025, 8, 31))
    found = matched(typed_bill(printed(line=lines, total=160.0)), ours, rules)
    assert [f"{pair.ours.label} units" for pair in found.pairs] == [pair.theirs.label for pair in found.pairs]


def test_lines_without_a_price_are_told_by_amount_and_quantity() -> None:
    bill = printed()
    for line, name in zip(bill["line"][:2], ("Rate 1", "Rate 2"), strict=True):
        line["label"] = name
        del line["price"]
    found = check(bill)
    assert (found.causes, found.difference) == ((), 0)


def test_a_quantity_that_is_not_printed_follows_from_amount_and_price() -> None:
    bill = with_line(0, 462.93, amount=90.0)
    del bill["line"][0]["quantity"]
    ours = charge_period(NET, DUBLIN, LOAD, first=dt.date(2025, 6, 1), last=dt.date(2025, 8, 31))
    night = matched(typed_bill(bill), ours, NET).pairs[0]
    assert night.quantity == pytest.approx(90.0 / 0.15)
    assert night.our_quantity == pytest.approx(883.2)


def test_a_forgotten_tax_is_named() -> None:
    bill = printed(total=463.68)
    del bill["line"][3]
    found = check(bill)
    assert causes(found) == {"tax": -41.73}
    assert found.sentence == (
        "The bill asks for €41.73 less than the tariff gives. "
        "No tax of 9\u00a0% is added to its prices, which are without."
    )


def test_tax_taken_twice_is_named() -> None:
    # own: the tariff's prices hold the tax (our total 463.68), and the bill adds 9 % to them
    found = check(printed(), GROSS)
    assert causes(found) == {"tax": 41.73}
    assert found.causes[0].words == "It adds €41.73 of tax, and its prices hold the tax of 9\u00a0% already."


def test_another_rate_of_tax_is_named() -> None:
    # own: 13.5 % of 463.68 = 62.60
    found = check(with_line(3, 526.28, tax=62.60))
    assert causes(found) == {"tax": 20.87}
    assert found.causes[0].words == "It adds €62.60 of tax, where 9\u00a0% of its lines would be €41.73."


def test_prices_that_hold_the_tax_are_no_difference() -> None:
    lines = [
        {"label": "Night units", "kind": "energy", "quantity": 883.2, "price": 0.1635, "amount": 144.40},
        {"label": "Day units", "kind": "energy", "quantity": 736.0, "price": 0.3815, "amount": 280.78},
        {"label": "Standing", "kind": "standing", "quantity": 92.0, "price": 0.872, "amount": 80.22},
    ]
    found = check(printed(line=lines, total=505.40))
    assert found.sentence == "The bill matches: €505.40 against €505.41."


def test_a_day_too_few_is_named() -> None:
    # own: 91 × 0.80 = 72.80; tax 9 % of 462.88 = 41.66; total 504.54. One day with tax 0.872.
    found = check(with_line(2, 504.54, tax=41.66, quantity=91.0, amount=72.80))
    assert causes(found)["days"] == -0.87
    assert found.causes[0].words == "It counts 91 days of Standing charge; 1 June 2025 to 31 August 2025 are 92."


def test_a_dearer_standing_charge_is_named() -> None:
    # own: 92 × 0.90 = 82.80; tax 9 % of 472.88 = 42.56
    found = check(with_line(2, 515.44, tax=42.56, price=0.90, amount=82.80))
    assert causes(found) == {"standing": 10.03}
    assert "€0.9810 for one with tax, where the tariff gives €0.8720" in found.causes[0].words


@pytest.mark.parametrize(("read", "name"), [("estimate", "estimate"), ("meter", "energy"), (None, "energy")])
def test_more_energy_than_was_used_is_named_and_an_estimated_read_with_it(read: str | None, name: str) -> None:
    # own. A tenth more in both bands: 971.52 × 0.15 = 145.73; 809.6 × 0.35 = 283.36; standing 73.60; sum 502.69, tax 45.24
    bill = printed(total=547.93)
    bill["line"][0] |= {"quantity": 971.52, "amount": 145.73}
    bill["line"][1] |= {"quantity": 809.6, "amount": 283.36}
    bill["line"][3] |= {"amount": 45.24}
    if read is not None:
        bill["read"] = read
    found = check(bill)
    assert causes(found) == {name: pytest.approx(42.52, abs=0.02)}
    assert found.causes[0].words.startswith("It charges 1,781 kWh, this load used 1,619 kWh in those days")
    assert ("the next one that is read will put it right" in found.causes[0].words) == (read == "estimate")


def test_one_hour_of_clock_is_named() -> None:
    # own. A meter on UTC in summer: night from 00:00 to 09:00 on the wall. Of 23:00-02:00 at 2.4 kW the first hour falls
    # into the day; night a day 2 h × 2.4 + 7 h × 0.4 = 7.6 kWh instead of 9.6, day 8 + 2 = 10.
    # 92 × 7.6 = 699.2 × 0.15 = 104.88; 92 × 10 = 920 × 0.35 = 322.00; standing 73.60; sum 500.48, tax 45.04: 545.52.
    bill = printed(total=545.52)
    bill["line"][0] |= {"quantity": 699.2, "amount": 104.88}
    bill["line"][1] |= {"quantity": 920.0, "amount": 322.00}
    bill["line"][3] |= {"amount": 45.04}
    found = check(bill)
    assert found.difference == pytest.approx(40.11)
    assert causes(found) == {"clock": pytest.approx(40.11, abs=0.02)}
    assert found.causes[0].words == (
        "Its bands fit a meter that never changes with the clock on the wall: some hours are priced in another band."
    )


def test_bands_that_no_clock_explains_are_said_to_differ() -> None:
    # own. 100 kWh moved from night to day: 100 × 0.20 × 1.09 = 21.80
    bill = printed(total=527.21)
    bill["line"][0] |= {"quantity": 783.2, "amount": 117.48}
    bill["line"][1] |= {"quantity": 836.0, "amount": 292.60}
    bill["line"][3] |= {"amount": 43.53}
    found = check(bill)
    assert causes(found) == {"bands": pytest.approx(21.80, abs=0.02)}


def test_a_price_change_is_named() -> None:
    # own: day at 0.37 from 736 kWh: 272.32; sum 478.40; tax 43.06
    found = check(with_line(1, 521.46, tax=43.06, price=0.37, amount=272.32))
    assert causes(found) == {"price": 16.04}
    assert found.causes[0].words.startswith("Day units: €0.4033 for one with tax, where the tariff gives €0.3815")


def test_lines_that_only_one_bill_has_are_named() -> None:
    bill = printed(total=520.41)
    bill["line"].append({"label": "Reminder fee", "kind": "other", "amount": 15.0})
    found = check(bill)
    assert sum(cause.amount for cause in found.causes) == pytest.approx(15.0, abs=0.01)
    assert causes(found)["line"] == 15.0
    assert "Reminder fee stands on the bill, and the tariff has no such line." in [c.words for c in found.causes]
    del bill["line"][2]
    assert "Standing charge is in the tariff, and the bill has no such line." in [c.words for c in check(bill).causes]


def test_lines_that_do_not_add_up_are_named() -> None:
    found = check(printed(total=510.00))
    assert causes(found) == {"sum": 4.59}
    assert found.causes[0].words == "Its lines add up to €505.41, and it asks for €510.00."


def test_each_number_is_written_as_the_home_writes_it() -> None:
    german = check_bill(typed_bill(printed(total=1510.0)), NET, DUBLIN, LOAD, notation=Notation("de_DE", "EUR"))
    assert german.sentence == (
        "The bill asks for 1.004,59\u00a0€ more than the tariff gives. "
        "Its lines add up to 505,41\u00a0€, and it asks for 1.510,00\u00a0€."
    )
    assert repr(german).splitlines()[1].startswith("  1.004,59\u00a0€  Its lines")


@pytest.mark.parametrize("seed", range(6))
def test_causes_add_up_to_the_difference_whatever_is_wrong(seed: int) -> None:
    rng = np.random.default_rng(seed)
    bill = printed(read="estimate" if seed % 2 else "meter", days=int(rng.integers(80, 100)))
    for line in bill["line"]:
        if "price" in line and rng.random() < 0.7:
            line["price"] = round(line["price"] * rng.uniform(0.8, 1.3), 4)
            line["quantity"] = round(line["quantity"] * rng.uniform(0.7, 1.2), 1)
            line["amount"] = round(line["price"] * line["quantity"], 2)
    bill["total"] = round(sum(line["amount"] for line in bill["line"]) * rng.uniform(0.95, 1.05), 2)
    found = check(bill, GROSS if seed > 3 else NET)
    assert sum(cause.amount for cause in found.causes) == pytest.approx(found.difference, abs=0.03)
    assert [abs(c.amount) for c in found.causes] == sorted((abs(c.amount) for c in found.causes), reverse=True)


def test_a_price_change_in_the_middle_and_a_25_hour_day_match_to_the_cent() -> None:
    # own: the October of the tariff tests: 135 and 145 night hours, 225 and 240 day hours at 1 kW, tax on each part
    rules = NET.model_copy(update={"version": (Version.model_validate(
        {"valid_from": dt.date(2025, 10, 16), "standing_per_day": 0.9}),)})  # fmt: skip
    ours = charge_period(rules, DUBLIN, np.ones(8760), first=dt.date(2025, 10, 1), last=dt.date(2025, 10, 31))
    # own: night 280 × 0.15 = 42.00; day 465 × 0.35 = 162.75; standing 15 × 0.80 = 12.00 and 16 × 0.90 = 14.40;
    # tax 9 % of 231.15 = 20.80; total 251.95
    assert {line.label: line.amount for line in ours.lines} == {
        "Night": 42.00, "Day": 162.75, "Standing charge at 0.8": 12.00, "Standing charge at 0.9": 14.40, "Tax at 9 %": 20.80,
    }  # fmt: skip
    assert ours.total == 251.95


def test_a_period_that_cuts_billing_months_says_so() -> None:
    rules = NET.model_copy(update={
        "tier": (Tier(name="A", up_to_kwh=100.0, price_per_kwh=0.0), Tier(name="B", price_per_kwh=0.1)),
        "demand": Demand(name="Peak", price_per_kw_month=3.0, interval_minutes=60),
    })  # fmt: skip
    ours = charge_period(rules, DUBLIN, LOAD, first=dt.date(2025, 6, 16), last=dt.date(2025, 7, 31))
    assert ours.notes == (
        'The days cut 1 billing month of tariff "Test tariff": tiers are taken on the part that is charged, '
        "peaks on the whole month.",
    )
    # own: peak 2.4 kW, half of June (15 of 30 days) and July: 1.5 × 2.4 × 3 = 10.80
    assert {line.label: line.amount for line in ours.lines}["Peak"] == 10.80


# --- faults ----------------------------------------------------------------------------------------------------------


def test_a_bill_in_another_currency_is_refused() -> None:
    sentence = (
        'Summer: currency = "GBP" is not the currency of the tariff, "EUR". '
        "Take the tariff that the bill is for: prices are never converted."
    )
    with pytest.raises(CaseError, match=re.escape(sentence)):
        check(printed(currency="GBP"))


def test_days_outside_the_year_are_refused() -> None:
    sentence = (
        "2024-06-01 to 2024-08-31 is no stretch of days of 2025, the year that was run. "
        "Choose days of that year, or run another [site] year."
    )
    with pytest.raises(CaseError, match=re.escape(sentence)):
        check(printed(first_date="2024-06-01", last_date="2024-08-31"))


SLIPS = [
    (
        {"last_date": "2025-05-01"},
        "bill: last_date = 2025-05-01 is before first_date = 2025-06-01. Swap the two, or mend the year.",
    ),
    (
        {"last_date": "2026-01-31"},
        "bill: 2025-06-01 to 2026-01-31 lie in two calendar years, and one year is simulated at a time. "
        "Type in the part of one year, or a bill inside it.",
    ),
    (
        {"line": [{"label": "Night", "kind": "energy", "quantity": 883.2, "price": 0.15, "amount": 1324.8}]},
        "bill: line no. 1: amount = 1324.8 is not quantity × price, which gives 132.48. "
        "Look at the three again; leave price out if it changed.",
    ),
]


@pytest.mark.parametrize(("changes", "sentence"), SLIPS)
def test_every_slip_of_typing_has_its_sentence(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(CaseError, match=re.escape(sentence)):
        typed_bill(printed(**changes))


@pytest.mark.parametrize(("price", "likeness"), [(None, 1.0), (0.3, 3.0), (0.6, 1.0), (0.45, 2.0)])
def test_a_price_counts_twice_as_much_as_a_name_and_none_counts_nothing(price: float | None, likeness: float) -> None:
    ours = BillLine("Day", 100.0, "kWh", 30.0, np.zeros(12), "energy", np.zeros(12), 0.3, 0.0)
    theirs = TypedLine.model_construct(label="day", kind="energy", quantity=None, price=price, amount=30.0)
    assert _likeness(theirs, ours) == pytest.approx(likeness)


def test_a_meter_that_is_an_hour_late_is_named_in_winter_when_no_zone_is() -> None:
    first, last = dt.date(2025, 1, 1), dt.date(2025, 2, 28)
    late = charge_period(NET.model_copy(update={"meter_offset_minutes": 60}), DUBLIN, LOAD, first=first, last=last)
    kinds = {"energy": "energy", "standing": "standing", "tax": "tax"}
    lines = [
        {"label": line.label, "kind": kinds[line.kind], "quantity": line.quantity, "amount": line.amount}
        for line in late.lines
    ]
    found = check(printed(first_date=str(first), last_date=str(last), line=lines, total=late.total))
    assert list(causes(found)) == ["clock"]
    assert found.causes[0].words.startswith("Its bands fit a meter that is an hour late: ")


def test_a_bill_without_energy_lacks_the_lines_of_the_tariff() -> None:
    """By hand: 132.48 and 257.60 with 9 % of tax; what is there is its standing charge and the tax on it, 6.62."""
    bill = printed(total=80.22)
    bill["line"] = [bill["line"][2], bill["line"][3] | {"amount": 6.62}]
    found = check(bill)
    assert [(cause.name, round(cause.amount, 2)) for cause in found.causes] == [("line", -280.78), ("line", -144.40)]


def test_half_a_kilowatt_hour_is_held_against_ours_like_any_other() -> None:
    bill = printed(total=80.31)
    bill["line"][0] |= {"quantity": 0.3, "amount": 0.05}
    bill["line"][1] |= {"quantity": 0.2, "amount": 0.07}
    bill["line"][3] |= {"amount": 6.63}
    found = check(bill)
    assert found.causes[0].name == "energy"
    assert found.causes[0].words.endswith("this load used 1,619 kWh in those days.")


def test_a_line_of_an_amount_alone_is_taken_for_as_much_as_ours() -> None:
    bill = printed()
    del bill["line"][0]["quantity"], bill["line"][0]["price"]
    ours = charge_period(NET, DUBLIN, LOAD, first=dt.date(2025, 6, 1), last=dt.date(2025, 8, 31))
    found = next(pair for pair in matched(typed_bill(bill), ours, NET).pairs if pair.theirs.label == "Night units")
    assert (found.quantity, found.price) == (pytest.approx(883.2), pytest.approx(0.1635))


def test_prices_that_hold_the_tax_are_told_as_such() -> None:
    bill = printed()
    bill["line"] = [
        line | {"price": line["price"] * 1.09, "amount": round(line["amount"] * 1.09, 2)} for line in bill["line"][:3]
    ]
    ours = charge_period(NET, DUBLIN, LOAD, first=dt.date(2025, 6, 1), last=dt.date(2025, 8, 31))
    found = matched(typed_bill(bill), ours, NET)
    assert (found.tax_told, found.tax) == ("with tax", 0.0)


@pytest.mark.parametrize(("quantity", "can_be"), [(1e6, True), (1e6 + 0.5, False), (-1e6, True), (-1e6 - 0.5, False)])
def test_nor_is_one_of_more_than_a_million_kilowatt_hours(quantity: float, can_be: bool) -> None:
    with nullcontext() if can_be else pytest.raises(ValueError, match="quantity"):
        made = TypedLine.model_validate({"label": "Units", "kind": "energy", "quantity": quantity, "amount": 1.0})
        assert made.quantity == quantity


def test_a_line_of_more_than_a_million_is_no_bill_of_a_home() -> None:
    for amount, taken in ((-1_000_000.0, True), (-1_000_000.5, False)):
        bill = printed()
        bill["line"].append({"label": "Credit", "kind": "rebate", "amount": amount})
        if taken:
            assert typed_bill(bill).line[-1].amount == amount
        else:
            with pytest.raises(CaseError, match="amount"):
                typed_bill(bill)
