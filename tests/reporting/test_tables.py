"""What the terminal shows: the answer first, every option, and nothing wider than the window."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from rich.console import Console

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.reporting.money import money
from simkit.reporting.tables import comparison_view, year_view
from simkit.reporting.words import comparison_answer, year_answer
from simkit.year.compare import Comparison, compare
from simkit.year.simulate import simulate


def printed(view: object, width: int) -> str:
    out = io.StringIO()
    Console(file=out, width=width, markup=False, highlight=False, emoji=False).print(view)
    return out.getvalue()


def together(text: str) -> str:
    """The text without its line breaks."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", [80, 120])
def test_a_comparison_fits_the_window_and_begins_with_the_answer(compared: Comparison, width: int) -> None:
    text = printed(comparison_view(compared, title="Our home", width=width), width)
    assert max(len(line) for line in text.splitlines()) <= width
    assert text.startswith("Our home")
    flat = together(text)
    places = [flat.index(sentence) for sentence in comparison_answer(compared)]
    assert places == sorted(places)
    assert places[0] < flat.index("Option, and its rooms")
    for year in compared.years:
        line = next(line for line in text.splitlines() if line.startswith(year.case.name))
        assert money(year.bill.total, "EUR") in line
    assert "is the baseline" in text
    assert ("●" in text) == (width >= 104)


def test_ranges_are_left_out_where_asked(compared: Comparison) -> None:
    text = printed(comparison_view(compared, title="Our home", width=120, ranged=False), 120)
    assert "likely range" not in text.lower()
    assert "●" not in text


def test_cautions_are_said_once_and_assumptions_counted(compared: Comparison) -> None:
    text = together(printed(comparison_view(compared, title="Our home", width=80, ranged=False), 80))
    assert text.count("Caution: hot water is stored at 50 °C") == 1
    assert "[boiler.as_operated] goes down to 16.5 °C" in text
    assert "values were assumed for you: `simkit check` lists them with their sources." in text
    assert "Estimates under the stated assumptions, not a guarantee." in text


def test_names_with_brackets_stand_as_written(flagship: Case) -> None:
    year = simulate(vary(flagship, name="[red]Our[/red] home [/]"))
    text = printed(year_view(year, ranged=False), 80)
    assert text.startswith("[red]Our[/red] home [/]")


def test_a_year_is_told_from_the_answer_to_its_size(compared: Comparison) -> None:
    year = compared.years[2]
    text = together(printed(year_view(year), 80))
    order = [year_answer(year), "Bill", "Total", "Months", "Energy", "Performance", "H4", "Comfort", "Size", "Caution"]
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert year.sizing is not None
    assert together(year.sizing.words) in text
    assert max(len(line) for line in printed(year_view(year), 80).splitlines()) <= 80


def test_a_boiler_has_neither_performance_nor_size(compared: Comparison) -> None:
    text = printed(year_view(compared.base, ranged=False), 80)
    assert "Performance" not in text
    assert "\nSize" not in text


def test_other_currencies_and_solar_fit_too() -> None:
    for name in ("harbour_flat", "canal_terrace"):
        case = read_case(sample_file(name, Path(__file__).parent.parent))
        text = printed(comparison_view(compare(case), title=case.name, width=80, ranged=False), 80)
        assert max(len(line) for line in text.splitlines()) <= 80
        assert {"harbour_flat": "DKK ", "canal_terrace": "€"}[name] in text
