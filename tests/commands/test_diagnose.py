"""What an installation says of itself: the stored results are those of today, and a wrong one is not passed over."""

from __future__ import annotations

import json
from dataclasses import replace

import pandas as pd
import pytest
from homes import NAMES

from commands.conftest import Ask
from simkit.year import diagnosis
from simkit.year.diagnosis import FIGURES, Diagnosis, diagnose, stored_results


@pytest.fixture(scope="module")
def found() -> Diagnosis:
    return diagnose()


def test_the_stored_results_are_those_of_today(found: Diagnosis) -> None:
    """Own: what stands in diagnosis.toml; when a figure changes on purpose, write there what this prints."""
    assert set(stored_results()) == set(NAMES)
    assert len(found.table) == len(NAMES) * len(FIGURES)
    today = found.table["got"].unstack()
    pd.testing.assert_series_equal(
        found.table["got"], found.table["stored"], check_names=False, rtol=1e-9, obj=f"stored result, today\n{today}\n"
    )


def test_a_sound_installation_says_so(found: Diagnosis) -> None:
    assert found.sound
    assert "simkit" in found.versions
    assert "numba" in found.versions
    assert all(speed > 0 for speed in found.speeds.values())
    assert found.answer().sentences[0].startswith("Yes: all 12 results stored with this version, of 4 sample homes")


def test_a_result_that_differs_is_said_first_and_by_the_exit_code(
    found: Diagnosis, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = found.table.assign(agrees=[False] + [True] * (len(found.table) - 1))
    monkeypatch.setattr(diagnosis, "diagnose", lambda: replace(found, table=wrong))
    text = ask("diagnose")
    assert text.code == 1
    assert "No: 1 of the 12 results" in text.out
    assert json.loads(ask("diagnose", "--json").out)["sound"] is False


@pytest.mark.parametrize(("factor", "agrees"), [(1 + 0.5e-6, True), (1 - 3e-6, False)])
def test_three_millionths_off_is_off(
    found: Diagnosis, monkeypatch: pytest.MonkeyPatch, factor: float, agrees: bool
) -> None:
    stored = {"here": dict.fromkeys(FIGURES, 1000.0 * factor)}
    monkeypatch.setattr(diagnosis, "stored_results", lambda: stored)
    monkeypatch.setattr(diagnosis, "FIGURES", dict.fromkeys(FIGURES, lambda year: 1000.0))
    table = diagnosis._found_again({"here": _Named()})  # type: ignore[dict-item]
    assert table["agrees"].eq(agrees).all()


class _Named:
    """Stands where a year does: only its name is read here."""

    case = type("Case", (), {"name": "Here"})
