"""Panels show the register's cautions of the home as it is set: what a setting makes unsafe is said beside it."""

from __future__ import annotations

from homes import changed

from simkit.answers.cautions import LAST
from simkit.panels.flow_and_times.model import Trial


def test_a_panel_cautions_of_the_home_as_it_is_set() -> None:
    trial = Trial(changed("estuary_bungalow"))
    before = trial.answer().cautions
    assert before[-1] == LAST
    trial.set("night_c", 14.0)
    assert any(said.startswith("Rooms are under 18 °C for ") for said in trial.answer().cautions)
    assert LAST in trial._repr_html_()
    assert "Rooms are under 18 °C for " in " ".join(trial._repr_html_().split())
