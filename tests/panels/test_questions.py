"""Each panel's answer is the kit's: a state that is written is the same by the command, and each question has its panel."""

from __future__ import annotations

import json
import random
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from homes import changed
from typer.testing import CliRunner

from panels.conftest import SAMPLES, few_lanes, sample
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.cli import app
from simkit.errors import CaseError
from simkit.panels import FlowTrial, HomeForm, MoneyTrial, PowerTrial, ReadingsTrial, TariffTrial, Trial
from simkit.panels.fields import Choice, Number, TimeOfDay
from simkit.panels.form.case import made_whole
from simkit.panels.settings import Settings
from simkit.panels.view import PanelView
from simkit.reporting.as_data import answer_json

NIGHTS = {"tariff": str(SAMPLES / "tariffs" / "estuary_long_night.toml")}


@cache
def home() -> Case:
    """An invented home whose loss is stated, so that nothing is sought."""
    return vary(made_whole(changed("estuary_bungalow")), {**NIGHTS, "uncertainty.lanes": 16})


@cache
def panel(kind: type[Trial]) -> Trial:
    return kind(home())


@cache
def money() -> MoneyTrial:
    return MoneyTrial(vary(sample("estuary_bungalow"), {"uncertainty.lanes": 16, "home.loss": {"w_per_k": 250.0}}))


def drawn(model: Settings, seed: int) -> dict[str, object]:
    """A state drawn at random, on the steps of the sliders."""
    luck, state = random.Random(seed), {}
    for name, field in model.fields.items():
        if isinstance(field, Number):
            state[name] = field.low + field.step * luck.randint(0, int((field.high - field.low) / field.step))
        elif isinstance(field, TimeOfDay):
            state[name] = luck.choice(field.listed)
        elif isinstance(field, Choice):
            state[name] = luck.choice(field.options)[0]
    return state


def by_command(path: Path) -> dict[str, Any]:
    """What the command says of a case file."""
    return dict(json.loads(CliRunner().invoke(app, ["run", str(path), "--json", "--no-range"]).stdout))


def run_about(view: PanelView, seed: int) -> None:
    """Do what somebody does with a panel, in an order drawn at random: type, slide, mistype, pin, go back, save, load."""
    luck, model = random.Random(seed), view.model
    view._sharper.call = lambda: None  # type: ignore[method-assign]  # as in a drag: no ranges are sampled
    for turn in range(8):
        state = drawn(model, 100 * seed + turn)
        name = luck.choice([one for one in state if model.shown(one)])
        typed = str(state[name]).replace(".", ",") if isinstance(model.fields[name], Number) else state[name]
        wishes: list[dict[str, Any]] = [
            {"set": {name: typed}}, {"set": {name: state[name]}}, {"set": {name: "a lot"}}, {"reset": [name]},
            {"pin": True}, {"unpinned": ["A", True]}, {"save": "kept"}, {"load": "kept"}, {"load": "nowhere"},
            {"upload": {"field": "", "name": "broken.toml", "text": "[home\n"}},
        ]  # fmt: skip
        view.ask({**luck.choice(wishes), "seq": turn})
    model.reset(*model.problems)
    first = next(field for field in model.fields.values() if isinstance(field, Number))
    view.ask({"set": {first.name: first.low + 4 * first.step}, "seq": 9})


@pytest.mark.parametrize("seed", range(3))
def test_whatever_was_done_before_the_panel_is_what_the_command_says(seed: int, tmp_path: Path) -> None:
    found = (Trial, FlowTrial, PowerTrial)[seed](home())
    found.folder, view = tmp_path, PanelView(found)
    run_about(view, seed)
    assert view.state["seq"] == 9
    path = found.write("state").path
    assert path is not None, found
    told = by_command(path)
    assert told["bill"]["total"] == pytest.approx(found.year.bill.total, abs=0.005)
    shown = " ".join(unescape(view.state["words"]).split())
    assert " ".join(found.case.notation.money(told["bill"]["total"]).split()) in shown, "it is what is shown"


def test_tariffs_and_the_form_are_what_the_command_says(tmp_path: Path) -> None:
    case = vary(home(), {"option": None, "baseline": None})
    tariffs = TariffTrial(case, [NIGHTS["tariff"]], tmp_path)
    for seed in range(3):
        tariffs.set_all(drawn(tariffs, seed))
        tariffs.reset(*tariffs.problems)
        told = by_command(tariffs.write(f"tariff_{seed}").path)
        assert told["bill"]["total"] == pytest.approx(tariffs.costs[tariffs.winner], rel=2e-3), "half-hours, one run-in"
    form = HomeForm(case, tmp_path)
    form.set_all({"floor_area": 110, "flow_c": 50, "day_c": "20,5", "people": "many"})
    form.reset(*form.problems)
    told = by_command(form.write("form").path)
    assert told["bill"]["total"] == pytest.approx(form.comparison.years[0].bill.total, abs=0.005)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kind", [Trial, FlowTrial, PowerTrial])
def test_a_state_that_is_written_is_what_the_command_runs(kind: type[Trial], seed: int, tmp_path: Path) -> None:
    found = panel(kind)
    found.reset()
    found.set_all(drawn(found, seed))
    found.reset(*found.problems)
    found.folder = tmp_path
    path = found.write("state").path
    assert path is not None, found
    told = by_command(path)
    assert told["bill"]["total"] == pytest.approx(found.year.bill.total, abs=0.005)
    assert told["energy_kwh"]["import"] == pytest.approx(found.year.totals["import"], abs=0.01)
    assert told["comfort"]["hours_below_18"] == pytest.approx(found.year.comfort.hours_below_18)
    assert read_case(path) == found.case


def test_panels_and_battery_have_shares_and_the_next_kwh() -> None:
    found = panel(PowerTrial)
    found.reset()
    before = found.year.bill.total
    assert not found.shown("tilt_deg")
    found.set_all({"kwp": 4, "battery_kwh": 5, "fill": "cheap"})
    assert found.year.bill.total < before
    assert found.case.battery is not None
    assert found.case.battery.fill_below_price == pytest.approx(sum(prices(found.case)) / 2, abs=1e-4)
    assert [table.name for table in found.answer(ranged=True).tables] == ["options", "energy", "sizes"]
    found.set_all({"kwp": 0, "battery_kwh": 0})
    assert (found.case.solar, found.case.battery) == (None, None)
    assert found.year.bill.total == pytest.approx(before, abs=0.005)


def prices(case: Case) -> tuple[float, float]:
    found = [band.price_per_kwh for band in case.tariff.band or ()]
    return min(found), max(found)


def test_an_offer_is_weighed_anew_and_nothing_is_simulated() -> None:
    found = money()
    first, years = found.worth.option(found.offer), found.comparison.years
    assert found.values["price"] == found._ledger.price
    found.set_all({"price": 9000, "loan": 3000, "loan_years": 8})
    moved = found.worth.option(found.offer)
    assert moved.settled.net == pytest.approx(first.settled.net + 9000 - first.case.ledger.price)
    assert moved.year is next(year for year in years if year.case.name == found.offer)
    assert moved.case.ledger.credit.amount == 3000.0
    found.set("loan", 20000)
    assert "is above the" in " ".join(found.problems.values())
    assert found.case.options()[found._place][2].ledger.credit.amount == 3000.0, "what is refused is not saved either"
    found.set("grant", 20000)
    assert found.problems["grant"].startswith("a grant of €20,000 is more than the €9,000 of the offer. Write what")
    found.reset()
    found.set_all({"grant": 1000, "life": 12, "years": 15, "rate": 4})
    assert found.case.money.horizon_years == 15
    assert found.case.money.discount_rate == 0.04
    assert {part.life_years for part in found.case.money.part if part.of == "heat_pump"} == {12.0}


@pytest.mark.parametrize("seed", range(2))
def test_an_offer_moved_at_random_is_what_the_command_weighs(seed: int, tmp_path: Path) -> None:
    found = money()
    found.reset()
    for name, value in drawn(found, seed).items():  # one after the other: what is refused changes nothing
        found.set(name, value)
    found.reset(*found.problems)
    found.folder = tmp_path
    path = found.write("state").path
    assert path is not None, found
    assert read_case(path) == found.case
    told = json.loads(CliRunner().invoke(app, ["worth", str(path), "--json", "--no-range"]).stdout)
    mine = json.loads(answer_json(found.answer()))
    assert told["options"] == mine["options"]
    for one in (told, mine):
        del one["tables"]["differences"]  # which names files as they are seen from the case
    assert told["tables"] == mine["tables"]


def test_a_home_without_an_offer_says_what_to_add() -> None:
    with pytest.raises(CaseError, match="Write what the offer costs into the form"):
        MoneyTrial(few_lanes("estuary_bungalow"))


def test_the_form_with_an_offer_can_be_weighed(tmp_path: Path) -> None:
    form = HomeForm(sample("estuary_bungalow"), SAMPLES.parent)
    form.set_all({"offer": 11000, "grant": 4000})
    form.folder = tmp_path
    found = MoneyTrial(read_case(form.write().path))
    assert found.offer == "Heat pump"
    assert (found.values["price"], found.values["grant"]) == (11000.0, 4000.0)
    assert (tmp_path / "my_tariff.toml").is_file()
    assert 'tariff = "my_tariff.toml"' in (tmp_path / "my_home.toml").read_text(encoding="utf-8")


def test_readings_beside_the_case_are_read_and_a_file_that_is_none_is_told(tmp_path: Path) -> None:
    found = ReadingsTrial(sample("estuary_bungalow"))
    view = PanelView(found)
    assert "25.0 days in steps of 30 minutes" in view.state["words"].replace("\u00a0", " ")
    assert view.state["rows"]["file"]["kind"] == "file"
    view.ask({"upload": {"field": "file", "name": "notes.csv", "text": "a;b\nc;d\n"}})
    assert view.state["refused"]
    assert "notes.csv" in view.state["said"]
    assert found.readings is not None, "what was read before stays"
    text = (SAMPLES / "estuary_bungalow" / "readings_next.csv").read_text(encoding="utf-8")
    view.ask({"upload": {"field": "file", "name": "next.csv", "text": text}})
    assert view.state["said"] == "Read from next.csv."
    bare = ReadingsTrial(vary(changed("canal_terrace"), name="x"))
    assert bare.act("fitted").sentence == "There are no readings yet. Choose a file first."
