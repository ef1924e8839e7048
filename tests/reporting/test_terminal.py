"""The terminal: text is printed as it stands, in lines that are not too long."""

from __future__ import annotations

import pytest

from simkit.reporting.grid import Grid
from simkit.reporting.terminal import WIDEST, bullets, console


def test_brackets_and_colons_are_printed_as_they_stand(capsys: pytest.CaptureFixture[str]) -> None:
    text = "[site] zone = [bold]x[/bold] :house: [/]"
    screen = console()
    for part in (bullets([text]), Grid((text,), ((text,),))):
        screen.print(part)
    out = capsys.readouterr().out
    assert out.count("[bold]x[/bold] :house: [/]") == 3


def test_a_wide_window_is_not_filled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    assert console().width == WIDEST
    monkeypatch.setenv("COLUMNS", "90")
    assert console().width == 90
