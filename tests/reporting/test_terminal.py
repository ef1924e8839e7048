"""The terminal: text is printed as it stands, and a rail marks where a range lies."""

from __future__ import annotations

import pytest

from simkit.reporting.grid import Grid
from simkit.reporting.terminal import WIDEST, bullets, console, heading, paragraph, rail


def test_brackets_and_colons_are_printed_as_they_stand(capsys: pytest.CaptureFixture[str]) -> None:
    text = "[site] zone = [bold]x[/bold] :house: [/]"
    screen = console()
    for part in (heading(text, text[:6]), paragraph(text), bullets([text]), Grid((text,), ((text,),))):
        screen.print(part)
    out = capsys.readouterr().out
    assert out.count("[bold]x[/bold] :house: [/]") == 5


def test_a_wide_window_is_not_filled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    assert console().width == WIDEST
    monkeypatch.setenv("COLUMNS", "90")
    assert console().width == 90


@pytest.mark.parametrize(
    ("ends", "drawn"),
    [
        ((0.0, 5.0, 10.0), "├────●────┤"),
        ((2.0, 3.0, 4.0), "  ├●┤      "),
        ((7.0, 7.0, 7.0), "       ●   "),
        ((-5.0, 5.0, 50.0), "├────●────┤"),
    ],
)
def test_a_rail_lies_where_the_range_does(ends: tuple[float, float, float], drawn: str) -> None:
    assert rail(*ends, least=0.0, most=10.0, width=11) == drawn


def test_no_rail_where_there_is_no_room_or_no_scale() -> None:
    assert rail(0.0, 1.0, 2.0, least=0.0, most=2.0, width=2) == ""
    assert rail(1.0, 1.0, 1.0, least=1.0, most=1.0, width=20) == ""
