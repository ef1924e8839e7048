"""A case as a thing: equal, hashable, portable, with a digest that knows what is in it and not where it lies."""

from __future__ import annotations

import copy
import pickle
import shutil
from pathlib import Path

import pytest
from pydantic import ValidationError

from case.stated import EXAMPLE, HERE, made, sections, table, with_path
from simkit.case.build import Case, vary
from simkit.case.case import tariff_stem
from simkit.case.load import read_case
from simkit.schema.overlay import parts_of


@pytest.fixture(scope="module")
def case() -> Case:
    return read_case(EXAMPLE)


def test_the_folder_is_no_part_of_equality(case: Case, tmp_path: Path) -> None:
    for name in ("example.toml", "example_tariff.toml"):
        shutil.copy(HERE / name, tmp_path / name)
    again = read_case(tmp_path / "example.toml")
    assert again == case
    assert hash(again) == hash(case)
    assert again.digest == case.digest
    assert again.folder != case.folder
    assert {case: "found"}[again] == "found"


def test_the_digest_knows_every_part(case: Case) -> None:
    changes = [
        {"name": "x"},
        {"controls.design_flow_c": 49},
        {"home.window.0.area_m2": 8},
        {"tariff.band.0.price_per_kwh": 0.1},
        {"option.1.controls.design_flow_c": 41},
        {"heat_pump.cycling_degradation": 0.95},
        {"baseline": "cooler curve"},
    ]
    digests = {case.digest, *(vary(case, change).digest for change in changes)}
    assert len(digests) == len(changes) + 1
    assert vary(case, {"heat_pump.cycling_degradation": 0.9}).digest == case.digest, (
        "a default that is said is the same value"
    )
    assert len(case.digest) == 64


def test_files_of_data_count_by_place_for_equality_and_by_name_for_the_digest(tmp_path: Path) -> None:
    here = made(with_path("household.file", "load.csv"))
    shutil.copy(HERE / "example_tariff.toml", tmp_path / "example_tariff.toml")
    from simkit.case.build import case_from

    there = case_from(with_path("household.file", "load.csv"), folder=tmp_path)
    assert here.digest == there.digest
    assert here != there


def test_a_case_is_not_equal_to_anything_else(case: Case) -> None:
    assert case != "Sandbank cottage"
    assert case != vary(case, {"name": "x"})


def test_a_case_survives_pickling_and_copying(case: Case) -> None:
    for again in (pickle.loads(pickle.dumps(case)), copy.deepcopy(case), copy.copy(case)):
        assert again == case
        assert again.tariff == case.tariff
        assert again.notes == case.notes
        assert vary(again, {"controls.design_flow_c": 44}) == vary(case, {"controls.design_flow_c": 44})


def test_every_part_is_frozen_and_hashable(case: Case) -> None:
    for name, part in parts_of(Case).items():
        value = getattr(case, name)
        if part.section is not None and value is not None:
            assert hash(value) == hash(copy.deepcopy(value))
            with pytest.raises(ValidationError):
                value.somewhere = 1
    with pytest.raises(ValidationError):
        case.name = "other"  # type: ignore[misc]


def test_no_section_has_a_default_of_its_own_but_absence() -> None:
    for section in (Case, *sections()):
        for key, part in parts_of(section).items():
            assert part.field.is_required() or part.field.default is None, f"{section.__name__}.{key}"


def test_the_readable_form(case: Case) -> None:
    assert repr(case) == (
        'Case("Sandbank cottage", heat_source="heat_pump", tariff="Invented night and day", options=4)'
    )
    assert str(case) == repr(case)


def test_names_of_tariff_files(case: Case) -> None:
    assert tariff_stem(case.tariff) == "invented_night_and_day"
    assert tariff_stem(vary(case, {"tariff.name": "!!"}).tariff) == "tariff"


def test_a_case_as_it_stands_holds_what_was_said(case: Case) -> None:
    assert case.stated == table()
    assert case.full["heat_pump"]["cycling_degradation"] == 0.9
