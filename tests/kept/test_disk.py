"""What is kept on disk is what was worked out: never damaged, never of anything else, within bounds."""

from __future__ import annotations

import os
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from homes import SAMPLES

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.kept import disk


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SIMKIT_CACHE", str(tmp_path))
    monkeypatch.setattr(disk, "to_disk", True)
    monkeypatch.setattr(disk, "FOLDER", "kept")
    monkeypatch.setattr(disk, "_missed", set())
    monkeypatch.setattr(disk, "_written", count())
    return tmp_path / disk.FOLDER


class Worker:
    """Doubles values, and counts how often it did."""

    def __init__(self) -> None:
        self.worked = 0

        @disk.on_disk
        def doubled(values: Any) -> Any:
            self.worked += 1
            return np.asarray(values) * 2.0

        self.doubled = doubled


def test_what_was_kept_is_what_was_worked_out_to_the_bit(folder: Path) -> None:
    values, one = np.random.default_rng(1).normal(size=1000), Worker()
    first, again = one.doubled(values), one.doubled(values)
    assert one.worked == 1
    assert first.tobytes() == again.tobytes()
    assert len(list(folder.iterdir())) == 1


def test_what_comes_from_other_values_is_another_thing() -> None:
    @dataclass(frozen=True)
    class Part:
        value: Any

    home = read_case(SAMPLES / "harbour_flat" / "case.toml")
    warmer = vary(home, {"hot_water.target_c": 51.0})
    given = [
        None, 0, 0.0, -0.0, "0", b"0", False, (), (0,), ((0,),), (0, 0), {"a": 0}, {"b": 0}, Part(0), Part(0.0),
        np.zeros(2), np.zeros((1, 2)), np.zeros(2, dtype=np.int64), np.array([0.0, 1e-300]), ("ab", "c"), ("a", "bc"),
        pd.DataFrame({"a": [0.0]}), pd.DataFrame({"b": [0.0]}), home.hot_water, warmer.hot_water,
    ]  # fmt: skip
    assert len({disk.path_of(one) for one in given}) == len(given)
    assert disk.path_of(home.hot_water) == disk.path_of(read_case(SAMPLES / "harbour_flat" / "case.toml").hot_water)


def test_an_edit_of_the_kit_makes_everything_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    for name, content in (("kept/disk.py", "1"), ("laws.py", "1"), ("defaults.toml", "1")):
        (tmp_path / name).write_text(content)
    monkeypatch.setattr(disk, "__file__", str(kept / "disk.py"))
    seen = {disk._kit.__wrapped__()}
    for name in ("laws.py", "defaults.toml"):
        (tmp_path / name).write_text("2")
        seen.add(disk._kit.__wrapped__())
    (tmp_path / "laws.py").rename(tmp_path / "law.py")
    assert len(seen | {disk._kit.__wrapped__()}) == 4


def test_damage_is_thrown_away(folder: Path) -> None:
    one = Worker()
    one.doubled(1.0)
    (path,) = folder.iterdir()
    whole = path.read_bytes()
    for worked, damaged in enumerate((b"", whole[:-1], whole[:40] + b"x" + whole[41:], b"plain"), start=2):
        path.write_bytes(damaged)
        assert one.doubled(1.0) == 2.0
        assert one.worked == worked
        assert path.read_bytes() == whole


def test_a_link_is_not_read(folder: Path, tmp_path: Path) -> None:
    one = Worker()
    one.doubled(1.0)
    (path,) = folder.iterdir()
    elsewhere = tmp_path / "elsewhere"
    path.rename(elsewhere)
    path.symlink_to(elsewhere)
    one.doubled(1.0)
    assert one.worked == 2
    assert not path.is_symlink()


def test_the_oldest_go(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "TIDY_EVERY", 1)
    one = Worker()
    one.doubled(1.0)
    (first,) = folder.iterdir()
    os.utime(first, (1.0, 1.0))
    monkeypatch.setattr(disk, "MOST_ON_DISK", first.stat().st_size * 3 // 2)
    one.doubled(2.0)
    assert len(list(folder.iterdir())) == 1
    assert not first.exists()


def test_without_a_folder_it_is_worked_out_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("SIMKIT_CACHE", str(tmp_path / "file"))
    monkeypatch.setattr(disk, "to_disk", True)
    monkeypatch.setattr(disk, "FOLDER", "kept")
    assert Worker().doubled(1.0) == 2.0


def test_who_misses_much_asks_the_disk_no_more(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "MOST_MISSED", 2)
    one = Worker()
    for value in range(9):
        one.doubled(value)
    assert len(list(folder.iterdir())) == 3


def test_what_fails_is_not_kept(folder: Path) -> None:
    @disk.on_disk
    def refused() -> None:
        raise LookupError("of nothing")

    for _ in range(2):
        with pytest.raises(LookupError, match="of nothing"):
            refused()
    assert not folder.exists()
