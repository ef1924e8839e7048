"""How an answer is worded: without false precision, its range on the difference, its comfort beside it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from simkit.figures.style import within
from simkit.panels.answer import about, more_or_less, words_of
from simkit.panels.form.form import HomeForm
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort


@pytest.mark.parametrize(
    ("amount", "words"),
    [(3478.6, "3\u2009480"), (-1234.0, "−1\u2009230"), (199.4, "199"), (-12.3, "−12"), (0.2, "0"), (204.9, "200")],
)
def test_amounts_are_rounded_as_they_should_be_read(amount: float, words: str) -> None:
    assert about(amount) == words


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (40, 120, "40 to 120 more"),
        (-120, -40, "40 to 120 less"),
        (-300, 530, "300 less to 530 more"),
        (0, 9, "0 to 9 more"),
    ],
)
def test_a_range_of_a_difference_says_which_way(low: float, high: float, words: str) -> None:
    assert more_or_less(Range(low, 0.0, high)) == words


def test_names_within_a_sentence() -> None:
    assert within("Oil boiler, as lived") == "oil boiler, as lived"
    assert within("LPG boiler") == "LPG boiler"


def test_comfort_is_written_with_the_thousands_of_the_figures() -> None:
    assert words_of(YearComfort(15.0, 5000.0, 3031.0, 0.0, 5000.0, 9.0, 4.0, 3031.0)) == (
        "too cold: 3\u2009031 h under 18 °C, up to 4.0 K below"
    )


def test_ranges_come_when_they_are_asked_for_and_on_differences(form: Callable[..., HomeForm]) -> None:
    found = form()
    assert found.answer.likely == ""
    assert "likely range" not in found.answer.table().columns
    found.sharpen()
    answer = found.answer
    expected = answer.pump.range()
    together = "heat, hot water and all other electricity together"
    assert answer.likely == f"likely {about(expected.low)} to {about(expected.high)}, {together}"
    assert expected.low < answer.pump.bill.total < expected.high
    lived = answer.others[0]
    saved = np.quantile(answer.pump.samples.total - lived.samples.total, (0.1, 0.9))
    assert answer.verdicts[0].endswith(f"(likely {more_or_less(Range(saved[0], 0.0, saved[1]))}).")
    assert list(answer.table().columns) == [
        "EUR a year",
        "likely range",
        "against heat pump",
        "coldest room",
        "comfort",
    ]


def test_every_cost_stands_beside_its_comfort(form: Callable[..., HomeForm]) -> None:
    found = form()
    found.set("flow_c", 38)
    assert found.answer.table()["comfort"].iloc[0] == words_of(found.answer.pump.comfort)
    assert found.answer.verdicts[-1].endswith(f"{words_of(found.answer.pump.comfort)}.")
    assert "K·h short" in found.answer.verdicts[-1] or "under 18 °C" in found.answer.verdicts[-1]
