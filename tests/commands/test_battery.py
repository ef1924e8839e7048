"""`simkit battery`: the answer, its numbers against simulated bills, and what can't be asked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from decide.invented import few_candidates

from commands.conftest import Ask
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.decide.battery.size import without_panels
from simkit.decide.battery.worth import with_trial_battery
from simkit.year.simulate import simulate

TABLES = """
[battery]
usable_kwh = 5.0
charge_kw = 2.5
discharge_kw = 2.5
fill_below_price = 0.2
wear_per_kwh = 0.02
coupling = "dc"

[solar]
inverter_kw = 3.0

[[solar.array]]
kwp = 4.0
tilt_deg = 38.0
azimuth_deg = 200.0
"""


@pytest.fixture
def terrace(homes: Path) -> Path:
    """The canal terrace with a battery behind the inverter of its panels, and without options."""
    path = homes / "sample_data" / "canal_terrace" / "case.toml"
    path.write_text(path.read_text(encoding="utf-8") + TABLES, encoding="utf-8")
    return path


def test_numbers_are_differences_of_bills(ask: Ask, terrace: Path) -> None:
    told = json.loads(ask("battery", terrace, "--json").out)
    case = read_case(terrace)
    step = simulate(case).axis.step_minutes

    def bill(**changes: object) -> float:
        return float(simulate(vary(case, changes), step_minutes=step).bill.total)

    apart = bill(battery=None, solar=None) - float(simulate(without_panels(case), step_minutes=step).bill.total)
    beside = bill(battery=None) - bill()
    larger = bill(battery=None) - bill(**{"battery.usable_kwh": 6.0})
    assert told["alone"]["saving"] == pytest.approx(apart, abs=0.01)
    assert told["beside_panels"]["saving"] == pytest.approx(beside, abs=0.01)
    assert told["beside_panels"]["next_kwh"] == pytest.approx(larger - beside, abs=0.02)
    for part in ("alone", "beside_panels"):
        low, high = told[part]["range"]
        assert low < high
        sizes = {row["usable_kwh"]: row for row in told[part]["sizes"]}
        assert sizes[5.0]["after_wear"] == pytest.approx(told[part]["saving"] - told[part]["wear"], abs=0.01)
    added = round(-told["alone"]["saving"])
    assert added > 0, "a flat tariff leaves a battery nothing to earn, and it draws its own"
    alone, panels = (text.replace("\u00a0", " ") for text in told["answer"][:2])
    assert alone.startswith(f"A battery of 5 kWh adds about {added} € a year to the bill (likely ")
    assert panels.startswith(
        f"With the panels first it saves about {told['beside_panels']['saving']:.0f} € a year (likely "
    )
    coldest, week = told["coldest_day"], told["coldest_week"]
    assert len(week) == 7
    # A single cold day need not lie in the coldest seven in a row; but no day of theirs is colder than it.
    assert coldest["outdoor_c"] <= min(row["outdoor_c"] for row in week)
    assert told["together"] is None


def test_the_text_and_what_parts_add_to_each_other(ask: Ask, terrace: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    with few_candidates(LEAD_H=(1.0,), SET_BACK_K=(0.0, 1.0), CURVE_K=(-3.0, 0.0)):
        found = ask("battery", terrace, "--together", "--no-range")
    assert found.code == 0
    text = " ".join(found.out.split())
    for words in (
        "What does a battery save", "the next kWh", "Does it carry the coldest week?", "On the coldest day, ",
        "solar + battery + schedule", "together save", "Wear, at the price stated", "Counted twice",
    ):  # fmt: skip
        assert words in text
    assert "likely" not in text


def test_a_home_without_panels_is_told_so(ask: Ask, terrace: Path) -> None:
    path = terrace
    text = path.read_text(encoding="utf-8").split("[solar]")[0].replace('coupling = "dc"\n', "")
    path.write_text(text, encoding="utf-8")
    told = json.loads(ask("battery", path, "--json", "--no-range").out)
    assert told["beside_panels"] is None
    assert told["alone"]["range"] is None
    assert "This home has no panels: what a battery does beside them is not said here." in told["answer"]


def test_a_picture(ask: Ask, terrace: Path, tmp_path: Path) -> None:
    found = ask("battery", terrace, "--no-range", "--figure", tmp_path / "sizes.svg")
    assert found.code == 0
    assert b"<svg" in (tmp_path / "sizes.svg").read_bytes()
    refused = ask("battery", terrace, "--figure", tmp_path / "sizes.doc")
    assert (refused.code, refused.out) == (2, "")


def test_where_there_is_none_a_usual_one_is_assumed_and_named(ask: Ask, homes: Path) -> None:
    told = json.loads(ask("battery", "sample_data/estuary_bungalow", "--no-range", "--json").out)
    assert told["assumed"] == (
        "The case has no battery: one of 5 kWh with 2.5 kW in and out is assumed. State your own as [battery]."
    )
    told = json.loads(
        ask("battery", "sample_data/estuary_bungalow", "--option", "Cheap-night tariff", "--no-range", "--json").out
    )
    case = next(one for name, _, one in read_case(homes / "sample_data/estuary_bungalow/case.toml").options()
                if name == "Cheap-night tariff")  # fmt: skip
    below = with_trial_battery(case)[0].battery.fill_below_price
    prices = sorted({band.price_per_kwh for band in case.tariff.band})
    assert prices[0] < below < prices[-1]
    assert f"filled from the grid below {case.notation.price(below)}." in told["assumed"]
    assert told["alone"]["saving"] > 0
