"""The generator against its published numbers; persistence against its own definition."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.weather.draws import normals, persistent, split_mix, uniforms

SPLIT_MIX = "Rosetta Code, Pseudo-random numbers/Splitmix64: the first five integers from 1234567"
FIRST_FIVE = (
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
)


def test_generator_gives_the_published_integers():
    assert tuple(int(word) for word in split_mix(1234567, 5)) == FIRST_FIVE, SPLIT_MIX


def test_streams_and_sequences_are_apart_and_repeat():
    first = uniforms(1000, 3, 1)
    assert np.array_equal(first, uniforms(1000, 3, 1))
    for other in (uniforms(1000, 3, 2), uniforms(1000, 4, 1)):
        assert abs(np.corrcoef(first, other)[0, 1]) < 0.1


def test_uniforms_are_inside_and_even():
    numbers = uniforms(100_000, 0, 1)
    assert numbers.min() > 0.0
    assert numbers.max() < 1.0
    counts = np.histogram(numbers, bins=10, range=(0.0, 1.0))[0]
    assert np.all(np.abs(counts - 10_000) < 400), "own: four standard deviations of a fair count"


def test_normals_have_mean_0_and_spread_1():
    numbers = normals(100_000, 0, 1)
    assert numbers.mean() == pytest.approx(0.0, abs=0.01)
    assert numbers.std() == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("memory", [0.0, 0.3, 0.77, 0.97])
def test_persistent_series_is_the_recursion_closed_on_itself(memory):
    shocks = normals(400, 0, 1)
    series, value = np.zeros(400), 0.0
    for _ in range(40 if memory > 0.9 else 4):  # go round until the start no longer matters
        for k in range(400):
            value = memory * value + shocks[k]
            series[k] = value
    expected = (series - series.mean()) / series.std()
    assert persistent(shocks, memory) == pytest.approx(expected, abs=1e-9)


def test_persistence_is_the_memory_asked_for():
    series = persistent(normals(50_000, 0, 1), 0.8)
    assert np.corrcoef(series[1:], series[:-1])[0, 1] == pytest.approx(0.8, abs=0.01)
