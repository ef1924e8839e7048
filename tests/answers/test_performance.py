"""What is said of seasonal performance: SPF and H4 explained where they first stand, the band, and every cell."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from answers.cells import assert_cells_are_the_data
from simkit.answers.performance import MEANS, measured_sentence, performance_answer
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.performance.measured import Measured, spf_at_h4
from simkit.year.simulate import simulate
from simkit.year.year import Year

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def year() -> Year:
    return simulate(vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None}))


def test_the_year_comes_first_with_what_it_means_and_whether_it_is_sensible() -> None:
    said = year().seasonal.answer().sentences
    spf, band = year().spf.h4, year().seasonal.band
    assert spf is not None
    shown = round(spf, 1)  # 3.00 is never said to be more than 3.0
    place = "less than" if shown < band.low else "more than" if shown > band.high else "within"
    assert said[0].startswith(
        f"Over the year the heat pump gives {spf:.2f} units of heat for one of electricity (SPF H4): {place} the "
        f"{band.low:.1f} to {band.high:.1f} that is sensible"
    )
    assert said[1] == MEANS


def test_every_cell_is_the_data() -> None:
    told = assert_cells_are_the_data(year().seasonal.answer())
    for row, shown in zip(told["figures"], told["tables"]["figures"], strict=True):
        assert (row["figure"], row["spf"], row["boundary"]) == (shown["figure"], shown["spf"], shown["boundary_words"])


def test_without_a_heat_pump_in_the_year_nothing_is_praised() -> None:
    boiler = simulate(vary(year().case, {"heat_source": "boiler"}))
    assert boiler.seasonal.answer().sentences[0] == "No heat pump ran in this year."


def test_what_was_measured_is_put_beside_the_simulated_year() -> None:
    found = spf_at_h4(Measured("unit meter", "heat meter", 12000.0, 4000.0, meter_class=2), year().spf)
    answer = performance_answer(year().seasonal, measured=found)
    said = measured_sentence(found, year().seasonal, answer.notation)
    assert said in answer.sentences
    assert said.startswith(
        f"Measured: SPF H4 {found.h4:.2f} (between {found.low:.2f} and {found.high:.2f}), from 3.00 at H2"
    )
    inside = found.low <= year().spf.h4 <= found.high
    assert ("the simulated year fits" in said) is inside


def test_what_cannot_be_said_names_why() -> None:
    found = spf_at_h4(Measured("house sub-meter", "none", None, 3000.0), year().spf)
    said = performance_answer(year().seasonal, measured=found).sentences
    assert any(text.startswith("What was measured gives no SPF H4: heat was not measured") for text in said)
