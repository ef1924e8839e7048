"""What `simkit check` says of a case that holds no fault."""

from __future__ import annotations

import io
import json
from pathlib import Path

from rich.console import Console

from simkit.answers.cautions import cautions_for
from simkit.case.build import Case, options_of
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.reporting.as_data import as_json
from simkit.reporting.description import all_notes, description_object, description_view, sentence
from simkit.year.compare import Comparison
from simkit.year.simulate import simulate

HERE = Path(__file__).parent.parent


def test_a_case_is_described_in_one_sentence(compared: Comparison) -> None:
    said = sentence(compared.years[2])
    loss = f"{compared.years[2].loss_w_per_k:.0f}"
    assert said.startswith("A home of 128 m² in Europe/Dublin, heated by a heat pump (invented 9 kW outdoor unit), ")
    assert f"losing {loss} W per kelvin; tariff Estuary flat rate; the year 2025 in 17,520 steps of 30 minutes" in said
    assert "heated by a boiler, " in sentence(compared.base)


def test_direct_electric_heating_is_no_boiler() -> None:
    case = read_case(sample_file("harbour_flat", HERE))
    assert "heated by electricity directly, " in sentence(simulate(options_of(case)[0]))


def test_every_assumption_and_caution_is_listed_once(flagship: Case, compared: Comparison) -> None:
    year, options = simulate(flagship), compared.years
    out = io.StringIO()
    Console(file=out, width=400, markup=False, highlight=False).print(description_view(year, options))
    text = out.getvalue()
    cautions, assumed, method = all_notes([year, *options])
    assert len(assumed) > 20
    for note in (*cautions, *assumed, *method):
        assert text.count(note) == 1
    assert "case.toml: no fault found" in text
    assert "  – Cheap-night tariff. As installed, water heated in the cheap hours." in text


def test_the_object_says_the_same(compared: Comparison) -> None:
    found = json.loads(as_json(description_object(compared.years[2], compared.years)))
    assert found["valid"] is True
    assert found["baseline"] == "Oil boiler, as lived"
    assert [option["name"] for option in found["options"]] == [year.case.name for year in compared.years]
    assert any("recovery_lift_k" in text for text in found["assumptions"])
    assert found["cautions"] == list(cautions_for([compared.years[2], *compared.years]))
