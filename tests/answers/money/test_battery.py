"""What is said of a battery: either way where its range spans zero, panels that are tried, and tables as the figures."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import pandas as pd
import pytest
from decide.invented import ROOF, stored, tariff

from simkit.answers.money.battery import battery_answer, battery_sentences
from simkit.case.build import vary
from simkit.decide.battery.together import Together
from simkit.decide.battery.worth import BatteryWorth, battery_worth
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range


@lru_cache(maxsize=1)
def found() -> BatteryWorth:
    return battery_worth(vary(stored(), {"solar": ROOF, "tariff": tariff(export=0.04)}), ranges=False)


def said_of(saving: float, likely: Range | None, next_kwh: float | None = 20.0) -> str:
    alone = replace(found().alone, saving=saving, likely=likely, next_kwh=next_kwh)
    made = replace(found(), alone=alone)
    return battery_sentences(made, Notation("en_IE", "EUR"))[0].replace("\u00a0", " ")


def test_a_saving_and_the_next_kwh() -> None:
    said = said_of(200.0, Range(150.0, 200.0, 260.0))
    assert said.startswith("A battery of 8 kWh saves about €200 a year (likely €150 to €260 less) without panels")
    assert "; the next kWh saves €20" in said


def test_what_its_own_draw_adds_to_the_bill_is_said_so() -> None:
    assert said_of(-9.0, Range(-12.0, -9.0, -5.0)).startswith(
        "A battery of 8 kWh adds about €9 a year to the bill (likely €5 to €12 more) without panels"
    )


def test_a_range_that_spans_zero_goes_either_way() -> None:
    said = said_of(10.0, Range(-30.0, 10.0, 40.0), None)
    assert "makes about no difference to the bill: it could go either way (likely €40 less to €30 more a year)" in said
    assert "saves about" not in said


def test_its_tables_hold_the_figures() -> None:
    answer, curve = battery_answer(found()), found().alone.curve.table()
    sizes, week = answer.tables
    assert sizes.frame["saved_amount"].to_numpy() == pytest.approx(curve["saving"].to_numpy())
    assert sizes.frame["panels_next_kwh_amount"].to_numpy() == pytest.approx(
        found().beside_panels.curve.table()["next_kwh"].to_numpy()  # type: ignore[union-attr]
    )
    assert week.frame["carried_share"].to_numpy() == pytest.approx(
        (week.frame["carried_kwh"] / week.frame["expensive_kwh"]).to_numpy(), nan_ok=True
    )
    assert any(said.startswith("A battery can burn") for said in answer.cautions)
    assert any("work at height" in said.lower() for said in answer.cautions)


def test_what_would_be_counted_twice() -> None:
    rows = pd.DataFrame(
        {"cost": [900.0, 700.0], "saving": [0.0, 200.0], "sum_of_parts": [0.0, 260.0], "too_high_by": [0.0, 60.0],
         "wear": 0.0, "after_wear": [0.0, 200.0], "comfort": "warm enough"},
        index=pd.Index(["none", "solar + battery + schedule"], name="with"),
    )  # fmt: skip
    answer = battery_answer(
        found(), added=Together(rows, found().case.notation, "The case has no panels: usual ones are assumed.")
    )
    money = answer.notation.money
    assert (
        f"Panels, battery and the best schedule together save {money(200)} a year; adding up what each saves by itself "
        f"would count {money(60)} twice." in answer.sentences
    )
    assert "The case has no panels: usual ones are assumed." in answer.sentences
    assert answer.tables[-1].frame["counted_twice_amount"].tolist() == [0.0, 60.0]
