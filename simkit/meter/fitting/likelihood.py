"""Observations, their noise and an emulator in; draws of the unknowns that fit them out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.meter.fitting.emulator import Emulator
from simkit.meter.fitting.noise import Noise
from simkit.meter.fitting.observations import Channel, systematic_error

SHARED = 1.0 / 3.0  # own: power of the number of meters for which they count together
NOISE_SD = 1.0  # of the logarithm: the noise's prior is wide
TAILS = 6  # degrees of freedom of what is drawn from: tails longer than those of the posterior
# Ten unknowns and a bent ridge: after four rounds a home at the edge of its priors had one draw in a hundred of worth,
# after eight four in ten.
ROUNDS, ROUND_DRAWS = 8, 4000
FURTHEST = 4.5  # scores beyond which nothing is drawn: the emulator is not made for them
MOST_NOISE = 2.0
AT_ONCE = 2000


@dataclass(frozen=True, eq=False)
class Systematic:
    """What the meters may all along show too much or too little, in whitened residuals: directions and their shrinking.

    Attributes
    ----------
    directions
        Orthonormal, (all observations, meters).
    kept
        Share of a residual along each that is kept, (meters,).
    """

    directions: Floats
    kept: Floats


def systematic_of(channels: Sequence[Channel], noises: Sequence[Noise], predicted: Sequence[Floats]) -> Systematic:
    """Meters' systematic errors, taken as normal and worked into the covariance of all residuals.

    A reading of p·(1 ± s) with one s for all days has the covariance s²·p·pᵀ; whitened with the scatter, 1 + V·Vᵀ. Its
    inverse root only shrinks residuals along V. p is what the simulation predicts: with what was measured in its place,
    days that happen to read low would be believed more, and the fit would lie low (D'Agostini 1994, Nuclear Instruments
    and Methods A 346, 306; from memory). With four meters that was half a posterior deviation of the heat loss.
    """
    columns = []
    for k, (channel, made) in enumerate(zip(channels, predicted, strict=True)):
        parts = [np.zeros((1, len(other.values))) for other in channels]
        parts[k] = systematic_error(channel, made)[None, :]
        columns.append(np.concatenate(_scattered(parts, noises), axis=1)[0])
    directions, sizes, _ = np.linalg.svd(np.column_stack(columns), full_matrices=False)
    return Systematic(np.asarray(directions), np.asarray(1.0 / np.sqrt(1.0 + sizes**2)))


def _scattered(residuals: Sequence[Floats], noises: Sequence[Noise]) -> list[Floats]:
    scaled = [residual / noise.widths for residual, noise in zip(residuals, noises, strict=True)]
    return [
        noise.whitened(residual, scaled[:k]) for k, (residual, noise) in enumerate(zip(residuals, noises, strict=True))
    ]


def whitened_all(residuals: Sequence[Floats], noises: Sequence[Noise], systematic: Systematic) -> list[Floats]:
    """Residuals of all meters made independent and of variance one, (n, observations) each.

    Several meters of one home watch the same days, and what their scatter shares is only partly taken out by ties and
    directions. So their likelihood is a composite one, and n meters count for as much as the cube root of n that know
    nothing of each other: counted in full, 90 % intervals from four meters held the truth of invented homes in six
    cases of ten, counted as one meter in ninety-six of a hundred (own, tests/bench/meter.py).
    """
    white = np.concatenate(_scattered(residuals, noises), axis=1)
    along = white @ systematic.directions
    white = white - (along * (1.0 - systematic.kept)) @ systematic.directions.T
    white = white * _counted(len(residuals)) ** 0.5
    return list(np.split(white, np.cumsum([residual.shape[-1] for residual in residuals])[:-1], axis=1))


def _counted(meters: int) -> float:
    """Share for which each of some meters of one home counts."""
    return float(meters ** (SHARED - 1.0))


def log_probability(
    scores: Floats, log_noise: Floats, predicted: Sequence[Floats], channels: Sequence[Channel], *,
    noises: Sequence[Noise], systematic: Systematic,
) -> Floats:  # fmt: skip
    """Logarithm of the posterior density, but for a constant, (n,).

    Parameters
    ----------
    scores
        Standard scores of the unknowns under their priors, (n, unknowns).
    log_noise
        Logarithm of each channel's noise over the one found by least squares, (n, channels).
    predicted
        By channel, (n, observations).
    channels, noises, systematic
        Observations, their noise by least squares, and the meters' own errors.
    """
    total = -0.5 * (scores**2).sum(axis=1)
    white = whitened_all(
        [channel.values - made for channel, made in zip(channels, predicted, strict=True)], noises, systematic
    )
    for k, channel in enumerate(channels):
        scale = log_noise[:, k]
        square = (white[k] ** 2).sum(axis=1)
        total += -0.5 * square * np.exp(-2.0 * scale) - len(channel.values) * _counted(len(channels)) * scale
        total += -0.5 * (scale / NOISE_SD) ** 2
    return np.asarray(total)


def sampled(
    emulator: Emulator, channels: Sequence[Channel], noises: Sequence[Noise], *, scores: Floats, covariance: Floats,
    draws: int, seed: int, tell: Callable[[float], None],
) -> tuple[Floats, Floats, float]:  # fmt: skip
    """Draw from the posterior.

    Points are drawn from a multivariate t about the least squares, weighed by how much likelier they are than drawn,
    and the t is moved to where the weights are; after some rounds draws are taken by weight (adaptive importance
    sampling).
    All points of a round are worked out at once, where a chain would go step by step.

    Parameters
    ----------
    emulator
        Predicts all observations.
    channels, noises
        The observations and their noise.
    scores, covariance
        Least squares.
    draws
        How many are wanted.
    seed
        Start of the random numbers.
    tell
        Called with the share done.

    Returns
    -------
    tuple
        Scores (draws, unknowns); the logarithm of each meter's noise over that given, (draws, meters); and the share
        of the points that the draws are worth.
    """
    rng = np.random.default_rng(seed)
    unknowns = len(scores)
    systematic = systematic_of(channels, noises, split(emulator.at(scores[None, :])[0], channels))
    least = np.array([1.0 / max(2.0 * len(channel.values) * _counted(len(channels)), 1.0) for channel in channels])
    centre = np.concatenate([scores, np.zeros(len(channels))])
    spread = np.diag(np.concatenate([np.zeros(unknowns), least]))
    spread[:unknowns, :unknowns] = covariance

    def log_density(x: Floats) -> Floats:
        at, log_noise = x[:, :unknowns], x[:, unknowns:]
        predicted = split(emulator.at(at), channels)
        value = log_probability(at, log_noise, predicted, channels, noises=noises, systematic=systematic)
        outside = (np.abs(emulator.local(at)) > FURTHEST).any(axis=1) | (np.abs(log_noise) > MOST_NOISE).any(axis=1)
        return np.where(outside | ~np.isfinite(value), -np.inf, value)

    for turn in range(ROUNDS):
        count = ROUND_DRAWS if turn < ROUNDS - 1 else max(draws, ROUND_DRAWS)
        root = np.linalg.cholesky(spread)
        z = rng.normal(size=(count, len(centre))) / np.sqrt(rng.chisquare(TAILS, (count, 1)) / TAILS)
        x = centre + z @ root.T
        drawn = -0.5 * (TAILS + len(centre)) * np.log1p((z**2).sum(axis=1) / TAILS)
        density = np.concatenate([log_density(x[a : a + AT_ONCE]) for a in range(0, count, AT_ONCE)])
        weight = np.exp(density - drawn - np.max(density - drawn))
        weight /= weight.sum()
        worth = 1.0 / (count * float((weight**2).sum()))
        centre, before = weight @ x, spread
        spread = (x - centre).T @ (weight[:, None] * (x - centre))
        spread = worth**0.5 * spread + (1.0 - worth**0.5) * before
        tell((turn + 1) / ROUNDS)
    places = (rng.random() + np.arange(draws)) / draws
    taken = rng.permutation(np.searchsorted(np.cumsum(weight), places).clip(max=count - 1))
    return x[taken, :unknowns], x[taken, unknowns:], worth


def split(values: Floats, channels: Sequence[Channel]) -> list[Floats]:
    """Cut observations in a row into channels."""
    return np.split(values, np.cumsum([len(channel.values) for channel in channels])[:-1], axis=-1)
