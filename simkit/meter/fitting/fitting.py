"""Readings, a home and its weather in; the home fitted to them, with a posterior, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
from scipy.optimize import least_squares

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.errors import CaseError, DataError, Fault
from simkit.meter.fitting.emulator import Emulator, emulate
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.lanes import metered
from simkit.meter.fitting.likelihood import (
    Noise,
    Systematic,
    log_probability,
    noises_from,
    start_noise,
    systematic_of,
    whitened_all,
)
from simkit.meter.fitting.observations import Channel, channels_of, span_of, weather_of
from simkit.meter.fitting.parameters import Parameter, parameters_of
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.reading.reading import Readings

Progress = Callable[[str, float], None]

FIRST_DESIGN, LOCAL_DESIGN = 160, 512
FIRST_WIDTH, LOCAL_WIDTH = 1.2, 1.5
ROUNDS = 4
LOCAL_ROUNDS = 1
WALKERS = 64
BURN_IN = 120
# Local polynomials are laid over at least this many prior deviations: closer in, the day on which a reheat falls (this
# side of midnight or the other) would be taken for a slope, and the unknowns would seem known far too well (tried).
LEAST_REACH = 0.4
# Nor does the case know in which hour people draw, so that a reheat may fall on this day or on one beside it: slopes on
# the water drawn are laid over a week. Day by day they would tell of the water what no meter can know.
REHEAT_DAYS = 7
FURTHEST = 4.5  # scores beyond which no walker goes: the emulator is not made for them


@dataclass(frozen=True, eq=False)
class Found:
    """A fit by least squares: scores, their covariance, the emulator it was made on and the noise it left."""

    scores: Floats
    covariance: Floats
    emulator: Emulator
    noises: tuple[Noise, ...]


def fit(
    case: Case, readings: Readings | Sequence[Readings], *, weather: WeatherThen | None = None, draws: int = 20_000,
    seed: int = 1, progress: Progress | None = None,
) -> Fit:  # fmt: skip
    """Fit a home to readings, on the kit's own physics.

    Parameters
    ----------
    case
        The home as described: what it says is the prior.
    readings
        One or several files, each meter once: the whole home, the heat pump, a heat meter, fuel, a room.
    weather
        Weather that really was; None takes temperatures logged in the readings, or else the case's own, and says so.
    draws
        Draws of the posterior, after its run-in.
    seed
        Start of the random numbers.
    progress
        Called with what is being done and the share done.

    Returns
    -------
    Fit
        Values with their ranges, residuals, what the data can't tell apart, and the draws.

    Raises
    ------
    DataError
        Where the readings are too few, or the posterior can't be sampled because emcee is not installed.
    """
    several = [readings] if isinstance(readings, Readings) else list(readings)
    tell = progress or (lambda _what, _share: None)
    start, end, edges = span_of(several)
    then = weather or weather_of(case, several)
    window = window_of(case, start, end, weather=then, more_edges=edges)
    channels = channels_of(several, window)
    _require_machine(case, channels)
    unknowns = parameters_of(case, mass=any(channel.name == "room_c" for channel in channels))
    tell("least squares on the physics", 0.02)
    found = least(window, channels, unknowns, seed=seed)
    tell("posterior", 0.25)
    scores, acceptance = sampled(found, channels, draws=draws, seed=seed, tell=tell)
    tell("residuals", 0.97)
    return _told(case, window, channels, unknowns, found=found, scores=scores, then=then, acceptance=acceptance)


def _require_machine(case: Case, channels: Sequence[Channel]) -> None:
    names = {channel.name for channel in channels}
    if case.heat_source == "boiler" and names & {"heat_pump_kwh", "heat_kwh"}:
        raise CaseError(
            Fault(
                case.label,
                'heat_source = "boiler"',
                "has no heat pump, and the readings are of one",
                "Fit the case with the heat pump in it",
            )
        )
    if case.heat_source == "heat_pump" and names == {"fuel_kwh"}:
        raise CaseError(
            Fault(
                case.label,
                'heat_source = "heat_pump"',
                "burns no fuel, and the readings are of fuel",
                "Fit the option with the boiler: readings from before the change",
            )
        )


def observed(window: Window, unknowns: Sequence[Parameter], channels: Sequence[Channel], scores: Floats) -> Floats:
    """What the meters would show at scores, all observations in a row, (n, observations)."""
    values = np.column_stack([one.value(scores[:, j]) for j, one in enumerate(unknowns)])
    made = metered(window, unknowns, values, list(dict.fromkeys(channel.name for channel in channels)))
    return np.concatenate([channel.of_blocks(made[channel.name]) for channel in channels], axis=1)


def split(values: Floats, channels: Sequence[Channel]) -> list[Floats]:
    """Cut observations in a row into channels."""
    return np.split(values, np.cumsum([len(channel.values) for channel in channels])[:-1], axis=-1)


def least(window: Window, channels: Sequence[Channel], unknowns: Sequence[Parameter], *, seed: int) -> Found:
    """Least squares with priors: first over the whole prior, then again close to where that led."""
    simulate = partial(observed, window, unknowns, channels)
    noises = tuple(start_noise(channel) for channel in channels)
    count = len(unknowns)
    near = emulate(simulate, np.zeros(count), np.eye(count), count=FIRST_DESIGN, width=FIRST_WIDTH, seed=seed)
    scores, covariance, noises = _descend(near, channels, noises, np.zeros(count))
    for again in range(1, LOCAL_ROUNDS + 1):
        reach = covariance + LEAST_REACH**2 * np.eye(count)
        root = np.asarray(np.linalg.cholesky(reach), dtype=np.float64)
        near = emulate(simulate, scores, root, count=LOCAL_DESIGN, width=LOCAL_WIDTH, seed=seed + again)
        near = _reheats_spread(near, channels)
        scores, covariance, noises = _descend(near, channels, noises, scores)
    return Found(scores, covariance, near, noises)


def _reheats_spread(emulator: Emulator, channels: Sequence[Channel]) -> Emulator:
    """The emulator with its terms in the last unknown, the water drawn, laid over neighbouring days."""
    made = emulator.coefficients.copy()
    moved = emulator.powers[:, -1] > 0
    end = 0
    for channel in channels:
        part = slice(end, end := end + len(channel.values))
        if not channel.daily:
            continue
        near = np.abs(np.subtract.outer(channel.first, channel.first)) <= REHEAT_DAYS // 2
        made[moved, part] = made[moved, part] @ (near / near.sum(axis=1, keepdims=True)).T
    return replace(emulator, coefficients=made)


def _descend(
    emulator: Emulator, channels: Sequence[Channel], noises: tuple[Noise, ...], start: Floats
) -> tuple[Floats, Floats, tuple[Noise, ...]]:
    """Least squares in scores, the noise found anew in each round: scores, covariance and noise."""
    scores = start
    for _ in range(ROUNDS):
        errors = systematic_of(channels, noises, split(emulator.at(scores[None, :])[0], channels))

        def residual(z: Floats, noises: tuple[Noise, ...] = noises, errors: Systematic = errors) -> Floats:
            made = split(emulator.at(z[None, :]), channels)
            white = whitened_all([c.values - each for c, each in zip(channels, made, strict=True)], noises, errors)
            return np.concatenate([*(part[0] for part in white), z])

        done = least_squares(residual, scores, bounds=(-4.0, 4.0), method="trf", x_scale=1.0)
        scores = np.asarray(done.x)
        covariance = np.linalg.inv(done.jac.T @ done.jac)
        used = float(np.trace(done.jac[: -len(scores)] @ covariance @ done.jac[: -len(scores)].T))
        made = split(emulator.at(scores[None, :])[0], channels)
        noises = noises_from(
            channels,
            [c.values - each for c, each in zip(channels, made, strict=True)],
            used,
            split(emulator.error, channels),
        )
    return scores, covariance, noises


def sampled(
    found: Found, channels: Sequence[Channel], *, draws: int, seed: int, tell: Progress
) -> tuple[Floats, float]:
    """Draw from the posterior: scores, (draws, unknowns), and the share of moves that were taken."""
    try:
        import emcee
    except ImportError:
        remedy = "Install it into this environment: python -m pip install emcee"
        raise DataError(Fault("fit", "the posterior", "needs emcee, which is not installed", remedy)) from None
    unknowns, more = len(found.scores), len(channels)
    root = np.linalg.cholesky(found.covariance)
    rng = np.random.default_rng(seed)

    errors = systematic_of(channels, found.noises, split(found.emulator.at(found.scores[None, :])[0], channels))

    def log_density(x: Floats) -> Floats:
        scores = found.scores + x[:, :unknowns] @ root.T
        predicted = split(found.emulator.at(scores), channels)
        value = log_probability(scores, x[:, unknowns:], predicted, channels, noises=found.noises, systematic=errors)
        outside = (np.abs(x[:, :unknowns]) > FURTHEST).any(axis=1) | (np.abs(x[:, unknowns:]) > 2.0).any(axis=1)
        return np.where(outside | ~np.isfinite(value), -np.inf, value)

    start = np.concatenate(
        [rng.normal(0, 1, (WALKERS, unknowns)).clip(-2.5, 2.5), rng.normal(0, 0.1, (WALKERS, more))], axis=1
    )
    sampler: Any = emcee.EnsembleSampler(WALKERS, unknowns + more, log_density, vectorize=True)
    sampler.random_state = np.random.RandomState(seed).get_state()
    state = sampler.run_mcmc(start, BURN_IN)
    sampler.reset()
    steps = -(-draws // WALKERS)
    for number, _ in enumerate(sampler.sample(state, iterations=steps)):
        if number % 32 == 0:
            tell("posterior", 0.25 + 0.7 * number / steps)
    chain = sampler.get_chain(flat=True)[:draws, :unknowns]
    return found.scores + chain @ root.T, float(np.mean(sampler.acceptance_fraction))


def _told(
    case: Case, window: Window, channels: Sequence[Channel], unknowns: Sequence[Parameter], *, found: Found,
    scores: Floats, then: WeatherThen, acceptance: float,
) -> Fit:  # fmt: skip
    """Put the result together: the middle of the draws run once more on the physics, not on the emulator."""
    middle = np.median(scores, axis=0)
    made = split(observed(window, unknowns, channels, middle[None, :]), channels)
    outdoor = window.block_mean("outdoor_c")
    rows = []
    for channel, each in zip(channels, made, strict=True):
        starts = window.block_starts[channel.first].tz_convert(case.site.zone)
        rows.append(
            pd.DataFrame(
                {
                    "meter": channel.name, "start": starts, "days": channel.days, "measured": channel.values,
                    "predicted": each[0],
                    "outdoor_c": [float(outdoor[a:b].mean()) for a, b in zip(channel.first, channel.last, strict=True)],
                }
            )
        )  # fmt: skip
    values = np.column_stack([one.value(scores[:, j]) for j, one in enumerate(unknowns)])
    sds = np.concatenate([np.full(len(c.values), n.sd) for c, n in zip(channels, found.noises, strict=True)])
    return Fit(
        case,
        tuple(unknowns),
        pd.DataFrame(values, columns=[one.name for one in unknowns]),
        pd.concat(rows, ignore_index=True),
        {channel.name: noise for channel, noise in zip(channels, found.noises, strict=True)},
        then,
        window,
        float(np.max(found.emulator.error / sds)),
        acceptance,
        (*then.notes, *window.notes),
    )
