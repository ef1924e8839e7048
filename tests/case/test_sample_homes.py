"""Where the sample homes are found: beside the notebook first, then in the package, then in the checkout."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import simkit.case.sample_homes
from simkit.case.load import read_case
from simkit.case.sample_homes import TARIFFS, sample_file, sample_folder, sample_names, shipped_folder
from simkit.errors import CaseError, DataError

HOMES = ("canal_terrace", "estuary_bungalow", "harbour_flat", "moor_cottage")


def test_the_samples_that_came_with_simkit_are_found_from_anywhere(tmp_path: Path) -> None:
    assert sample_folder(tmp_path) == shipped_folder("sample_data")
    assert sample_names(tmp_path) == HOMES
    assert read_case(sample_file("estuary_bungalow", tmp_path)).name == "Estuary bungalow"
    assert len(list((sample_folder(tmp_path) / TARIFFS).glob("*.toml"))) == 11


@pytest.mark.parametrize("beside", ["", "notebooks"])
def test_a_folder_beside_the_notebook_goes_first(tmp_path: Path, beside: str) -> None:
    shutil.copytree(shipped_folder("sample_data"), tmp_path / "sample_data")
    (tmp_path / "notebooks").mkdir()
    found = sample_file("moor_cottage", tmp_path / beside)
    assert found == (tmp_path / "sample_data/moor_cottage/case.toml").resolve()
    assert read_case(found).currency == "GBP"


def test_the_package_goes_before_the_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "simkit"
    for place in (package / "starter" / "notebooks", tmp_path / "notebooks", tmp_path / "sample_data"):
        place.mkdir(parents=True)
    monkeypatch.setattr(simkit.case.sample_homes, "__file__", str(package / "case" / "sample_homes.py"))
    assert shipped_folder("notebooks") == package / "starter" / "notebooks"
    assert shipped_folder("sample_data") == tmp_path / "sample_data"


def test_an_installation_without_samples_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simkit.case.sample_homes, "__file__", str(tmp_path / "simkit" / "samples.py"))
    with pytest.raises(DataError) as refused:
        shipped_folder("notebooks")
    assert str(refused.value) == (
        "simkit: the folder notebooks did not come with this installation. "
        "Install simkit again, or work in a folder made by `simkit new`."
    )


def test_a_name_that_no_sample_bears_is_answered_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(CaseError) as refused:
        sample_file("estuary_bungalo", tmp_path)
    assert str(refused.value) == 'sample home: "estuary_bungalo" is not there. Perhaps "estuary_bungalow" is meant.'
    with pytest.raises(CaseError) as refused:
        sample_file("x", tmp_path)
    assert str(refused.value) == (f'sample home: "x" is not there. The sample homes are: {", ".join(HOMES)}.')
