"""Every figure's chain ends at the figure, the laws in plain Python say what the kernel said, and what is asked is found."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from homes import NAMES, sample
from reported import small_home, small_report

from simkit.answers.report.coldest import week_days
from simkit.case.build import vary
from simkit.errors import CaseError
from simkit.explaining.catalogue import comparison_figures, year_figures
from simkit.explaining.chain import Candidates, DisagreementError, Explanation, Figure
from simkit.explaining.explain import FURTHER, chained, explain
from simkit.explaining.further import FAMILIES
from simkit.explaining.moves import moves
from simkit.explaining.reads import numbers_in, numbers_read
from simkit.explaining.step import step_figure, worked_step
from simkit.explaining.where import places
from simkit.reporting.as_data import answer_json
from simkit.reporting.on_page import answer_page
from simkit.reporting.on_terminal import answer_text
from simkit.year.compare import Comparison, compare
from simkit.year.simulate import simulate
from simkit.year.year import Year


@cache
def options(name: str) -> Comparison:
    return compare(sample(name))


@pytest.mark.parametrize("name", NAMES)
def test_the_chain_of_every_figure_of_every_option_ends_at_the_figure(name: str) -> None:
    for figure in comparison_figures(options(name)):
        links = chained(figure)
        assert links[-1].value == pytest.approx(figure.amount, rel=1e-9, abs=1e-6), figure.key
        assert all(link.what and link.source for link in links)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_shown_in_the_tables_of_a_year_can_be_asked_for(name: str) -> None:
    year = options(name).years[-1]
    shown = {digits for figure in year_figures(year) for digits, _ in numbers_read(figure)}
    answer = year.answer(ranged=False)
    for table in answer.tables:
        words = {column.name for place, column in enumerate(table.shown()) if table.wordy(place)}
        for row in table.cells(answer.notation)[: -1 if table.name == "months" else None]:
            for cell, column in zip(row[1:], table.shown(), strict=True):
                if column.name not in words and (digits := re.sub(r"\D", "", cell)):
                    assert digits in shown, (table.name, row)


@pytest.mark.parametrize("name", NAMES)
def test_steps_in_plain_python_are_the_kernels(name: str) -> None:
    chance = np.random.default_rng(11)
    for year in options(name).years[:3]:
        for place in (0, *chance.integers(0, year.axis.steps, 6).tolist(), year.axis.steps - 1):
            made = worked_step(year, place)
            assert made.levels.air_c == pytest.approx(year.hourly["air_c"].iloc[place], rel=1e-9)
            chained(step_figure(year, place))


def test_a_floor_in_screed_is_explained_with_what_it_holds() -> None:
    """A January step that feeds it, and the chain of the year: what walls, air and emitters hold closes its balance."""
    floor = {"emitters.kind": "underfloor", "emitters.sized_for_flow_c": 36.0, "controls.design_flow_c": 36.0}
    year = simulate(vary(sample("estuary_bungalow"), floor | {"option": None, "baseline": None}))
    place = int(
        np.argmax((year.flow("space_heat") > 1.0) & (np.abs(year.flow("space_heat") - year.flow("emitted")) > 0.5))
    )
    links = {link.what: link for link in chained(step_figure(year, place))}
    assert links["Heat into the rooms"].value == pytest.approx(year.flow("emitted")[place])
    assert links["Heat to the rooms"].value == pytest.approx(year.flow("space_heat")[place])
    assert "K held" in links["Most that the emitters take"].worked
    assert year.hourly["emitter_c"].iloc[place] > year.hourly["air_c"].iloc[place] + 1.0
    for figure in year_figures(year):
        assert chained(figure)[-1].value == pytest.approx(figure.amount, rel=1e-9, abs=1e-6), figure.key


def test_a_kernel_that_says_anything_else_is_caught() -> None:
    year = options("estuary_bungalow").base
    trace = year.run.trace.copy()
    trace[1000] *= 1.0 + 1e-6
    with pytest.raises(DisagreementError, match="by the laws and"):
        worked_step(replace(year, run=replace(year.run, trace=trace)), 1000)


def test_a_step_ends_at_power_times_time_times_price() -> None:
    year = simulate(sample("canal_terrace"))
    found = explain(year, "2025-01-08 07:30")
    assert isinstance(found, Explanation)
    place = int(np.flatnonzero(year.axis.local.strftime("%Y-%m-%d %H:%M") == "2025-01-08 07:30")[0])
    hour = year.hourly.iloc[place]
    assert found.figure.key == "2025-01-08 07:30"
    assert found.links[-1].value == pytest.approx(hour["import_kw"] * 0.5 * hour["import_price_per_kwh"])
    by_name = {link.what: link.value for link in found.links}
    assert by_name["Flow commanded"] == pytest.approx(hour["flow_c"])
    assert by_name["COP"] == pytest.approx(hour["cop"], rel=1e-6)
    assert by_name["Outdoors"] == pytest.approx(hour["outdoor_c"])
    assert found.moved[0].name == "heat loss"


def test_a_payback_is_the_crossing_of_the_yearly_sum() -> None:
    figures = {figure.key: figure for name in ("estuary_bungalow", "moor_cottage") for figure in _money(name)}
    found = {key: figure for key, figure in figures.items() if key.endswith("payback") and 1.0 < figure.amount < 19.0}
    assert found
    for figure in found.values():
        turn, ahead = int(figure.amount), {link.what: link.value for link in figure.links()}
        before, after = (ahead[f"Ahead after year {year}"] for year in (turn, turn + 1))
        assert before < 0 <= after
        assert figure.amount == pytest.approx(turn + before / (before - after), abs=1e-9)


def _money(name: str) -> list[Figure]:
    case = sample(name)
    dear = {"fuel.price_per_unit": 1.6 * case.fuel.price_per_unit} if case.fuel else {}
    return list(comparison_figures(compare(vary(case, dear))))


def test_a_year_is_asked_by_key_by_its_end_by_month_and_by_words() -> None:
    year = simulate(sample("canal_terrace"))
    assert _key(explain(year, "bill.energy.day")) == "bill.energy.day"
    assert _key(explain(year, "total")) == "bill.total"
    assert _key(explain(year, "January")) == _key(explain(year, "2025-01")) == "month.jan.cost"
    assert _key(year.explain("spf.h4")) == "spf.h4"
    assert _key(explain(year, "coldest room")) == "comfort.min_room_c"


def test_a_number_asks_which_figure_is_meant() -> None:
    year = simulate(sample("canal_terrace"))
    found = explain(sample("canal_terrace"), year.case.notation.money(year.bill.total))
    assert isinstance(found, Candidates)
    keys = [figure.key for figure in found.figures]
    assert keys[0] == "bill.total"
    assert len(keys) > 1
    text = answer_text(found.answer())
    assert all(key in text for key in keys)


def test_what_is_shown_nowhere_is_refused_in_a_sentence() -> None:
    year = simulate(sample("canal_terrace"))
    with pytest.raises(CaseError, match="is no figure that is shown of this home"):
        explain(year, "gearbox")
    with pytest.raises(CaseError, match="is no time of 2025"):
        explain(year, "2024-01-08 07:30")
    with pytest.raises(CaseError, match="is no day and time of the calendar"):
        explain(year, "2025-13-40 99:99")
    with pytest.raises(CaseError, match=r"has no \[money\]"):
        explain(year, "payback")


def test_both_steps_of_the_hour_that_comes_twice_may_be_meant() -> None:
    assert isinstance(explain(simulate(sample("canal_terrace")), "2025-10-26 02:30"), Candidates)


def test_an_input_is_moved_as_if_the_case_said_so() -> None:
    """Own: a tenth on the price of fuel is what the case with that price costs more."""
    year = simulate(sample("estuary_bungalow", "Oil boiler, same comfort"))
    figure = next(figure for figure in year_figures(year) if figure.key == "bill.total")
    moved = {one.name: one.value for one in moves(figure)}
    fuel = sum(line.amount for line in year.bill.lines if line.kind == "fuel")
    assert moved["price of fuel"] == pytest.approx(year.bill.total + 0.1 * fuel, abs=0.1)
    assert moved["heat loss"] > year.bill.total > moved["efficiency of the boiler"]


def test_every_face_shows_the_chain() -> None:
    answer = explain(simulate(sample("harbour_flat")), "spf.h4").answer()
    for text in (answer_page(answer), answer_text(answer), answer_json(answer)):
        assert "Heat within" in text


def _key(found: Explanation | Candidates) -> str:
    assert isinstance(found, Explanation), found
    return found.figure.key


def test_the_public_function_is_no_module() -> None:
    import simkit as sk

    year = simulate(sample("harbour_flat"))
    assert isinstance(year.explain("spf.h4"), Explanation)
    assert isinstance(sk.explain(year, "spf.h4"), Explanation)


@cache
def further() -> dict[str, tuple[Figure, ...]]:
    """Every family of further figures of a small home with options, offers, tariffs and measures."""
    found = options_of_small_home()
    return {name: tuple(family(found)) for name, family in FAMILIES.items() if name != "moved"}


@cache
def options_of_small_home() -> Comparison:
    return compare(small_home())


def test_every_further_figure_is_the_end_of_a_chain() -> None:
    found = further()
    assert tuple(FAMILIES) == FURTHER
    assert all(found.values())
    keys = [figure.key for figures in found.values() for figure in figures]
    assert len(keys) == len(set(keys))
    quick = (figure for name, figures in found.items() if name != "flow" for figure in figures)
    for figure in (*found["flow"][:5], *quick):
        made = figure.made
        links = chained(made)
        assert made.amount == pytest.approx(figure.amount, abs=1e-9), figure.key
        assert all(link.what and link.source for link in links), figure.key


def test_every_number_of_a_report_is_explained_or_told_with_its_place() -> None:
    """What stands in columns of numbers has a chain or is an input, but for what is named here; all of it has a place."""
    found = options_of_small_home()
    families = {**further(), "moved": tuple(FAMILIES["moved"](found))}
    every = [*comparison_figures(found), *(figure for figures in families.values() for figure in figures)]
    known, looked, lacking = {number for figure in every for number in numbers_read(figure)}, 0, set()
    content = small_report().content
    for section in content.sections:
        for table in section.answer.tables:
            for row in table.cells(section.answer.notation):
                for place, (column, cell) in enumerate(zip(table.shown(), row[1:], strict=True)):
                    for number in numbers_in(cell) if not table.wordy(place) else ():
                        looked += 1
                        if number not in known:
                            lacking.add((section.name, table.name, column.name))
    assert looked > 400
    assert not lacking
    for said in (*content.first.sentences, *content.sections[0].answer.sentences):
        for digits, decimals in numbers_in(said):
            text = f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits
            assert any(said == place.text for place in places((content,), text))


def test_a_family_can_be_named_before_what_is_meant() -> None:
    found = explain(options_of_small_home(), "input latitude_deg")
    assert isinstance(found, Candidates)
    assert all(figure.key.startswith("input.") for figure in found.figures)
    one = explain(options_of_small_home(), "flow.cheap_night_tariff.47.cost")
    assert isinstance(one, Explanation)
    assert one.figure.years[-1].case.controls.design_flow_c == 47.0
    assert one.moved


def test_a_number_means_as_many_decimals_as_it_has() -> None:
    year = options("harbour_flat").years[-1]
    spf = year.case.notation.number(year.spf.h4, 2)
    found = explain(year, spf)
    keys = {found.figure.key} if isinstance(found, Explanation) else {figure.key for figure in found.figures}
    assert "spf.h4" in keys
    assert "spf.h4" not in {figure.key for figure in _of(year, re.sub(r"\D", "", spf))}


def _of(year: Year, what: str) -> tuple[Figure, ...]:
    """The figures that a number may mean; none where it reads nowhere so."""
    try:
        found = explain(year, what)
    except CaseError:
        return ()
    return (found.figure,) if isinstance(found, Explanation) else found.figures


def test_a_day_of_the_coldest_week_can_be_asked_for() -> None:
    found = options_of_small_home()
    day = f"{week_days(found.years[-1]).index[2]:%Y-%m-%d}"
    asked = explain(found, day)
    assert isinstance(asked, Candidates)
    assert all(f".{day}." in figure.key for figure in asked.figures)
