"""JSON objects: every stable key, strictly valid, and adding up."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from simkit.answers.answer import Answer
from simkit.answers.comparison import comparison_answer
from simkit.answers.year import year_answer
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file, sample_names
from simkit.reporting.as_data import answer_json, as_json
from simkit.uncertainty.ranges import Range
from simkit.year.compare import Comparison
from simkit.year.simulate import simulate

HERE = Path(__file__).parent.parent
ENERGIES = {
    "space_heat", "hot_water", "tap_water", "tap_water_unmet", "heat_pump_electricity", "backup_heater", "immersion",
    "pumps", "standby", "household", "car", "solar", "curtailed", "battery_charge", "battery_discharge", "import", "export",
}  # fmt: skip


def parsed(value: Any) -> Any:
    """Read JSON back as strictly as it can be read."""

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    return json.loads(as_json(value), parse_constant=refuse)


def object_of(answer: Answer) -> Any:
    """The object that `--json` prints, read back strictly."""
    return parsed(json.loads(answer_json(answer)))


@pytest.mark.parametrize("name", sample_names(HERE))
def test_every_stable_key_of_a_year_is_there(name: str) -> None:
    year = simulate(read_case(sample_file(name, HERE)))
    found = object_of(year_answer(year, ranged=False))
    assert isinstance(found["case"], str)
    assert (found["steps"], found["step_minutes"]) == (year.axis.steps, year.axis.step_minutes)
    assert set(found["energy_kwh"]) >= ENERGIES
    assert all(isinstance(kwh, float) for kwh in found["energy_kwh"].values())
    assert set(found["spf"]) == {"h1", "h2", "h3", "h4", "space_h4", "water_h4"}
    assert found["carbon_kg"] > 0
    bill = found["bill"]
    assert bill["currency"] == year.case.currency
    assert bill["range"] is None
    assert all({"label", "quantity", "unit", "amount"} <= set(line) for line in bill["lines"])
    assert sum(round(100 * line["amount"]) for line in bill["lines"]) == round(100 * bill["total"])
    assert len(bill["months"]) == 12
    assert sum(round(100 * amount) for amount in bill["months"]) == round(100 * bill["total"])
    assert sum(round(100 * amount) for amount in bill["by_use"].values()) == round(100 * bill["total"])
    assert set(found["comfort"]) >= {"min_room_c", "degree_hours_below", "hours_below_18", "degree_hours_over"}
    assert set(found["balance_kwh"]) == {"building", "emitters", "cylinder", "battery", "electricity"}
    assert all(abs(kwh) < 1e-6 for kwh in found["balance_kwh"].values())
    assert found["notes"] == list(year.notes)
    assert all(isinstance(note, str) for note in found["notes"])


def test_a_comparison_holds_the_object_of_each_option(compared: Comparison) -> None:
    found = object_of(comparison_answer(compared, "Our home"))
    assert found["baseline"] == compared.baseline
    assert [option["name"] for option in found["options"]] == [year.case.name for year in compared.years]
    alone = set(object_of(year_answer(compared.years[0]))) - {"question", "answer", "tables", "cautions", "provenance"}
    for option, year in zip(found["options"], compared.years, strict=True):
        assert set(option) >= alone
        assert option["case"] == "Our home"
        low, high = option["bill"]["range"]
        assert low <= year.range().middle <= high
        saved = option["saving"]
        assert saved["amount"] == pytest.approx(compared.base.bill.total - year.bill.total)
        assert saved["range"][0] <= saved["range"][1]


def test_a_fuel_is_named_by_its_kind(compared: Comparison) -> None:
    burnt = [object_of(year_answer(year, ranged=False))["fuel_kwh"] for year in compared.years]
    assert set(burnt[0]) == {"oil"}
    assert burnt[2] == {}


def test_without_a_heat_pump_factors_are_null(compared: Comparison) -> None:
    found = object_of(year_answer(compared.base, ranged=False))
    assert set(found["spf"].values()) == {None}
    assert found["sizing"] is None


def test_without_the_share_of_the_fan_h1_is_null(flagship: Case) -> None:
    year = simulate(vary(flagship, {"heat_pump.fan_share": None}))
    found = object_of(year_answer(year, ranged=False))
    assert found["spf"]["h1"] is None
    assert found["spf"]["h2"] > 1


def test_a_result_names_what_it_was_made_from(compared: Comparison) -> None:
    found = object_of(year_answer(compared.years[2], ranged=False))["provenance"]
    assert found["case_sha256"] == compared.years[2].case.digest
    assert found["files_sha256"] == {}
    assert found["simkit"]


def test_numbers_of_every_kind_become_plain_ones() -> None:
    given = {"a": np.float64(1.5), "b": np.int64(2), "c": np.array([1.0, math.nan]), "d": np.bool_(True)}
    given |= {"e": (1, "x", None, True), "f": math.inf, "g": frozenset([1])}
    expected = {"a": 1.5, "b": 2, "c": [1.0, None], "d": True, "e": [1, "x", None, True], "f": None, "g": [1]}
    assert parsed(given) == expected


def test_a_range_becomes_its_ends() -> None:
    assert parsed({"range": Range(1.0, 2.0, math.nan)}) == {"range": [1.0, None]}


def test_what_is_not_data_is_refused() -> None:
    with pytest.raises(TypeError, match="object has no place in a JSON object"):
        as_json(object())
