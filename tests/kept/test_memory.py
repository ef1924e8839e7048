"""What is kept in memory is bounded by bytes, and what has no room is worked out again."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from simkit.kept import memory


def test_memory_is_bounded_by_bytes_and_the_one_that_holds_most_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory, "_held", {})
    monkeypatch.setattr(memory, "MOST_IN_MEMORY", 100_000)
    worked = []

    @memory.memo
    def large(number: int) -> Any:
        worked.append(number)
        return np.full(5_000, float(number))

    @memory.memo
    def small(number: int) -> int:
        worked.append(-number)
        return number

    assert small(1) == small(1) == 1
    for number in (1, 1, 2, 2):
        large(number)
    assert worked == [-1, 1, 2]
    large(3)
    assert sum(memory._held.values()) <= 100_000
    large(1), small(1)
    assert worked == [-1, 1, 2, 3, 1]


@pytest.mark.parametrize(
    ("value", "least"),
    [
        (np.zeros(1000), 8000), (pd.DataFrame({"a": np.zeros(1000)}), 8000), ({"a": np.zeros(1000)}, 8000),
        ((np.zeros(500), np.zeros(500)), 8000),
    ],
)  # fmt: skip
def test_bytes_are_those_of_all_that_it_is_made_of(value: Any, least: int) -> None:
    assert least <= memory.bytes_of(value) < least + 3000


def test_what_stands_in_it_twice_counts_once() -> None:
    array = np.zeros(1000)
    loop: list[Any] = [array, array]
    loop.append(loop)
    assert memory.bytes_of(loop) < 8500
