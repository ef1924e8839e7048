"""Days held out: each third predicted from the others, by the same sums that a slow twin works out."""

from __future__ import annotations

import numpy as np
import pytest

from meter.homes import fitted
from simkit.meter.fitting.backtest import BLOCKS, held_out
from simkit.meter.fitting.noise import PERSISTENCE, noise_of
from simkit.meter.fitting.observations import Channel

N = 60
DAYS = np.arange(N)


def _made(seed: int, sd: float = 2.0) -> tuple[Channel, np.ndarray, np.ndarray]:
    """Days of a line on temperature, with noise of their own half and slow half."""
    rng = np.random.default_rng(seed)
    outdoor = 5.0 + 4.0 * np.sin(DAYS / 5.0) + rng.normal(size=N)
    slow = rng.normal(size=N)
    for k in range(1, N):
        slow[k] = 0.85 * slow[k - 1] + (1.0 - 0.85**2) ** 0.5 * slow[k]
    values = 60.0 - 2.0 * outdoor + sd * 0.5**0.5 * (slow + rng.normal(size=N))
    return Channel("import_kwh", values, DAYS, DAYS + 1, np.ones(N)), outdoor, 60.0 - 2.0 * outdoor


def test_ranges_of_thirds_hold_what_they_should_where_the_model_is_right() -> None:
    """Own: 80 % ranges on 24 invented spans hold between 75 and 88 % of the days (1440 days, about 20 a span count)."""
    inside, totals, widened = [], [], []
    for seed in range(24):
        channel, outdoor, at = _made(seed)
        slopes = np.vstack([np.full(N, 6.0), -0.2 * (outdoor - outdoor.mean())])  # level and slope known to a tenth
        made = held_out(
            channel, noise_of(channel, 2.0, load=at), predicted=at, slopes=slopes, scores=np.zeros(2), outdoor_c=outdoor
        )  # fmt: skip
        assert made is not None
        inside.append(made.inside / N)
        totals.extend(made.blocks["measured"].between(made.blocks["low"], made.blocks["high"]))
        widened.append(made.widened)
    assert 0.75 < np.mean(inside) < 0.88
    assert 0.65 < np.mean(totals) < 0.97
    assert min(widened) >= 1.0
    assert np.mean(widened) < 1.15


def test_a_line_is_the_line_through_the_other_thirds() -> None:
    channel, outdoor, at = _made(3)
    made = held_out(
        channel, noise_of(channel, 2.0), predicted=at, slopes=np.zeros((1, N)), scores=np.zeros(1), outdoor_c=outdoor
    )  # fmt: skip
    assert made is not None
    first = DAYS * BLOCKS // N == 0
    slope, level = np.polyfit(outdoor[~first], channel.values[~first], 1)
    np.testing.assert_allclose(made.days["line"][first], level + slope * outdoor[first])
    assert made.days["block"].nunique() == BLOCKS
    assert made.error("line") == pytest.approx(
        np.mean(np.abs(channel.values - made.days["line"])) / np.mean(channel.values)
    )


def test_a_fit_that_was_wrong_makes_its_ranges_wider() -> None:
    channel, outdoor, at = _made(5)
    drifting = Channel("import_kwh", channel.values + np.where(DAYS >= 40, 25.0, 0.0), DAYS, DAYS + 1, np.ones(N))
    plain, moved = (
        held_out(one, noise_of(one, 2.0), predicted=at, slopes=np.ones((1, N)), scores=np.zeros(1), outdoor_c=outdoor)
        for one in (channel, drifting)
    )
    assert plain is not None
    assert moved is not None
    assert moved.widened > 1.3 * plain.widened


def test_the_fit_of_a_home_brings_its_own_days_held_out() -> None:
    held = fitted().held_out["import_kwh"]
    assert len(held.days) == 40
    assert held.error() < held.error("line")  # a straight line knows neither sun nor the heat pump's curve
    assert held.total_error < 0.2
    noise = fitted().noises["import_kwh"]
    assert noise.shares.sum() == pytest.approx(1.0)
    assert noise.likeness == pytest.approx(float(noise.shares @ PERSISTENCE))


def test_too_few_days_hold_nothing_out() -> None:
    few = Channel("import_kwh", np.arange(8.0), np.arange(8), np.arange(8) + 1, np.ones(8))
    assert held_out(
        few, noise_of(few, 1.0), predicted=few.values, slopes=np.ones((1, 8)), scores=np.zeros(1), outdoor_c=few.values
    ) is None  # fmt: skip
