"""A caution that was said of an option is not said of it again."""

from __future__ import annotations

import pytest

from simkit.answers.wording import covers

SAID = "Rooms are under 18 °C for 2 h: a risk (with “A”, “B” worst, and “C (big)”). Ask a doctor."


@pytest.mark.parametrize(
    ("caution", "covered"),
    [
        ("Rooms are under 18 °C for 2 h: a risk. Ask a doctor.", True),
        ("Rooms are under 18 °C for 2 h: a risk (with “B”). Ask a doctor.", True),
        ("Rooms are under 18 °C for 2 h: a risk (with “D”). Ask a doctor.", False),
        ("Rooms are under 18 °C for 3 h: a risk (with “B”). Ask a doctor.", False),
    ],
)
def test_a_caution_covers_the_same_of_fewer_options(caution: str, covered: bool) -> None:
    assert covers(SAID, caution) is covered


def test_what_names_no_option_is_said_of_all() -> None:
    assert covers("Hot water is short. Ask.", "Hot water is short (with “A”). Ask.")
