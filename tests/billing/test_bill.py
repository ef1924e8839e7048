"""Rounding and adding up: the cent-exact half of a bill."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simkit.billing.bill import ROUNDING, BandUse, Bill, BillLine, in_units, rounded
from simkit.errors import CaseError
from simkit.notation import Localised, Notation, at_price, currency_digits


def line(label: str, months: list[float], **terms: object) -> BillLine:
    amounts = np.array(months, dtype=float)
    plain = {"unit": "kWh", "kind": "energy", "price": 0.25, "quantity": float(amounts.sum() * 4)}
    return BillLine(label=label, amount=float(amounts.sum()), months=amounts, quantities=amounts * 4, **plain | terms)


def test_a_tie_in_decimals_goes_away_from_zero_whatever_the_float() -> None:
    # 2.675 and 1.005 are a little less than the tie in binary, 0.125 is exactly on it
    assert list(rounded(np.array([2.675, 1.005, 0.125, -2.675, -0.125, 0.0, -0.004]), "EUR")) == [
        268, 101, 13, -268, -13, 0, 0,
    ]  # fmt: skip


@given(st.decimals(min_value=-100_000, max_value=100_000, places=5), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_rounding_is_that_of_decimal_arithmetic(amount: Decimal, currency: str) -> None:
    digits = currency_digits(currency)
    expected = amount.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    cents = rounded(np.array([float(amount)]), currency)
    assert cents[0] == int(expected.scaleb(digits)), "Python's decimal module, ROUND_HALF_UP (away from zero)"
    assert Decimal(repr(float(in_units(cents, currency)[0]))) == expected


@pytest.mark.parametrize(("currency", "digits"), [("EUR", 2), ("GBP", 2), ("DKK", 2), ("JPY", 0), ("KWD", 3)])
def test_currencies_have_the_digits_of_iso_4217(currency: str, digits: int) -> None:
    assert currency_digits(currency) == digits, "ISO 4217 minor units"


@given(st.lists(st.lists(st.integers(-10_000_00, 10_000_00), min_size=12, max_size=12), min_size=1, max_size=6))
def test_lines_months_and_quarters_add_up_to_the_total_exactly(cents: list[list[int]]) -> None:
    bill = Bill.of("EUR", [line(str(k), [c / 100 for c in row]) for k, row in enumerate(cents)])
    total = Decimal(sum(map(sum, cents))) / 100
    assert Decimal(repr(bill.total)) == total
    assert sum(Decimal(repr(float(x))) for x in bill.months) == total
    assert sum(Decimal(repr(float(x))) for x in bill.quarters) == total


def test_a_line_holds_no_price_and_no_tax_unless_told() -> None:
    twelve = np.full(12, 5.0)
    found = BillLine("Standing charge", 60.0, "days", 60.0, twelve, "standing", twelve)
    assert Bill.of("EUR", [found]).fixed_amount == 60.0
    free = replace(found, kind="energy", quantity=100.0)
    assert Bill.of("EUR", [free]).mean_price_per_kwh == 0.0


def test_bills_of_one_currency_are_joined() -> None:
    one = Bill.of("EUR", [line("Power", [1.0] * 12)], [ROUNDING])
    two = Bill.of("EUR", [line("Gas", [0.1] * 12, kind="fuel")], ["Gas is charged as it is burnt.", ROUNDING])
    both = one + two
    assert [x.label for x in both.lines] == ["Power", "Gas"]
    assert (both.total, list(both.quarters)) == (13.2, [3.3] * 4)
    assert both.notes == (ROUNDING, "Gas is charged as it is burnt.")
    with pytest.raises(
        CaseError, match=r"^a bill in EUR and one in GBP can't be added up\. Give the tariff and the fuel "
    ):
        one + Bill.of("GBP", [])
    with pytest.raises(TypeError):
        one + 3


def test_band_statistics_weigh_by_load() -> None:
    # own: 30 kWh at 0.10 and 10 kWh at 0.40: shares 0.75 and 0.25, mean (3 + 4) / 40 = 0.175
    night = line("Night", [0.25] * 12, price=0.1, quantity=30.0)
    day = line("Day", [0.25] * 12, price=0.4, quantity=10.0)
    bill = Bill.of("EUR", [night, day, line("Standing charge", [1.0] * 12, kind="standing")])
    assert bill.bands == (BandUse("Night", 30.0, 0.75, 0.1), BandUse("Day", 10.0, 0.25, 0.4))
    assert bill.mean_price_per_kwh == pytest.approx(0.175)
    assert np.isnan(Bill.of("EUR", []).mean_price_per_kwh)


def test_a_bill_can_be_read_in_a_terminal() -> None:
    bill = Bill.of(
        "EUR", [line("Night", [100.0] * 12), line("Exported energy", [-0.5] * 12, kind="export")], ["Noted."]
    )
    assert repr(bill).splitlines() == [
        "                             quantity           EUR",
        "Night                     4,800.0 kWh      1,200.00",
        "Exported energy             −24.0 kWh         −6.00",
        "Total                                      1,194.00",
        "Jan to Mar 298.50, Apr to Jun 298.50, Jul to Sep 298.50, Oct to Dec 298.50",
        "Noted.",
    ]


def test_a_bill_is_written_as_its_place_writes_numbers() -> None:
    bill = Bill.of("EUR", [line(at_price("Night", 0.25), [100.0] * 12)], [Localised(lambda n: n.number(0.5, 1))])
    german = replace(bill, notation=Notation("de_DE", "EUR"))
    assert repr(german).splitlines()[1] == "Night at 0,25           4.800,0 kWh      1.200,00"
    assert repr(german).endswith("\n0,5")
    html = german._repr_html_()
    assert all(f">{cell}<" in html for cell in ("Night at 0,25", "4.800,0 kWh", "300,00", "1.200,00", "0,5"))


def test_a_bill_is_a_table_with_headings_in_a_notebook() -> None:
    html = Bill.of("JPY", [line("<Night>", [100.0] * 12)], ["a < b"])._repr_html_()
    assert html.count("<tr>") == 3
    assert "&lt;Night&gt;" in html
    assert "<th scope='col'>Year, JPY</th>" in html
    assert "<td style='text-align:right'>300</td>" in html
    assert html.endswith("<p>a &lt; b</p>")
