"""`simkit report`: what is refused before anything is worked out."""

from __future__ import annotations

from pathlib import Path

from commands.conftest import Ask


def test_slips_are_told_before_anything_is_worked_out(ask: Ask, bungalow: Path, homes: Path) -> None:
    (homes / "details.toml").write_text('logo = "case.toml"\n', encoding="utf-8")
    (homes / "case.toml").write_text("x", encoding="utf-8")
    (homes / "mine.html").write_text("mine", encoding="utf-8")
    before = sorted(homes.rglob("*"))
    for words, fault in (
        (("-o", "r.docx"), "--output r.docx does not end in .html or .htm or .pdf or .xlsx. Write for example r.html."),
        (("-o", "no/r.pdf"), "--output no/r.pdf can't be written: there is no folder no. Make the folder first."),
        (("-o", "mine.html"), "--output mine.html is there already, and nothing that may have been changed by hand is overwritten. Choose a new name, or let --force replace it."),
        (("--details", "details.toml"), 'details.toml: logo = "case.toml" is not a picture that can be read. Save it as PNG or JPEG.'),
        (("--section", "yearr"), 'section "yearr" is none of a report. Perhaps "year" is meant.'),
    ):  # fmt: skip
        found = ask("report", bungalow, *words)
        assert (found.code, found.out, found.faults) == (2, "", [fault])
    assert sorted(homes.rglob("*")) == before


def test_the_last_report_is_looked_at_first(ask: Ask, bungalow: Path, homes: Path) -> None:
    (homes / "old.json").write_text("[]", encoding="utf-8")
    (homes / "no.json").write_text("{", encoding="utf-8")
    for name, allowed in (
        ("old.json", "is not the JSON of a report"), ("no.json", "is not JSON"),
        ("none.json", "can't be read (no such file or directory)"),
    ):  # fmt: skip
        found = ask("report", bungalow, "--since", name)
        assert (found.code, found.out) == (3, "")
        assert found.faults == [
            f"{name} {allowed}. Name a file that `simkit report CASE --json` printed."
        ] or found.faults == [f"{name}: {allowed}. Name a file that `simkit report CASE --json` printed."]
