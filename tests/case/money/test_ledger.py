"""Lines of an offer in; a checked ledger, or one plain sentence for each slip, out."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table
from simkit.case.load import read_case, write_case

MONEY = {"start": "2026-01-01"}
UNIT: dict[str, Any] = {"label": "unit", "amount": 9000.0, "date": "2026-03-01", "kind": "quote"}
CREDIT: dict[str, Any] = {"amount": 6000.0, "rate_per_year": 0.06, "first_payment": "2026-04-01", "years": 5.0}


def line(kind: str, amount: float | None, date: str = "2026-03-01", **more: Any) -> dict[str, Any]:
    said = {"label": f"a {kind}", "amount": amount, "date": date, "kind": kind, **more}
    return {key: value for key, value in said.items() if value is not None}


def items(*more: dict[str, Any], **credit: Any) -> dict[str, Any]:
    return {"item": [UNIT, *more]} | ({"credit": CREDIT | credit} if credit else {})


def test_price_supports_and_tax() -> None:
    ledger = made(
        table(ledger=items(line("enabling", 1000.0, vat=0.135), line("grant", 6500.0, against="unit")))
    ).ledger
    assert ledger is not None
    assert ledger.price == pytest.approx(9000 + 1135)
    assert ledger.supports == 6500
    assert not ledger.item[0].paid


def test_discounts_in_per_cent_cashback_extras_and_what_cancelling_costs_by_hand() -> None:
    """9000 + 1000 of extras + 400 away = 10,400; 5 % of it is 520, 10 % of the unit 900, 250 come back in cash."""
    lines = [
        line("site_extra", 1000.0), line("removal", 400.0), line("discount", None, share=0.05),
        line("grant", None, share=0.1, against="unit"), line("cashback", 250.0, "2026-05-01"),
        line("deposit", None, "2026-02-01", share=0.1, refundable=False),
        line("deposit", 300.0, "2026-02-01", refundable=True) | {"label": "another"},
    ]  # fmt: skip
    ledger = made(table(ledger=items(*lines) | {"valid_until": "2026-02-28", "cancelling": 150.0})).ledger
    assert ledger is not None
    assert ledger.price == pytest.approx(10_400.0)
    assert ledger.by_kind("site_extra") == 1000.0
    assert ledger.by_kind("removal") == 400.0
    assert ledger.supports == pytest.approx(520.0 + 900.0 + 250.0)
    assert ledger.by_kind("deposit") == pytest.approx(1040.0 + 300.0)
    assert ledger.walking_away == pytest.approx(150.0 + 1040.0), "the fee, and the deposit that doesn't come back"
    plain = made(table(ledger=items(line("deposit", 300.0, "2026-02-01")))).ledger
    assert plain is not None
    assert plain.walking_away is None, "nothing is said of it"


FAULTS = [
    (items(line("grant", 9500.0, against="unit")), '[ledger] "a grant": amount = 9500 brings the supports of "unit" to '
     "9500, above its 9000, and nobody is paid for more than it costs. Write what is really granted, or name the line it is "
     "for."),
    (items(line("grant", 9500.0)), "[ledger] supports of 9500 are above everything that costs, 9000, and nobody is paid for "
     "more than it costs. Write what is really granted."),
    (items(line("grant", 500.0, against="units")), '[ledger] "a grant": against = "units" is no line that costs. Perhaps '
     '"unit" is meant.'),
    (items(line("grant", 500.0, against="pipework")), '[ledger] "a grant": against = "pipework" is no line that costs. Lines '
     "that cost are: unit."),
    (items(line("tax", 500.0, against="unit")), '[ledger] item no. 2: against = "unit" belongs to a grant, a discount, a '
     'rebate or cashback, and kind is "tax". Take it out, or mend the kind.'),
    (items(line("tax", None, share=0.1)), '[ledger] item no. 2: share = 0.1 is a share of other lines, and kind is "tax". '
     "Write amount, or mend the kind."),
    (items(line("tax", 5.0, refundable=True)), '[ledger] item no. 2: refundable = true belongs to a deposit, and kind is '
     '"tax". Take it out, or mend the kind.'),
    (items(line("tax", 500.0, replacement=5.0)), "[ledger] item no. 2: replacement = 5 needs life_years, the age at which it "
     "falls due. Add a line such as: life_years = 20."),
    (items(line("deposit", 9001.0)), "[ledger] deposits of 9001 are above the price of 9000 that they are part of. Write "
     "what was paid ahead."),
    (items(line("deposit", 900.0, "2026-03-02")), '[ledger] "a deposit": date = 2026-03-02 is after the last day on which '
     "anything is due, 2026-03-01. A deposit comes first: mend the dates."),
    (items(UNIT), '[ledger] item "unit" stands more than once. Give every line a label of its own.'),
    (items(amount=9500.0), "[ledger] credit: amount = 9500 is above the 9000 that is left to pay. Write what is borrowed for "
     "this option."),
    (items(first_payment="2026-02-01"), "[ledger] credit: first_payment = 2026-02-01 is before anything is bought, "
     "2026-03-01. Mend the dates: buying comes first."),
    (items(years=None, payment_per_month=30.0), "[ledger.credit] payment_per_month = 30 never repays the credit: its interest "
     "alone is 30.00 a month. Write more than 30.00, or give years instead."),
    (items(payment_per_month=130.0), "[ledger.credit] years and payment_per_month are given together, and exactly one is "
     "allowed: they say the same thing. Keep the one you know best."),
    (items(rate_per_year=6.0), "[ledger.credit] rate_per_year = 6 is outside 0 to 0.5 (interest a year, charged by the month "
     "as a twelfth of it). It is a share, not per cent: write 0.06."),
    ({"item": [{**UNIT, "life_years": 15.0}]}, "[ledger] item no. 1: life_years = 15 is shorter than [money] horizon_years = "
     "20, and nothing says what comes after it. Add replacement, what a new one costs (0 where another line holds it), or "
     "shorten the horizon."),
    (items(line("would_have_spent", 3000.0, "2050-01-01")), "[ledger] item no. 2: date = 2050-01-01 is after the 20 years "
     "from 2026-01-01 that are looked at. Mend the date, or lengthen [money] horizon_years."),
    ({"item": []}, "[ledger] item = [] is empty, and at least one entry is needed (the lines). Write for example item = "
     '[{ label = "outdoor unit, fitted" }].'),
]  # fmt: skip


@pytest.mark.parametrize(("ledger", "sentence"), FAULTS, ids=lambda value: value[:60] if isinstance(value, str) else "")
def test_every_slip_has_its_sentence(ledger: dict[str, Any], sentence: str) -> None:
    credit = ledger.get("credit", {})
    said = {**ledger, "credit": {k: v for k, v in credit.items() if v is not None}} if credit else ledger
    assert only(table(money=MONEY, ledger=said)) == f"case.toml: {sentence}"


def test_every_option_has_its_own_ledger_and_it_is_written_back(tmp_path: Any) -> None:
    options = [{"name": "cheap", "ledger": items()}, {"name": "dear", "ledger": items(line("removal", 400.0))}]
    case = made(table("baseline", money=MONEY, option=options))
    assert [option.ledger.price for _, _, option in case.options() if option.ledger] == [9000.0, 9400.0]
    write_case(case, tmp_path / "case.toml")
    again = read_case(tmp_path / "case.toml")
    assert [option.ledger for _, _, option in again.options()] == [option.ledger for _, _, option in case.options()]
