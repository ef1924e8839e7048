"""The passes that lay uses on a year add up as NumPy does, to the bit."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.kernel.courses import laid, means_and_peaks, split_by_day, summed, with_the_rest

pytestmark = pytest.mark.short

PER, DAYS, PER_DAY = 3, 4, 24
CHANCE = np.random.default_rng(3)
WEIGHT = CHANCE.random(DAYS * PER_DAY) * (CHANCE.random(DAYS * PER_DAY) < 0.7)
BLOCKS = len(WEIGHT) * PER


def test_uses_fall_where_a_search_of_the_running_sum_finds_them() -> None:
    spread = np.cumsum(np.repeat(WEIGHT, PER))
    where = summed(WEIGHT, PER)
    assert np.array_equal(where[0], spread)
    at = np.concatenate([CHANCE.random(400), [0.0, 1.0 - 2.0**-53], spread[::7] / spread[-1] * (1.0 - 2.0**-53)])
    moved, size, shape = CHANCE.integers(-9, 10, len(at)), CHANCE.random(len(at)), np.array([0.2, 2.1, 1.3])
    places = np.minimum(np.searchsorted(spread, spread[-1] * at), BLOCKS - 1) + moved - len(shape) // 2
    blocks = (places[:, None] + np.arange(len(shape))).ravel() % BLOCKS
    wanted = np.bincount(blocks, (size[:, None] * shape).ravel(), BLOCKS)
    assert np.array_equal(laid(np.zeros(BLOCKS), where, at, moved, size, shape), wanted)


def test_what_always_runs_and_what_is_left_are_those_of_each_day() -> None:
    least = 0.8 * WEIGHT.reshape(DAYS, PER_DAY).min(axis=1).repeat(PER_DAY)
    always, rest = split_by_day(WEIGHT, PER_DAY, 0.8)
    assert np.array_equal(always, least)
    assert np.array_equal(rest, WEIGHT - least)


def test_the_rest_wanders_with_the_people_and_every_product_is_rounded_by_itself() -> None:
    always, rest, people = WEIGHT * 0.3, WEIGHT * 0.7, CHANCE.random(len(WEIGHT))
    switched, uses, of_one = CHANCE.random(BLOCKS), np.array([30.0, 7.0]), CHANCE.random((2, BLOCKS)) / 90.0
    cycles, begin, on = 0.11, 0.4, 0.4
    place = cycles * np.arange(BLOCKS) + begin
    fridge = np.where(place - np.floor(place) < on, 1.0 / on, 0.0)
    expected = uses[0] * of_one[0] + uses[1] * of_one[1]
    wander = np.maximum(np.repeat(rest, PER) - expected, 0.0) * np.repeat(people, PER)
    wanted = np.repeat(always, PER) * (0.5 + 0.5 * fridge) + switched + wander
    made = with_the_rest(switched, always, rest, people, uses, of_one, (cycles, begin, on))
    assert np.array_equal(made, wanted)


@pytest.mark.parametrize("per", [1, 3, 6, 12, 15])
def test_steps_are_summed_in_the_order_of_numpy(per: int) -> None:
    fine = CHANCE.normal(size=60 * per)
    sums, peaks = means_and_peaks(fine, per)
    assert np.array_equal(sums, fine.reshape(60, per).sum(axis=1))
    assert np.array_equal(peaks, fine.reshape(60, per).max(axis=1))
