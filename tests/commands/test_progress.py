"""The bar is for people at a terminal; what takes long the first time is said to everybody."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

import simkit.kernel.compiled
import simkit.reporting.terminal
from simkit.commands.progress import announce_compiling, progress


def test_no_bar_where_the_error_stream_is_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with progress(2) as begin:
        begin("one")
        begin("two")
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", "")


def test_a_bar_names_the_step_as_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    screen = Console(file=out, force_terminal=True, width=80, markup=False)
    monkeypatch.setattr(simkit.reporting.terminal, "console", lambda **_: screen)
    with progress(2) as begin:
        begin("[red]one[/red]")
        begin("two")
    assert "[red]one[/red]" in out.getvalue()
    assert "two" in out.getvalue()


@pytest.mark.parametrize(
    ("warm", "disabled", "said"),
    [
        ({"run_one", "run_many"}, "", False),
        ({"run_one"}, "", True),
        (set(), "", True),
        (set(), "1", False),
    ],
)
def test_compiling_is_announced_where_it_is_due(
    warm: set[str], disabled: str, said: bool, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NUMBA_DISABLE_JIT", disabled)
    found: Any = lambda name: name in warm  # noqa: E731 - a stand-in
    monkeypatch.setattr(simkit.kernel.compiled, "is_warm", found)
    announce_compiling()
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith("First run: compiling the kernel once, which takes about ") == said
