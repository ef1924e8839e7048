"""What is said of money over the years in; a checked section, or one plain sentence for each slip, out."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table
from simkit.case.money.money import changed_paths, money_words
from simkit.notation import Notation

START: dict[str, Any] = {"start": "2026-01-01"}
MEASURE = {"name": "x", "changes": ["a.b = 1"], "cost": 1.0, "life_years": 3.0, "bother": "none", "who": "you"}
PART = {"name": "unit", "of": "heat_pump", "cost": 4500.0, "life_years": 16.0}


def test_left_out_rates_follow_general_prices() -> None:
    real = made(table(money=START)).money
    nominal = made(table(money={**START, "terms": "nominal", "escalation": {"fuel": 0.05}})).money
    assert real is not None
    assert nominal is not None
    assert (real.rise("electricity"), real.rise("general")) == (0.0, 0.0)
    assert (nominal.rise("electricity"), nominal.rise("general"), nominal.rise("fuel")) == (0.02, 0.02, 0.05)
    assert money_words(nominal) == (
        "20 years from 1 January 2026, discounted at 5.6\u00a0% (nominal: inflation 2.0\u00a0%); prices rise a year by: "
        "electricity +2.0\u00a0%, fuel +5.0\u00a0%, standing +2.0\u00a0%; the first year is at today's prices."
    )
    assert "(real: without general inflation)" in money_words(real)
    assert "fuel +5,0\u00a0%, standing +2,0\u00a0%" in money_words(nominal, Notation("de_DE", "EUR"))


def test_an_assumed_discount_rate_is_told_in_the_terms_of_the_case() -> None:
    nominal = made(table(money={**START, "terms": "nominal", "inflation": 0.03}))
    assert nominal.money is not None
    assert nominal.money.discount_rate == pytest.approx(1.035 * 1.03 - 1)
    assert any("3.5 % real, with the inflation stated" in note for note in nominal.notes)
    stated = made(table(money={**START, "terms": "nominal", "discount_rate": 0.05})).money
    assert stated is not None
    assert stated.discount_rate == 0.05


def test_a_case_without_money_stays_without() -> None:
    assert made(table()).money is None
    assert not [note for note in made(table()).notes if "money" in note]


def test_every_assumed_rate_is_named_with_its_source() -> None:
    notes = made(table(money=START)).notes
    wanted = (
        "Assumed for you: [money] discount_rate = 0.035 (UK government Green Book (HM Treasury): 3.5 % a year, real, "
    )
    assert any(note.startswith(wanted) for note in notes)


FAULTS = [
    ({"escalation": {"electricity": 5.0}}, "[money.escalation] electricity = 5 is outside -0.2 to 0.25 (yearly rise of the "
     "price of electricity). It is a share, not per cent: write 0.05."),
    ({"discount_rate": 3.5}, "[money] discount_rate = 3.5 is outside -0.05 to 0.3 (what a year's waiting is worth). "
     "It is a share, not per cent: write 0.035."),
    ({"horizon_years": 0}, "[money] horizon_years = 0 is outside 1 to 60 years (how many years are looked at). Write a value "
     "within these bounds, such as 20."),
    ({"start": "1 March"}, '[money] start = "1 March" can\'t be used here (day from which the years are counted). Write for '
     "example start = 2026-01-01."),
    ({"part": [{**PART, "age_years": 20.0}]}, "[money] part no. 1: age_years = 20 is above life_years = 16, the age at which "
     "it is replaced. Write an age below its life, or a longer life."),
    ({"part": [PART, PART]}, '[money] part "unit" stands more than once. Give each a name of its own.'),
    ({"measure": [{**MEASURE, "changes": ["45"]}]}, "[money] measure no. 1: changes = '45' is not a dotted path and a value. "
     "Write for example 'controls.design_flow_c = 47.0'."),
    ({"measure": [{**MEASURE, "changes": ["a.b = many"]}]}, "[money] measure no. 1: changes = 'a.b = many' is not a dotted "
     "path and a value. Write for example 'controls.design_flow_c = 47.0'."),
]  # fmt: skip


@pytest.mark.parametrize(("slip", "sentence"), FAULTS)
def test_every_slip_has_its_sentence(slip: dict[str, Any], sentence: str) -> None:
    assert only(table(money={**START, **slip})) == f"case.toml: {sentence}"


def test_lines_of_changes_are_values_by_path() -> None:
    lines = ("controls.design_flow_c = 47.0", 'hot_water.windows = [{ from = "23:00", to = "02:00" }]', 'note = "a=b"')
    assert changed_paths(lines) == {
        "controls.design_flow_c": 47.0, "hot_water.windows": [{"from": "23:00", "to": "02:00"}], "note": "a=b",
    }  # fmt: skip
