"""A schedule tried on every tariff: costs follow, hot water that runs short is said, wrong values are answered."""

from __future__ import annotations

from functools import cache
from html import unescape
from pathlib import Path

import pytest
from tariffs import band, tariff

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.tariff.ranking import rank_tariffs
from simkit.decide.tariff.shifting import NOT_AT_ALL
from simkit.errors import CaseError
from simkit.panels import TariffTrial
from simkit.panels.view import PanelView
from simkit.tariff.tariff import Tariff
from simkit.year.simulate import simulate

SAMPLES = Path(__file__).parents[3] / "sample_data"
CAR = {"km_per_week": 220.0, "charger_kw": 7.4, "from": "18:00", "to": "07:00", "charging": "at_once"}
PNG = b"\x89PNG"


def named(name: str, *bands: object, **terms: object) -> Tariff:
    return tariff(*bands, name=name, standing_per_day=0.8, **terms)


FLAT = named("Flat", band("All day", 0.34, "00:00", "24:00"))
NIGHT = named("Night", band("Night", 0.16, "23:00", "08:00"), band("Day", 0.38, "08:00", "23:00"))


@cache
def home(with_car: bool = True) -> Case:
    case = read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    changes = {"tariff": FLAT, "home.loss": {"w_per_k": 200.0}, "uncertainty.lanes": 16, "option": None,
               "baseline": None}  # fmt: skip
    return vary(case, {**changes, **({"car": CAR} if with_car else {})})


def trial(with_car: bool = True, folder: Path | None = None) -> TariffTrial:
    return TariffTrial(home(with_car), [NIGHT], folder or Path())


def test_it_begins_with_what_each_tariff_costs_now() -> None:
    made = trial()
    ranked = {row.name: row.as_is.cost for row in rank_tariffs(home(), [NIGHT], shifting=NOT_AT_ALL).rows}
    assert made.costs == made.before
    assert made.costs == pytest.approx(ranked, rel=2e-4), "half-hours here, hours there"
    assert "; rooms are warm enough and hot water comes." in made.answer().sentence


def test_a_home_with_one_tariff_is_told_no_rank() -> None:
    said = TariffTrial(home(with_car=False), []).answer().sentences[0].replace("\u00a0", " ")
    assert said.startswith("With these settings a year on “Flat” costs about €")
    assert ", as much as now; rooms are warm enough" in said


def test_the_car_in_the_cheapest_hours_moves_the_night_tariff_only() -> None:
    made = trial()
    made.set("charging", "in the cheapest hours of its window")
    assert made.costs["Night"] < made.before["Night"] - 300
    assert made.costs["Flat"] == pytest.approx(made.before["Flat"], abs=1.0)
    table = made.table()
    assert list(table.index) == ["Night", "Flat (yours)"], "the cheapest first"
    assert table.loc["Night", "cheap_share"] > 0.4
    assert made.case.car.charging == "by_price"
    assert made.case.tariff.name == "Night"
    written = simulate(made.case, step_minutes=30)
    assert made.costs["Night"] == pytest.approx(written.bill.total, rel=1e-3)


def test_water_and_pre_heating_agree_with_the_case_that_is_written() -> None:
    made = trial(with_car=False)
    made.set_all({"water_from": "01:00", "water_hours": 6.0, "preheat_k": 1.0})
    year = simulate(made.case, step_minutes=30)
    assert made.costs[made.winner] == pytest.approx(year.bill.total, rel=1e-3)
    assert made.comfort.degree_hours_below == pytest.approx(year.comfort.degree_hours_below, abs=5)


def test_hot_water_that_runs_short_is_said() -> None:
    made = trial(with_car=False)
    made.set_all({"water_from": "02:00", "water_hours": 1.0})
    assert "hot water runs short by " in made.answer().sentence
    assert made.comfort.unmet_kwh > 50


def test_wrong_values_are_answered_and_change_nothing() -> None:
    made = trial()
    costs = dict(made.costs)
    made.set("preheat_k", 5)
    assert made.problems["preheat_k"].startswith(
        "5 K is outside 0 to 2 K (in the 4 cheapest hours of each tariff's day)"
    )
    made.set("water_from", "25:00")
    assert "is not a time of day" in made.problems["water_from"]
    made.set("charging", "cleverly")
    assert "is not among the choices" in made.problems["charging"]
    assert made.costs == costs


def test_reset_state_and_listeners() -> None:
    made, told = trial(), []
    made.on_change(lambda: told.append(made.costs["Night"]))
    made.set_all({"charging": "by_price", "preheat_k": 0.5})
    state = made.state()
    assert made.differs("charging")
    made.reset()
    assert not made.differs("charging")
    assert made.costs["Night"] == pytest.approx(made.before["Night"], abs=1.0)
    made.restore(state)
    assert made.values == state
    assert len(told) == 3


def test_a_file_is_written_once_and_its_case_reads_back(tmp_path: Path) -> None:
    made = trial(folder=tmp_path)
    made.set("charging", "by_price")
    written = made.write("mine.toml")
    assert written.path is not None
    assert read_case(written.path).car.charging == "by_price"
    assert made.write("mine.toml").path is None


def test_tables_can_be_copied() -> None:
    made = trial()
    assert made._repr_html_().count("<tr>") == 3
    assert "Flat (yours)" in made._repr_html_()
    assert made.csv().startswith("tariff,year_cost,as_is_cost,more_cost,cheap_share\n")
    assert "The car charges,as soon as it may" in made.csv()
    assert all(said in unescape(made._repr_html_()) for said in made.answer(ranged=True).sentences)
    assert repr(made) == repr(made.answer())


def test_the_view_follows_and_what_is_typed_reaches_the_model() -> None:
    made = trial()
    view = PanelView(made)
    assert view.picture.startswith(PNG)
    before = view.picture
    view.ask({"set": {"charging": "by_price"}})
    assert made.values["charging"] == "by_price"
    assert view.picture != before
    view.ask({"set": {"preheat_k": "0,5"}})
    assert made.values["preheat_k"] == 0.5
    view.ask({"set": {"preheat_k": "9"}})
    assert view.state["rows"]["preheat_k"]["problem"]
    assert view.settled["csv"] == made.csv()
    assert "Flat (yours)" in view.state["tables"]


def test_a_floor_whose_heat_is_left_out_is_never_pre_heated_and_a_home_without_a_car_has_no_charger() -> None:
    screed = vary(home(with_car=False), {"emitters.kind": "underfloor", "emitters.stores": False})
    fields = TariffTrial(screed, [NIGHT]).fields
    assert list(fields) == ["back_c", "back_from", "back_to", "water_from", "water_hours", "water_c"]
    assert "preheat_k" not in fields
    assert "charging" not in fields


def test_a_set_back_and_cooler_water_are_simulated_charged_and_written() -> None:
    made = trial()
    before = dict(made.costs)
    made.set_all({"back_c": 16, "back_from": "21:00", "back_to": "06:00"})
    assert all(made.costs[name] != before[name] for name in before)
    assert made.comfort.hours_below_18 > 0
    assert made.case.controls.setback_c == 16.0
    assert simulate(made.case).comfort.hours_below_18 == pytest.approx(made.comfort.hours_below_18, rel=0.02)
    made.reset()
    made.set("water_c", 45)
    assert made.case.hot_water.target_c == 45.0
    assert made.costs != before


def test_a_tariff_in_another_currency_is_refused() -> None:
    with pytest.raises(CaseError, match="is not the currency of the tariff"):
        TariffTrial(home(), [NIGHT.model_copy(update={"currency": "GBP"})])


def test_two_tariffs_of_one_name_are_refused() -> None:
    with pytest.raises(CaseError, match="is given more than once"):
        TariffTrial(home(), [NIGHT, NIGHT.model_copy(update={"meter_offset_minutes": 12})])
