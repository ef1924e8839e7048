"""`simkit new`: a starter folder that runs as it is, and never a file overwritten."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from commands.conftest import Ask
from simkit.case.load import read_case


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_new_folder_runs_as_it_is(ask: Ask, here: Path) -> None:
    found = ask("new", "mine")
    assert found.code == 0
    assert "Next: simkit compare mine/case.toml, or simkit lab mine" in found.out
    home = here / "mine"
    assert read_case(home / "case.toml").name == "Estuary bungalow"
    offered = [path.name for path in (home / "tariffs").glob("*.toml")]
    assert len(offered) == 6
    assert all(name.startswith("estuary_") for name in offered), "only those sold where the home stands"
    assert (home / "tariffs" / "invented_day_ahead_2025.csv").is_file()
    assert (home / "notebooks").is_dir()
    compared = json.loads(ask("compare", "mine", "--no-range", "--json").out)
    assert len(compared["options"]) == 5


def test_its_files_are_listed_as_json(ask: Ask, here: Path) -> None:
    made = json.loads(ask("new", "mine", "--json").out)
    assert made["case"] == "mine/case.toml"
    assert sorted(made["files"]) == sorted(
        path.relative_to(here / "mine").as_posix() for path in (here / "mine").rglob("*") if path.is_file()
    )


def test_an_empty_folder_is_filled(ask: Ask, here: Path) -> None:
    (here / "mine").mkdir()
    assert ask("new", "mine").code == 0
    assert (here / "mine" / "case.toml").is_file()


def test_nothing_is_overwritten(ask: Ask, here: Path) -> None:
    (here / "mine").mkdir()
    (here / "mine" / "case.toml").write_text("mine", encoding="utf-8")
    found = ask("new", "mine")
    assert (found.code, found.out) == (2, "")
    assert found.faults == [
        "the folder mine holds something already, and nothing is overwritten. Choose another name, or let --force put it aside."
    ]
    assert (here / "mine" / "case.toml").read_text(encoding="utf-8") == "mine"
    (here / "file").write_text("", encoding="utf-8")
    assert ask("new", "file").faults == ["file is a file. Choose another name for the folder."]


def test_force_puts_a_folder_aside_whole(ask: Ask, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (here / "mine").mkdir()
    (here / "mine" / "case.toml").write_text("mine", encoding="utf-8")
    (here / "mine_before_1").mkdir()
    found = ask("new", "mine", "--force")
    assert found.code == 0
    assert found.err == f"What was in mine is in {(here / 'mine_before_2').resolve()}.\n"
    assert (here / "mine_before_2" / "case.toml").read_text(encoding="utf-8") == "mine"
    monkeypatch.chdir(here / "mine")
    assert "is where you are" in ask("new", ".", "--force").faults[0]
    (here / "link").symlink_to(here / "mine_before_1")
    assert "is a link" in ask("new", "../link", "--force").faults[0]


def test_a_folder_needs_one_to_stand_in(ask: Ask, here: Path) -> None:
    found = ask("new", "a/b")
    assert found.code == 2
    assert found.faults == [
        f"the folder a/b has no folder {(here / 'a').resolve()} to stand in. Make the folder above it first."
    ]


def test_what_fails_half_way_leaves_nothing(ask: Ask, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(self: Path, *_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    found = ask("new", "mine")
    assert found.code == 2
    assert found.faults == [
        "the folder mine can't be made (no space left on device). Choose another place, make room, or look at the rights to write there."
    ]
    assert list(here.iterdir()) == []


def test_a_full_disk_is_named(ask: Ask, here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What copying a tree says is a list of what failed, without a reason of its own."""

    def full(*_: object, **__: object) -> None:
        raise shutil.Error([("a.toml", "b.toml", "[Errno 28] No space left on device: 'b.toml'")])

    monkeypatch.setattr(shutil, "copytree", full)
    found = ask("new", "mine")
    assert found.code == 2
    assert "can't be made (no space left on device)." in found.faults[0]
    assert not list(here.iterdir())
