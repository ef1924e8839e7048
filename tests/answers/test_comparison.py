"""What is said of options says what their figures say: either way where the range spans zero, and never of cold rooms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from answers.stubs import stub_comparison, stub_year
from simkit.answers.comparison import RUNNING_ONLY, comparison_answer, comparison_sentences, subject_of
from simkit.answers.wording import ESTIMATE, NO_LIKE, RANGE_MEANS
from simkit.answers.year import year_sentences
from simkit.notation import Notation
from simkit.year.compare import Comparison

pytestmark = pytest.mark.short

EVEN = np.linspace(-500.0, 500.0, 101)  # 10th and 90th percentile: 400 either side
IRISH = Notation("en_IE", "EUR")
COLD = "too cold: 3,000 h under 18 °C, up to 2.5 K below"


def said_of(compared: Comparison, *, ranged: bool = True) -> list[str]:
    """All but what ranges and estimates mean."""
    said = [text.replace("\u00a0", " ") for text in comparison_sentences(compared, IRISH, ranged=ranged)]
    assert said[-1] == (f"{RANGE_MEANS} {ESTIMATE}" if ranged else ESTIMATE)
    assert len(compared.years) == 1 or said[-2] == RUNNING_ONLY
    return [text for text in said[:-1] if text != RUNNING_ONLY]


def test_a_clear_saving_says_less_and_how_much_less() -> None:
    boiler, pump = stub_year("Boiler", 4000.0, EVEN, heated_by="boiler"), stub_year("Pump", 3300.0, 0.5 * EVEN)
    assert said_of(stub_comparison(boiler, pump)) == [
        "At equal comfort “Pump” costs about €700 less a year than “Boiler” (likely €500 to €900 less)."
    ]


def test_a_range_that_spans_zero_could_go_either_way() -> None:
    boiler, pump = stub_year("Boiler", 3432.0, EVEN, heated_by="boiler"), stub_year("Pump", 3579.0, -EVEN)
    assert said_of(stub_comparison(boiler, pump)) == [
        "At equal comfort “Pump” costs about the same as “Boiler”: it could go either way (likely €650 less to €950 more)."
    ]


def test_options_share_their_samples_so_that_what_both_meet_falls_out() -> None:
    boiler, pump = stub_year("Boiler", 3000.0, EVEN, heated_by="boiler"), stub_year("Pump", 3100.0, EVEN)
    assert said_of(stub_comparison(boiler, pump)) == [
        "At equal comfort “Pump” costs about €100 more a year than “Boiler” (likely €100 more)."
    ]


def test_equal_comfort_comes_first_and_the_cold_is_named_beside_the_other() -> None:
    years = (
        stub_year("As lived", 3400.0, heated_by="boiler", cold_h=3000.0),
        stub_year("Same comfort", 4000.0, heated_by="boiler"),
        stub_year("Pump", 3500.0),
    )
    assert said_of(stub_comparison(*years), ranged=False)[:2] == [
        "At equal comfort “Pump” costs €500 less a year than “Same comfort”.",
        f"If the old comfort were good enough, “Pump” costs €100 more a year than “As lived”; with “As lived” the home is "
        f"{COLD}.",
    ]


def test_what_is_colder_is_never_said_to_be_at_equal_comfort() -> None:
    years = (
        stub_year("As lived", 3400.0, heated_by="boiler", cold_h=4000.0),
        stub_year("Same comfort", 4000.0, heated_by="boiler"),
        stub_year("Pump", 3500.0, cold_h=3000.0),
    )
    first = said_of(stub_comparison(*years), ranged=False)[0]
    assert first == f"With “Pump” the home is {COLD}. “Pump” costs €500 less a year than “Same comfort”; {NO_LIKE}."


def test_what_speaks_against_an_option_comes_before_its_cost() -> None:
    compared = stub_comparison(
        stub_year("Boiler", 3400.0, heated_by="boiler"), stub_year("Pump", 3000.0, cold_h=3000.0)
    )
    assert said_of(compared, ranged=False) == [
        f"With “Pump” the home is {COLD}. “Pump” costs €400 less a year than “Boiler”; {NO_LIKE}."
    ]


def test_the_cheapest_is_named_only_where_it_is_as_comfortable_as_needed() -> None:
    years = [
        stub_year("Boiler", 3400.0, heated_by="boiler"),
        stub_year("Pump", 3300.0),
        stub_year("Pump, night tariff", 3000.0),
        stub_year("Pump, turned down", 2500.0, cold_h=3000.0),
    ]
    assert said_of(stub_comparison(*years), ranged=False)[1:] == [
        "The cheapest to run of those as comfortable as needed is “Pump, night tariff” at about €3,000 a year."
    ]


def test_where_none_is_comfortable_the_nearest_is_named_and_none_called_cheapest() -> None:
    years = [
        stub_year("Boiler", 3400.0, heated_by="boiler", cold_h=4000.0),
        stub_year("Pump", 3300.0, cold_h=3000.0),
        stub_year("Pump, turned down", 2500.0, cold_h=5000.0),
    ]
    said = said_of(stub_comparison(*years), ranged=False)
    assert said[-1] == f"No option is as comfortable as needed; “Pump” comes nearest: {COLD}."
    assert "cheapest" not in " ".join(said)


def test_a_case_without_options_is_answered_as_one_year() -> None:
    beside = "This case lists no [[option]], so that nothing stands beside it."
    assert said_of(stub_comparison(stub_year("Our home", 3579.02)), ranged=False) == [
        "A year costs about €3,579.",
        beside,
    ]


def test_a_year_is_told_with_its_likely_range_and_with_what_speaks_against_it() -> None:
    year = stub_year("Our home", 3579.02, EVEN, cold_h=3000.0)
    cost = "a year costs about €3,580 (likely €3,180 to €3,980), all electricity and fuel included."
    said = f"The home is {COLD}. As it is, {cost}"
    assert year_sentences(year, year.range(), IRISH)[0] == said


def test_water_that_runs_short_in_warm_rooms_is_said_before_the_cost() -> None:
    year = stub_year("Our home", 3579.02)
    year.comfort = replace(year.comfort, unmet_kwh=60.0, wanted_kwh=3000.0, short_days=("2025-01-08", "2025-01-09"))
    first = year_sentences(year, None, IRISH)[0]
    assert first.startswith("Hot water runs short by 1,720 litres on 2 days. As it is, a year costs about €3,579, ")


def test_the_subject_is_the_first_that_is_heated_otherwise() -> None:
    boiler, other = stub_year("Boiler", 1.0, heated_by="boiler"), stub_year("Boiler 2", 1.0, heated_by="boiler")
    pump = stub_year("Pump", 1.0)
    assert subject_of(stub_comparison(boiler, other, pump)) is pump
    assert subject_of(stub_comparison(boiler, other)) is other
    assert subject_of(stub_comparison(boiler)) is None


def test_equal_costs_are_equal() -> None:
    compared = stub_comparison(stub_year("Boiler", 3000.0, heated_by="boiler"), stub_year("Pump", 3000.2))
    assert said_of(compared, ranged=False) == ["At equal comfort “Pump” costs as much as “Boiler”."]


def test_below_the_options_each_title_says_whose_months_and_bill_it_shows(compared: Comparison) -> None:
    answer = comparison_answer(compared, ranged=False)
    subject = subject_of(compared)
    assert subject is not None
    below = [table for table in answer.tables if table.name in ("bill", "months", "performance")]
    assert len(below) == 3
    assert all(table.title.endswith(f", with “{subject.case.name}”") for table in below)
    assert all(
        picture.sentence.startswith(f"“{subject.case.name}”: ")
        for picture in answer.pictures
        if picture.name in ("months", "cop")
    )
