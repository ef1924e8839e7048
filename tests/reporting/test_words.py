"""Answers: they say what the figures say, never a promise, and either way where the range spans zero."""

from __future__ import annotations

import numpy as np
import pytest

from reporting.stubs import stub_comparison, stub_year
from simkit.reporting.words import (
    ESTIMATE,
    RANGE_MEANS,
    comparison_answer,
    same_comfort,
    split_notes,
    subject_of,
    year_answer,
)
from simkit.year.compare import Comparison

EVEN = np.linspace(-500.0, 500.0, 101)  # 10th and 90th percentile: 400 either side


def test_a_year_is_told_with_its_likely_range() -> None:
    year = stub_year("Our home", 3579.02, EVEN)
    said = "“Our home” costs about €3,579 a year to run (likely range €3,180 to €3,980): all electricity and fuel, "
    assert year_answer(year) == said + "the household's included."
    assert "range" not in year_answer(year, ranged=False)


def test_a_clear_saving_says_less_and_how_much_less() -> None:
    answer = comparison_answer(
        stub_comparison(stub_year("Boiler", 4000.0, EVEN, heated_by="boiler"), stub_year("Pump", 3300.0, 0.5 * EVEN))
    )
    assert answer == ["“Pump” costs €700 less a year than “Boiler” (likely range €500 to €900 less)."]


def test_a_range_that_spans_zero_could_go_either_way() -> None:
    compared = stub_comparison(stub_year("Boiler", 3432.0, EVEN, heated_by="boiler"), stub_year("Pump", 3579.0, -EVEN))
    assert comparison_answer(compared) == [
        "“Pump” costs about the same as “Boiler”: €147 more a year, but it could go either way "
        "(likely range €650 less to €950 more)."
    ]


def test_options_share_their_samples_so_that_what_both_meet_falls_out() -> None:
    compared = stub_comparison(stub_year("Boiler", 3000.0, EVEN, heated_by="boiler"), stub_year("Pump", 3100.0, EVEN))
    assert comparison_answer(compared) == [
        "“Pump” costs €100 more a year than “Boiler” (likely range €100 to €100 more)."
    ]


def test_cooler_rooms_are_no_saving_so_the_same_comfort_stands_beside() -> None:
    compared = stub_comparison(
        stub_year("As lived", 3400.0, heated_by="boiler", short=7000.0),
        stub_year("Same comfort", 4000.0, heated_by="boiler"),
        stub_year("Pump", 3500.0),
    )
    assert comparison_answer(compared, ranged=False) == [
        "“Pump” costs €100 more a year than “As lived”, and it keeps the rooms warmer.",
        "At the same comfort it costs €500 less a year than “Same comfort”.",
    ]


def test_cooler_rooms_are_said() -> None:
    compared = stub_comparison(stub_year("Boiler", 3400.0, heated_by="boiler"), stub_year("Pump", 3000.0, short=400.0))
    assert comparison_answer(compared, ranged=False) == [
        "“Pump” costs €400 less a year than “Boiler”, and it leaves the rooms cooler."
    ]


def test_the_cheapest_is_named_only_with_rooms_as_warm() -> None:
    years = [
        stub_year("Boiler", 3400.0, heated_by="boiler"),
        stub_year("Pump", 3300.0),
        stub_year("Pump, night tariff", 3000.0),
        stub_year("Pump, turned down", 2500.0, short=3000.0),
    ]
    assert comparison_answer(stub_comparison(*years), ranged=False)[1:] == [
        "The cheapest with rooms as warm is “Pump, night tariff” at €3,000 a year: it costs €400 less a year than “Boiler”."
    ]


def test_a_case_without_options_is_answered_as_one_year() -> None:
    year = stub_year("Our home", 3579.02)
    assert comparison_answer(stub_comparison(year), ranged=False) == [year_answer(year, ranged=False)]


def test_the_subject_is_the_first_that_is_heated_otherwise() -> None:
    boiler, other = stub_year("Boiler", 1.0, heated_by="boiler"), stub_year("Boiler 2", 1.0, heated_by="boiler")
    pump = stub_year("Pump", 1.0)
    assert subject_of(stub_comparison(boiler, other, pump)) is pump
    assert subject_of(stub_comparison(boiler, other)) is other
    assert subject_of(stub_comparison(boiler)) is None
    assert same_comfort(stub_comparison(boiler, other, pump), pump) is None


def test_equal_costs_are_equal() -> None:
    compared = stub_comparison(stub_year("Boiler", 3000.0, heated_by="boiler"), stub_year("Pump", 3000.2))
    assert comparison_answer(compared, ranged=False) == ["“Pump” costs as much a year as “Boiler”."]


@pytest.mark.parametrize("ranged", [True, False])
def test_nothing_is_promised(compared: Comparison, ranged: bool) -> None:
    said = " ".join([*comparison_answer(compared, ranged=ranged), ESTIMATE, RANGE_MEANS]).lower()
    assert "will save" not in said
    assert "guaranteed" not in said
    assert ("likely range" in " ".join(comparison_answer(compared, ranged=ranged))) == ranged


def test_notes_are_told_apart() -> None:
    notes = ("Caution: hot.", "Assumed for you: [home] x = 1 (own)", "Weather is made up.")
    assert split_notes(notes) == (["Caution: hot."], ["Assumed for you: [home] x = 1 (own)"], ["Weather is made up."])
