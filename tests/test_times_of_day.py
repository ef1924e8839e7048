"""Times of day: the step that fits them, and what is none."""

from __future__ import annotations

import re

import pytest

from simkit.errors import CaseError
from simkit.times_of_day import minute_of, pieces_of_day, shortest_step


@pytest.mark.parametrize(
    ("edges", "longest", "step", "left"),
    [
        (["23:00", "08:00"], 60, 60, []),
        (["00:30", "04:30"], 60, 30, []),
        (["00:30", "04:15", "24:00"], 60, 15, []),
        (["00:30", "04:37"], 60, 30, ["04:37"]),
        ([], 30, 30, []),
        (["06:00"], 15, 15, []),
    ],
)
def test_the_step_is_the_longest_on_which_every_edge_falls(
    edges: list[str], longest: int, step: int, left: list[str]
) -> None:
    assert shortest_step(edges, longest) == (step, left)


MESSAGES = [
    (
        lambda: minute_of("7:30", "[[band]] 1"),
        '[[band]] 1: "7:30" is not a time of day from 00:00 to 24:00. '
        "Write two digits for the hour and for the minute: 07:30.",
    ),
    (
        lambda: pieces_of_day("07:00", "07:00"),
        "07:00 to 07:00 is a window without length. Write 00:00 to 24:00 for the whole day, or leave the window out.",
    ),
]


@pytest.mark.parametrize(("call", "text"), MESSAGES)
def test_every_fault_is_a_plain_sentence(call: object, text: str) -> None:
    with pytest.raises(CaseError, match=re.escape(text)):
        call()


@pytest.mark.parametrize("text", ["", "24:01", "12:60", "1200", "١٢:00", "-1:00", "12:00:00", "ab:cd"])
def test_times_that_are_none(text: str) -> None:
    with pytest.raises(CaseError, match="is not a time of day"):
        minute_of(text)
