"""The cheapest schedule: comfort first, what was searched is what is simulated, and the sheet to type in."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from decide.invented import few_candidates, stored, tariff, terrace
from simkit.case.build import vary
from simkit.decide.schedule.candidates import grid, neighbours, strategies
from simkit.decide.schedule.rule import Rule, changes_of
from simkit.decide.schedule.search import BestSchedule, Variants, best_schedule, needs_of
from simkit.decide.schedule.setback import set_back
from simkit.decide.schedule.settings_sheet import day_words, settings_sheet
from simkit.decide.variants import Lanes
from simkit.errors import CaseError
from simkit.notation import Notation
from simkit.year.simulate import simulate


@lru_cache(maxsize=2)
def found() -> BestSchedule:
    with few_candidates():
        return best_schedule(stored())


def test_it_saves_and_holds_the_needed_comfort() -> None:
    made = found()
    assert made.saving > 0.0
    missing = (made.today.comfort.degree_hours_below, made.best.comfort.degree_hours_below)
    assert missing[1] <= missing[0] + 1.0, "a saving is never sold comfort"
    assert made.best.comfort.hours_below_18 < 1.0
    assert made.best.case.hot_water.hygiene == made.today.case.hot_water.hygiene
    assert made.best.case.hot_water.target_c == made.today.case.hot_water.target_c
    assert 0 < made.too_cold < made.tried


def test_what_was_searched_on_lanes_is_what_is_simulated() -> None:
    made = found()
    assert made.rule is not None
    lanes = Variants(made.today).run([made.rule], run_in=True)
    assert lanes.cost[0] == pytest.approx(made.best.bill.total, abs=0.01)
    assert lanes.totals.below_k[0] == pytest.approx(made.best.comfort.degree_hours_below, abs=0.01)


def test_no_rule_that_is_shown_and_keeps_as_warm_is_cheaper_than_the_best() -> None:
    """Steady, set back and pre-heat under every recovery, and today: all held to the same test."""
    with few_candidates(OVER_K=(0.5,), LEAD_H=(1.0,), SET_BACK_K=(0.0,), PRE_HEAT=((0.0, 0.0),), CURVE_K=(0.0,)):
        made = best_schedule(terrace())
    needs, pattern = needs_of(made.today), Variants(made.today).pattern
    shown = [simulate(vary(terrace(), changes_of(rule, pattern, terrace()))) for rule in strategies(terrace()).values()]
    kept = [year.bill.total for year in (made.today, *shown) if needs.kept(Lanes.of(year)).all()]
    assert 2 <= len(kept) < len(shown)
    assert made.best.bill.total <= min(kept)


def test_the_best_may_be_what_is_set_today() -> None:
    """Prices without a spread, and today's schedule just what is needed: nothing that is tried is cheaper."""
    needed = vary(terrace(), {"tariff": tariff(0.3, 0.3)})
    one = {"OVER_K": (3.0,), "LEAD_H": (1.0,), "SET_BACK_K": (0.0,), "PRE_HEAT": ((0.0, 0.0),), "CURVE_K": (0.0,)}
    with few_candidates(**one, STRATEGIES={"hot": Rule(over_k=3.0)}):
        made = best_schedule(needed)
    assert made.rule is None
    assert made.saving == 0.0
    assert made.best is made.today
    assert "05:00–22:00" in settings_sheet(made.best, made.today)["winter"].iloc[0]


def test_a_colder_home_would_be_cheaper_and_is_not_taken() -> None:
    """Comfort is asked before cost: a rule of 9 K set-back without lead costs less and is thrown out."""
    variants = Variants(simulate(stored()))
    lanes = variants.run([Rule(over_k=0.0, lead_h=0.0, set_back_k=9.0), Rule(over_k=0.5, lead_h=2.0)])
    kept = needs_of(variants.today).kept(lanes)
    assert lanes.cost[0] < lanes.cost[1]
    assert kept.tolist() == [False, True]


def test_the_grid_has_about_two_thousand_candidates() -> None:
    case = stored()
    rules = grid(case, Variants(simulate(case)).pattern)
    assert 1000 <= len(rules) <= 2500
    assert len(set(rules)) == len(rules)


def test_a_night_is_not_heated_up_without_end() -> None:
    """Where the night costs next to nothing a search would make it a sauna: it stops at 2 K."""
    case = stored()
    moved = neighbours(Rule(0.5, 1.0, 0.0, 2.0, 4.0), case, Variants(simulate(case)).pattern)
    assert max(rule.lift_k for rule in moved) == 2.0


def test_workdays_and_weekends_are_moved_together_and_apart() -> None:
    rule = Rule(0.5, 1.0, 1.0)
    pattern = Variants(simulate(stored())).pattern
    moved = list(neighbours(rule, stored(), pattern))
    for name in ("over_k", "lead_h", "set_back_k", "lift_k"):
        changed = {tuple(getattr(day, name) != getattr(rule, name) for day in each.days) for each in moved}
        assert changed >= {(True, True), (True, False), (False, True)}
    apart = rule.with_days(rule.workdays, rule.workdays._replace(set_back_k=0.0))
    assert rule in neighbours(apart, stored(), pattern)  # and come together again


def test_people_who_are_out_on_workdays_get_days_of_their_own() -> None:
    """Needed warm from 17:00 on workdays, all day on weekends: the days found differ, and lead in both.

    On steps of an hour: on half-hours the best single day comes within what a second one is worth typing for.
    """
    home = vary(terrace(), {"step_minutes": 60, "comfort.periods": [
        {"from": "17:00", "to": "22:00", "c": 20.0, "days": "workdays"},
        {"from": "08:00", "to": "22:00", "c": 20.0, "days": "weekend"},
    ]})  # fmt: skip
    found = best_schedule(home)
    rows = settings_sheet(found.best, found.today).index.tolist()
    assert "rooms, workdays" in rows
    assert "rooms, Saturday and Sunday" in rows
    assert needs_of(found.today).kept(Lanes.of(found.best)).all()


def test_the_sheet_says_what_to_type_in() -> None:
    sheet = settings_sheet(found().best, found().today)
    assert "01:00–05:00 at about 0,1200\u00a0€/kWh" in sheet.loc["cheap hours", "winter"]
    assert sheet.loc["hot cycle", "winter"] == "every Sunday from 13:00 to 60 °C: leave it on"
    assert sheet.loc["battery", "summer"].startswith(
        "store what the panels spill, fill from the grid below 0,2000\u00a0€/kWh"
    )
    assert "no heating" in sheet["summer"].iloc[0]


def test_words_of_a_day() -> None:
    day = np.array([19.0] * 5 + [20.5] * 17 + [19.0] * 2)
    assert day_words(day, 60) == "20.5 °C 05:00–22:00, otherwise 19 °C"
    assert day_words(np.full(24, 20.0), 60) == "20 °C all day"
    assert day_words(day, 60, Notation("de_DE", "")) == "20,5 °C 05:00–22:00, otherwise 19 °C"


def test_the_verdict_on_a_set_back_depends_on_recovery_and_shows_the_cold() -> None:
    found = set_back(terrace())
    table = found.table()
    back = table.loc["set back"]
    assert back.loc["gentle", "cost"] < back.loc["full", "cost"]
    assert back.loc["gentle", "degree_hours_below"] > back.loc["full", "degree_hours_below"]
    assert len(table) == 9


def test_a_verdict_on_pre_heating_a_screed_unless_its_heat_is_left_out() -> None:
    floor = vary(terrace(), {"emitters.kind": "underfloor", "emitters.exponent": None, "emitters.mass_share": None})
    assert {name for name, _ in strategies(floor)} == {"steady", "set back", "pre-heat"}
    assert {name for name, _ in strategies(vary(floor, {"emitters.stores": False}))} == {"steady", "set back"}


def test_what_can_not_be_scheduled_is_said() -> None:
    with pytest.raises(CaseError) as caught:
        best_schedule(vary(terrace(), heat_source="boiler"))
    assert str(caught.value) == (
        'case.toml: heat_source = "boiler" leaves nothing to schedule: that is done for a heat pump. '
        'Choose an option of the case with heat_source = "heat_pump".'
    )
