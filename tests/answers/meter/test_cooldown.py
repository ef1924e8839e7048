"""A night without heating: the loss against what was taken, and whom such a night may hurt."""

from __future__ import annotations

from dataclasses import replace

import pytest
from meter.homes import flagship

from simkit.answers.cautions import COLD_NIGHT, LAST
from simkit.answers.meter.cooldown import cooldown_answer
from simkit.meter.account.cooldown import CoolDown
from simkit.meter.fitting.parameters import parameters_of

pytestmark = pytest.mark.short


def _night(loss: float) -> CoolDown:
    return CoolDown(52.0, 45.0, 60.0, loss, 0.7 * loss, 1.4 * loss, 2.1, 10.0, 0.02, 18.4, flagship())


def test_the_loss_comes_first_and_is_held_against_the_case() -> None:
    described = parameters_of(flagship())[0].centre
    answer = cooldown_answer(_night(220.0), notes=("Taken from the warmest reading on.",))
    assert answer.sentences[0].startswith("The home loses about 220 W/K (likely 154 to 308); this agrees with ")
    assert f"the {described:.0f} W/K (" in answer.sentences[0]
    assert "a time constant of 52.0 h (45.0 to 60.0)" in answer.sentences[1]
    assert answer.notes[0] == "Taken from the warmest reading on."
    assert "but this differs from" in cooldown_answer(_night(900.0)).sentences[0]
    assert answer.data["loss_w_per_k"] == pytest.approx([154.0, 220.0, 308.0])


def test_no_room_may_fall_under_18_and_one_that_did_is_told_first() -> None:
    assert cooldown_answer(_night(220.0)).cautions == (COLD_NIGHT, LAST)
    cold = cooldown_answer(replace(_night(220.0), least_c=16.5)).cautions[0]
    assert cold == f"The rooms fell to 16.5 °C: end the next such night sooner. {COLD_NIGHT}"
