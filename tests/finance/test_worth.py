"""Options with ledgers in; what each is worth against a named alternative, in figures and words, out."""

from __future__ import annotations

from math import inf, isnan
from typing import Any

import numpy_financial as npf
import pytest
from invented_money import CHEAP, DEAR, MONEY, OLD, compared, home, quote

from simkit.case.build import Case
from simkit.errors import CaseError
from simkit.finance.worth import Worth, worth


def weighed(case: Case | None = None, **more: Any) -> Worth:
    return worth(case or home(**more), comparison=compared())


def refused(case: Case, **more: Any) -> str:
    with pytest.raises(CaseError) as caught:
        worth(case, comparison=compared(), **more)
    return str(caught.value)


def test_every_measure_comes_from_the_yearly_table() -> None:
    made = weighed()
    found, table = made.measures(DEAR), made.difference(DEAR)
    flows = table["saved"].to_numpy()
    assert found.extra_outlay == 7900
    assert flows[0] == -7900
    assert found.first_year_saving == pytest.approx(flows[1])
    assert found.gain_today == pytest.approx(float(npf.npv(0.03, flows)))
    assert found.gain_today == pytest.approx(made.base.worth_today - made.option(DEAR).worth_today)
    assert found.gain_per_year == pytest.approx(-float(npf.pmt(0.03, 15, found.gain_today)))
    assert table["cumulated"].iloc[-1] == pytest.approx(flows.sum())
    if not isnan(found.rate.rate):
        assert found.rate.rate == pytest.approx(float(npf.irr(flows)), abs=1e-6)
    tonnes = found.carbon_saved_kg * 15 / 1000
    assert found.carbon_saved_life_t == pytest.approx(tonnes)
    assert found.cost_per_tonne == pytest.approx(-found.gain_today / tonnes)


def test_payback_by_hand_of_a_plain_offer() -> None:
    case = home(money={**MONEY, "part": None, "residual": "none", "service": {"heat_pump": 0.0, "boiler": 0.0}})
    found = weighed(case).measures(DEAR)
    base, dear = compared().years[0].bill.total, compared().years[2].bill.total
    if base > dear and 7900 / (base - dear) <= 15:
        assert found.simple_payback == pytest.approx(7900 / (base - dear))
    else:
        assert found.simple_payback == inf


def test_a_sunk_cost_changes_no_digit_of_what_now() -> None:
    one, other = weighed(cheap=6000.0, paid=True), weighed(cheap=19_999.0, paid=True)
    assert one.measures(CHEAP, sunk=False) == other.measures(CHEAP, sunk=False)
    assert one.measures(CHEAP) != other.measures(CHEAP)
    assert one.measures(CHEAP, sunk=False).extra_outlay == 0


def test_financing_changes_no_measure() -> None:
    credit = {"amount": 4000.0, "rate_per_year": 0.08, "first_payment": "2026-02-01", "years": 5.0}
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "controls": {"design_flow_c": 55.0}, "emitters": {"sized_for_flow_c": 55.0},
         "ledger": {"item": [quote(6000.0)], "credit": credit}},
        {"name": DEAR, "ledger": {"item": [quote(7900.0)]}},
    ]  # fmt: skip
    with_credit, without = weighed(option=options), weighed()
    assert with_credit.measures(CHEAP) == without.measures(CHEAP)


def test_interest_until_due_is_in_no_sum() -> None:
    money, waiting = {**MONEY, "savings_rate": 0.04}, {**quote(7900.0), "date": "2026-05-01"}
    ahead = {"label": "ahead", "kind": "deposit", "amount": 500.0, "date": "2026-01-01"}
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP},
        {"name": DEAR, "ledger": {"item": [waiting, ahead]}},
    ]
    made = weighed(option=options, money=money)
    assert made.measures(DEAR).gain_today == pytest.approx(weighed().measures(DEAR).gain_today)
    assert made.option(DEAR).settled.interest_until_due == pytest.approx(95.7, abs=0.6)


def test_a_home_without_options_is_asked_for_one() -> None:
    said = refused(home(baseline=None, option=None))
    assert said.endswith("Add what it is to be weighed against as [[option]], and name one of the options as baseline.")


def test_no_alternative_no_payback() -> None:
    case = home(baseline=None)
    assert refused(case) == (
        "case.toml: the alternative is not named, and no payback is given without one: a saving is always a saving against "
        'something. Name one of "Old boiler", "Cheap offer", "Dear offer" as baseline in the case, or as the alternative of '
        "this question."
    )
    assert refused(case, against="Old boilr") == (
        'case.toml: the alternative "Old boilr" is not the name of an option. Perhaps "Old boiler" is meant.'
    )
    assert refused(case, against="X") == (
        'case.toml: the alternative "X" is not the name of an option. The options are: "Old boiler", "Cheap offer", '
        '"Dear offer".'
    )
    assert worth(case, against=OLD, comparison=compared()).against == OLD


def test_other_faults() -> None:
    assert refused(home(money=None)) == (
        "case.toml: the table [money] is missing, without which years can't be weighed. Add [money] with start, the day from "
        "which years are counted, such as start = 2026-01-01."
    )
    spared = {"label": "a boiler", "kind": "would_have_spent", "amount": 3000.0, "date": "2028-01-01"}
    options = [
        {"name": OLD, "heat_source": "boiler", "ledger": {"item": [quote(3000.0)]}},
        {"name": CHEAP, "ledger": {"item": [quote(6000.0), spared]}},
        {"name": DEAR},
    ]
    assert refused(home(option=options)) == (
        'case.toml, option "Cheap offer": would_have_spent of 3000 stands beside costs in the ledger of the alternative "Old '
        "boiler\", so that they may be counted twice. Keep it in one of the two: the alternative's own ledger is the better "
        "place."
    )
    with pytest.raises(CaseError) as caught:
        weighed().option("Cheap ofer")
    assert str(caught.value) == 'worth: option "Cheap ofer" is not among the options. Perhaps "Cheap offer" is meant.'
    with pytest.raises(CaseError) as caught:
        weighed().option("X")
    assert str(caught.value).endswith('The options are: "Old boiler", "Cheap offer", "Dear offer".')
    renamed = home(option=[{"name": OLD, "heat_source": "boiler"}, {"name": "Another"}])
    assert refused(renamed) == (
        'case.toml: option "Another" is not in the comparison given. Compare this very case, or leave the comparison out.'
    )


def test_what_is_spared_counts_for_the_option() -> None:
    spared = {"label": "a boiler", "kind": "would_have_spent", "amount": 3000.0, "date": "2028-01-01"}
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "ledger": {"item": [quote(6000.0), spared]}},
        {"name": DEAR},
    ]
    made = weighed(option=options)
    assert made.difference(CHEAP).loc[2, "spared"] == 3000
    assert made.measures(CHEAP).extra_outlay == 3000
    assert made.measures(CHEAP).gain_today == pytest.approx(weighed().measures(CHEAP).gain_today + 3000 / 1.03**2)
