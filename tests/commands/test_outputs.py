"""Files to write are looked at before anything is worked out, and a slip leaves nothing behind."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from commands.conftest import Ask
from simkit.errors import CaseError
from simkit.reporting.seal import MARK, is_as_written, sealed
from simkit.schema.toml_file import write_whole

WRITERS = {"--page": "p.html", "--figure": "f.svg", "--csv": "t.csv", "--hourly": "h.csv"}
NOT_OURS = "is there already, and nothing that may have been changed by hand is overwritten"


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("run", "--hourly", "hours.xlsx"), "--hourly hours.xlsx does not end in .csv. Write for example hours.csv."),
        (("run", "--hourly", "no/hours.csv"), "--hourly no/hours.csv can't be written: there is no folder no. Make the folder first."),
        (("run", "--hourly", "d.csv"), "--hourly d.csv is a folder. Name a file inside it."),
        (("compare", "--page", "page"), "--page page does not end in .html or .htm. Write for example page.html."),
        (("compare", "--figure", "a.gif"), "--figure a.gif does not end in .png or .svg or .pdf. Write for example a.png."),
    ],
)  # fmt: skip
def test_a_file_that_could_not_be_written_is_refused_first(
    ask: Ask, bungalow: Path, homes: Path, words: tuple[str, ...], fault: str
) -> None:
    (homes / "d.csv").mkdir()
    before = sorted(homes.rglob("*"))
    found = ask(words[0], bungalow, *words[1:])
    assert (found.code, found.out) == (2, "")
    assert found.faults == [fault]
    assert sorted(homes.rglob("*")) == before


def test_all_slips_come_at_once(ask: Ask, bungalow: Path) -> None:
    assert len(ask("compare", bungalow, "--page", "a.txt", "--figure", "b.txt").faults) == 2


def test_bad_input_writes_nothing(ask: Ask, bungalow: Path, homes: Path) -> None:
    bungalow.write_text("name = ", encoding="utf-8")
    before = sorted(homes.rglob("*"))
    for words in (
        ("run", bungalow, "--hourly", "h.csv"),
        ("compare", bungalow, "--page", "p.html", "--figure", "f.png"),
    ):
        found = ask(*words)
        assert (found.code, found.out) == (2, "")
    assert sorted(homes.rglob("*")) == before


@pytest.mark.parametrize("kind", ["html", "svg", "png", "pdf"])
def test_what_bears_its_own_digest_can_be_written_again_until_it_is_changed(
    ask: Ask, bungalow: Path, homes: Path, kind: str
) -> None:
    path = homes / f"a.{kind}"
    words = ("run", bungalow, "--no-range", "--page" if kind == "html" else "--figure", path)
    assert ask(*words).code == 0
    first = path.read_bytes()
    assert is_as_written(path)
    assert ask(*words).code == 0
    assert path.read_bytes() == first
    for spot in (0, len(first) // 2, len(first) - 2):
        path.write_bytes(first[:spot] + bytes([first[spot] ^ 1]) + first[spot + 1 :])
        assert not is_as_written(path)
    found = ask(*words)
    assert (found.code, found.out) == (2, "")
    assert NOT_OURS in found.faults[0]
    assert found.faults[0].endswith("Choose a new name, or let --force replace it.")
    assert ask(*words, "--force").code == 0
    assert path.read_bytes() == first


def test_a_picture_with_a_mark_is_a_whole_picture(ask: Ask, bungalow: Path, homes: Path) -> None:
    from PIL import Image

    assert ask("run", bungalow, "--no-range", "--figure", homes / "a.png").code == 0
    with Image.open(homes / "a.png") as picture:
        picture.load()
        assert picture.info["Software"].startswith("simkit, sha256:")
        assert picture.info["Software"] != MARK


@pytest.mark.parametrize("option", WRITERS)
def test_what_the_kit_did_not_write_stays(ask: Ask, bungalow: Path, homes: Path, option: str) -> None:
    path = homes / WRITERS[option]
    path.write_bytes(b"mine")
    found = ask("run", bungalow, "--no-range", option, path)
    assert (found.code, found.out) == (2, "")
    assert NOT_OURS in found.faults[0]
    assert path.read_bytes() == b"mine"
    path.unlink()
    path.symlink_to(homes / "elsewhere")
    assert "is a link, and links are not followed" in ask("run", bungalow, "--no-range", option, path).faults[0]


def test_a_table_is_never_replaced_unasked(ask: Ask, bungalow: Path, homes: Path) -> None:
    (homes / "kept").write_bytes(b"kept")
    for path in (homes / "a.csv", homes / "b.csv"):
        assert ask("run", bungalow, "--no-range", "--csv", path).code == 0
        assert NOT_OURS in ask("run", bungalow, "--no-range", "--csv", path).faults[0]
    (homes / "a.csv").unlink()
    (homes / "a.csv").symlink_to(homes / "kept")
    assert ask("run", bungalow, "--no-range", "--csv", homes / "a.csv", "--force").code == 0
    assert (homes / "kept").read_bytes() == b"kept"
    assert (homes / "a.csv").read_bytes() == (homes / "b.csv").read_bytes()


def test_what_the_case_reads_is_never_written_over(ask: Ask, bungalow: Path, homes: Path) -> None:
    prices = sorted((homes / "sample_data" / "tariffs").glob("*.csv"))[0]
    tariff = next(one for one in sorted(prices.parent.glob("*.toml")) if prices.name in one.read_text(encoding="utf-8"))
    source = bungalow.read_text(encoding="utf-8")
    option = f'\n[[option]]\nname = "Hourly"\ntariff = "../tariffs/{tariff.name}"\n'
    bungalow.write_text(source + option, encoding="utf-8")
    readings = bungalow.parent / "readings.csv"
    os.link(prices, homes / "same.csv")
    for words in (
        ("compare", bungalow, "--no-range", "--csv", prices),
        ("run", bungalow, "--no-range", "--hourly", homes / "same.csv"),
        ("read", readings, "--zone", "Europe/Dublin", "--csv", readings),
    ):
        before = Path(words[-1]).read_bytes()
        for force in ((), ("--force",)):
            found = ask(*words, *force)
            assert (found.code, found.out) == (2, "")
            assert len(found.faults) == 1
            assert "is read for this answer and never written over. Choose another name." in found.faults[0]
        assert Path(words[-1]).read_bytes() == before


def test_one_file_for_two_things_is_refused(ask: Ask, bungalow: Path) -> None:
    found = ask("run", bungalow, "--hourly", "a.csv", "--csv", "./a.csv")
    assert found.faults == ["the same file is named for two things. Give each a file of its own."]


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CaseError, match="Nothing was changed"):
        write_whole(path, "new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_an_answer_is_shown_though_its_file_can_not_be_written(
    ask: Ask, bungalow: Path, homes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    found = ask("run", bungalow, "--no-range", "--csv", homes / "a.csv")
    assert found.code == 2
    assert "Estuary bungalow" in found.out
    assert found.faults == [
        "a.csv: can't be written (no space left on device). Nothing was changed: make room, or choose another folder."
    ]
    assert not (homes / "a.csv").exists()


def test_a_seal_is_taken_once() -> None:
    once = sealed(f"<a>{MARK}</a>".encode())
    assert sealed(once) == once
    assert MARK.encode() not in once
