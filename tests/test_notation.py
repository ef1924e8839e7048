"""Numbers as they are written in one place: signs, groups, units, ranges and what a range allows."""

from __future__ import annotations

import math

import pandas as pd
import pytest

from simkit.notation import JOINED, PLAIN, Notation, joined, unit_of_range, usual_locale
from simkit.uncertainty.ranges import Range

pytestmark = pytest.mark.short

IRISH, DANISH, GERMAN = Notation("en_IE", "EUR"), Notation("en_DK", "DKK"), Notation("de_DE", "EUR")


@pytest.mark.parametrize(
    ("notation", "amount", "digits", "text"),
    [
        (IRISH, 3578.6, 0, "€3,579"),
        (IRISH, -3578.6, 0, "−€3,579"),
        (IRISH, 3579.021, 2, "€3,579.02"),
        (IRISH, -0.4, 0, "€0"),
        (IRISH, math.nan, 0, "not known"),
        (DANISH, 14210.0, 0, "14.210 kr."),
        (DANISH, 14210.5, 2, "14.210,50 kr."),
        (GERMAN, 14210.5, 2, "14.210,50 €"),
        (Notation("en_GB", "GBP"), 1234567.0, 0, "£1,234,567"),
        (Notation("en_CH", "CHF"), 1234.0, 0, "CHF 1'234"),
    ],
)
def test_an_amount_looks_as_it_does_in_its_place(notation: Notation, amount: float, digits: int, text: str) -> None:
    written = notation.money(amount, digits).replace("\u00a0", " ").replace("\u202f", " ").replace("’", "'")
    assert written == text


@pytest.mark.parametrize(
    ("low", "high", "unit"),
    [(0.0, 100.0, 1.0), (3010.0, 4010.0, 10.0), (60.0, 199.0, 1.0), (0.0, 200.0, 10.0), (7800.0, 14100.0, 100.0)],
)
def test_an_estimate_is_no_finer_than_a_twentieth_of_its_range(low: float, high: float, unit: float) -> None:
    assert unit_of_range(Range(low, (low + high) / 2, high)) == unit
    assert (high - low) / unit >= 20.0 or unit == 1.0


def test_value_and_range_are_rounded_alike() -> None:
    found = Range(3014.0, 3500.0, 4011.0)
    assert IRISH.estimate(3475.62, found) == "€3,480"
    assert IRISH.span(found) == "€3,010 to €4,010"
    assert IRISH.span_more_or_less(Range(-251.0, 100.0, 562.0)) == "€250\u00a0less to €560\u00a0more"
    assert IRISH.span_more_or_less(Range(-870.0, -500.0, -63.0)) == "€60 to €870\u00a0less"
    assert IRISH.more_or_less(0.2) == "as\u00a0much"


def test_a_number_stays_with_its_unit_and_words_break_where_they_may() -> None:
    said = joined("at 18 °C for 12 hours, 3.5 K below, 4 kWh and 250 litres, 5 of 20 homes")
    assert said.replace(JOINED, "_") == "at 18_°C for 12_hours, 3.5_K below, 4_kWh and 250_litres, 5 of 20 homes"


def test_a_table_that_is_printed_has_the_decimals_of_its_place() -> None:
    text = GERMAN.frame(pd.DataFrame({"saving": [1234.5, math.nan]}, index=["a", "b"]))
    assert text.split() == ["saving", "a", "1.234,50", "b", "–"]


def test_prices_shares_and_cells() -> None:
    assert IRISH.price(0.3452) == "€0.3452/kWh"
    assert IRISH.price(-0.01) == "−€0.0100/kWh"
    assert DANISH.share(0.125, 1) == "12,5\u00a0%"
    assert DANISH.cell("outdoor_c", 3.14159) == "3,1"
    assert IRISH.cell("bill_amount", 12.5) == "€12.50"
    assert IRISH.cell("spf_h4", None) == "–"
    assert IRISH.cell("comfort", "warm enough") == "warm enough"
    assert IRISH.title("space_heat_kwh") == "Space heat kWh"
    assert IRISH.title("year_cost") == "Cost a year"


def test_the_usual_locale_is_english_as_used_in_the_country() -> None:
    assert usual_locale("IE") == "en_IE"
    assert usual_locale("DK") == "en_DK"
    assert usual_locale("XX") == "en_GB"


def test_a_room_just_under_eighteen_is_not_rounded_up_to_it() -> None:
    for celsius, words in ((17.96, "17.96"), (17.999, "17.99"), (18.0, "18.0"), (17.94, "17.9"), (20.04, "20.0")):
        assert PLAIN.cell("min_room_c", celsius) == words
