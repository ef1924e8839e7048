"""What is said of options over the years: keeping first, at equal comfort; either way; nothing free without a price."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy_financial as npf
import pandas as pd
import pytest
from invented_money import CHEAP, DEAR, MONEY, OLD, compared, home, quote

from simkit.answers.answer import Answer
from simkit.answers.money.worth import worth_answer, worth_sentences
from simkit.answers.wording import NO_LIKE
from simkit.case.build import Case
from simkit.finance.breakeven import BreakEvens, HeatPrices, break_evens
from simkit.finance.cash import years_cell
from simkit.finance.weighing import Weighed, weigh
from simkit.finance.worth import Worth, worth
from simkit.notation import Notation
from simkit.year.compare import Comparison, compare

IRISH = Notation("en_IE", "EUR")
TERMS = {**MONEY, "part": None, "residual": "none", "service": {"heat_pump": 0.0, "boiler": 0.0}}


def weighed(case: Case | None = None, **more: Any) -> Worth:
    return worth(case or home(**more), comparison=compared())


@lru_cache(maxsize=1)
def found() -> Weighed:
    return weigh(weighed(), samples=32)


@lru_cache(maxsize=1)
def answer() -> Answer:
    return worth_answer(weighed(), "Home", samples=32, years=True)


def said_of(found: Weighed) -> list[str]:
    return [text.replace("\u00a0", " ") for text in worth_sentences(found, IRISH)]


def no_samples(case: Case) -> Weighed:
    return weigh(weighed(case), samples=0)


def test_whether_to_change_comes_before_the_offers() -> None:
    said = said_of(found())
    changing = next(place for place, text in enumerate(said) if f"keeping “{OLD}”" in text)
    between = next(place for place, text in enumerate(said) if "more at once and" in text)
    assert changing == 0 < between
    assert said[0].startswith(("At equal comfort ", "With “", "If the old comfort were good enough, "))
    assert "over 15 years" in said[0]
    assert "in year one" in said[0]


def test_nothing_is_called_cheaper_or_dearer_where_the_range_goes_both_ways() -> None:
    made, said = found(), said_of(found())
    gain = made.sampled.gain(CHEAP) if made.sampled else None
    assert gain is not None
    either = gain.low < 0.0 < gain.high
    assert ("it could go either way" in said[0]) is either
    pair = made.pair
    assert pair is not None
    spread = pair.gain_a_year_range
    assert spread is not None
    between = next(text for text in said if "more at once and" in text)
    assert ("is cheaper than" in between) is not (spread.low < 0.0 < spread.high)


def test_an_offer_whose_gain_goes_both_ways_is_said_so() -> None:
    pair = found().pair
    assert pair is not None
    assert pair.gain_a_year_range is not None
    spread = replace(pair.gain_a_year_range, low=-30.0, middle=5.0, high=60.0)
    between = said_of(replace(found(), pair=replace(pair, gain_a_year=5.0, gain_a_year_range=spread)))
    assert any(
        text.startswith(
            f"Neither of the two offers gives the needed comfort. Between “{DEAR}” and “{CHEAP}” it could go either way over 15 years (likely €60 less to €30 more"
        )
        for text in between
    )
    assert not any("is cheaper than" in text for text in between)


def test_an_option_without_a_ledger_is_neither_free_nor_ranked() -> None:
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "controls": {"design_flow_c": 55.0}, "emitters": {"sized_for_flow_c": 55.0}},
        {"name": DEAR, "controls": {"design_flow_c": 42.0}, "emitters": {"sized_for_flow_c": 42.0},
         "ledger": {"item": [quote(7500.0)]}},
    ]  # fmt: skip
    made = no_samples(home(option=options))
    said = said_of(made)
    assert f"No price is stated for “{CHEAP}”: it is not ranked, since it is not free. Add a [ledger] to it." in said
    assert not any(text.startswith(("At equal", "As it was", "Of those")) and f"“{CHEAP}”" in text for text in said)
    row = worth_answer(made.worth, samples=0).tables[0].frame.loc[CHEAP]
    assert row["net_price_amount"] is None or np.isnan(row["net_price_amount"])
    assert row["lived_back_words"] == "price missing"


def test_a_boiler_that_never_dies_is_said() -> None:
    part = [{"name": "unit", "of": "heat_pump", "cost": 4000.0, "life_years": 10.0}]
    said = said_of(no_samples(home(money={**MONEY, "part": part})))
    assert any(text.startswith(f"Nobody listed when the boiler of “{OLD}” must be replaced") for text in said)
    assert not any("never dies" in text for text in said_of(no_samples(home())))


def cold_home(**more: Any) -> tuple[Case, Comparison]:
    """Kept as it was lived the home is cold; kept as comfortable it is a boiler too."""
    cold = {"periods": [{"from": "00:00", "to": "24:00", "c": 15.0, "days": "all"}], "setback_c": 15.0}
    options = [
        {"name": OLD, "heat_source": "boiler", "controls": cold},
        {"name": "Boiler, kept warm", "heat_source": "boiler"},
        {"name": CHEAP, "ledger": {"item": [quote(6000.0)]}},
    ]
    case = home(option=options, **more)
    return case, compare(case)


def test_at_equal_comfort_first_and_then_as_it_was_lived_with_its_cold_beside_it() -> None:
    case, made = cold_home()
    said = said_of(weigh(worth(case, comparison=made), samples=0))
    assert made.years[0].comfort.level == made.years[2].comfort.level, "by its level alone the cold one would pass"
    assert said[0].startswith(f"With “{CHEAP}” the home is too cold: ")
    assert f"“{CHEAP}” costs " in said[0]
    assert said[0].endswith(f"{NO_LIKE}.")
    assert "pays for itself" not in said[0]
    assert "keeping “Boiler, kept warm”" in said[0]
    assert said[1].startswith(f"If the old comfort were good enough, “{CHEAP}” costs ")
    assert f"; with “{OLD}” the home is too cold: " in said[1]


def test_no_figure_stands_under_equal_comfort_for_what_is_colder() -> None:
    """Nor under the old comfort; and what is colder than needed is no best option, whatever prices do."""
    case, made = cold_home()
    whole = worth_answer(worth(case, comparison=made), samples=0)
    row = whole.tables[0].frame.loc[CHEAP]
    assert pd.isna(row["like_more_amount"])
    assert row["like_back_words"] == "less comfort"
    assert row["lived_back_words"] != "less comfort"
    assert "less comfort" in whole.tables[0].note
    assert next(one for one in whole.data["options"] if one["name"] == CHEAP)["at_equal_comfort"] is None
    assert {one["option"] for one in whole.data["regret"]} == {one.case.name for one in made.years if one.comfort.held}


def test_the_cold_are_never_called_cheapest_and_their_saving_is_colder_rooms() -> None:
    case, made = cold_home()
    weighed_cold = worth(case, comparison=made)
    whole = worth_answer(weighed_cold, samples=0)
    assert not any(text.startswith("Of those") and f"needed “{OLD}”" in text for text in whole.sentences)
    assert any(f"“{OLD}” is less comfortable" in note and "colder rooms" in note for note in whole.notes)
    cold = [option.name for option in weighed_cold.others if not option.year.comfort.held]
    assert ("nothing is like for like" in str(whole.tables[0].note)) == bool(cold)


def test_the_loan_stands_in_a_column_and_its_worth_in_a_note() -> None:
    credit = {"amount": 4000.0, "rate_per_year": 0.08, "first_payment": "2026-02-01", "years": 5.0}
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "ledger": {"item": [quote(6000.0)], "credit": credit}},
        {"name": DEAR, "ledger": {"item": [quote(7500.0)]}},
    ]
    whole = worth_answer(weighed(option=options), samples=0)
    costs = next(table for table in whole.tables if table.name == "costs")
    payment = -float(npf.pmt(0.08 / 12, 60, 4000.0))
    assert costs.frame.loc[CHEAP, "loan_month_amount"] == pytest.approx(payment)
    assert costs.frame.loc[CHEAP, "loan_year_amount"] == pytest.approx(12 * payment)
    assert {column.name for column in costs.shown()} >= {"loan_month_amount", "loan_year_amount"}
    assert any(f"The credit of “{CHEAP}” takes " in note and "866.33" in note.replace(",", ".") for note in whole.notes)


def test_an_offer_is_shown_as_it_is_written() -> None:
    lines = [quote(6000.0),
             {"label": "scaffold", "amount": 300.0, "date": "2026-01-01", "kind": "site_extra"},
             {"label": "boiler away", "amount": 200.0, "date": "2026-01-01", "kind": "removal"},
             {"label": "autumn", "share": 0.1, "date": "2026-01-01", "kind": "discount"},
             {"label": "ahead", "amount": 500.0, "date": "2025-12-01", "kind": "deposit", "refundable": False}]  # fmt: skip
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "ledger": {"item": lines, "valid_until": "2025-11-30", "cancelling": 100.0}},
        {"name": DEAR, "ledger": {"item": [quote(7500.0)]}},
    ]
    whole = worth_answer(weighed(option=options), samples=0)
    row = next(table for table in whole.tables if table.name == "offers").frame.loc[CHEAP]
    assert (row["quoted_amount"], row["extras_amount"], row["removal_amount"]) == (6000.0, 300.0, 200.0)
    assert row["supports_amount"] == pytest.approx(-650.0)
    assert row["walking_away_amount"] == 600.0
    assert row["valid_words"] == "30 November 2025"
    assert any(text.startswith(f"“{CHEAP}” could be accepted until 30 November 2025") for text in whole.sentences)


def test_where_it_tips_by_three_forms() -> None:
    """Gas at 0.07, electricity at 0.28, a boiler of 0.85, 12,000 kWh of heat, 120 a year of standing, 180 kWh of pump."""
    hand: BreakEvens = break_evens(HeatPrices(0.28, 0.07, 0.85, 12_000.0, 120.0, 180.0, 3.4))
    assert (
        "To run, the heat pump costs as much as the boiler where its SPF H4 (units of heat for one of electricity over "
        "the year, pumps and heaters counted) is 3.40 by prices alone, 3.03 with the standing charge saved, 2.90 with "
        "the boiler's electricity saved too; here it is 3.40. So a kilowatt-hour of electricity may cost up to 4.73 "
        "times as much as one of fuel, and costs 4.00 times as much."
    ) in said_of(replace(found(), break_evens=hand))


def test_every_figure_from_the_shown_years() -> None:
    """Whoever has the yearly tables can work out every measure: by npv, irr, pmt and by hand."""
    tables = {table.name: table.frame for table in answer().tables}
    old, change, costs = tables[f"years of {OLD}"], tables["options"], tables["costs"]
    for name in (CHEAP, DEAR):
        mine = tables[f"years of {name}"]
        parts = [column for column in mine if column not in ("total_cost", "worth_today_amount", "carbon_kg")]
        assert mine[parts].sum(axis=1).to_numpy() == pytest.approx(mine["total_cost"].to_numpy())
        whole = float(npf.npv(0.03, mine["total_cost"]))
        assert costs.loc[name, "even_year_cost"] == pytest.approx(-float(npf.pmt(0.03, 15, whole)))
        saved = (old["total_cost"] - mine["total_cost"]).to_numpy()
        measured, money = found().worth.measures(name), found().worth.money
        assert measured.gain_today == pytest.approx(float(npf.npv(0.03, saved)))
        assert change.loc[name, "lived_back_words"] == "less comfort", "both offers are colder than the old boiler"
        running = np.cumsum(saved)
        back = years_cell(measured.simple_first, measured.simple_payback, money.horizon_years, IRISH)
        if running[-1] >= 0 and (running < 0).any():
            last = int(np.flatnonzero(running < 0)[-1])
            assert f"{last - running[last] / saved[last + 1]:.1f} y" in back
        else:
            assert "not" in back or back == "at once"
        assert tables["carbon"].loc[name, "life_carbon_kg"] == pytest.approx(float(mine["carbon_kg"].sum()))


def test_samples_inputs_and_rates_stand_in_the_notes() -> None:
    notes = " ".join(answer().notes)
    assert re.search(r"32 simulated futures; with half of them no end of the range of .* would lie more than", notes)
    assert re.search(r"Sampled: price of fuel, in eight of ten simulated futures \d+\s% lower to \d+\s% higher", notes)
    assert weighed().measures(DEAR).rate.worded(answer().notation) in notes


def test_the_pictures_and_the_question() -> None:
    assert answer().question == "Should I change, and which offer is cheaper over the years?"
    assert [picture.name for picture in answer().pictures][:2] == ["offers", "tornado"]
    assert all(picture.sentence.endswith(".") for picture in answer().pictures)
    assert weighed().answer(samples=0).title == OLD
