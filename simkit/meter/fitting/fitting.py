"""Readings, a home and its weather in; the home fitted to them, with a posterior, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import pandas as pd
from scipy.optimize import least_squares

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.meter.fitting.backtest import HeldOut, held_out
from simkit.meter.fitting.emulator import Emulator, emulate
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.lanes import metered
from simkit.meter.fitting.likelihood import Systematic, sampled, split, systematic_of, whitened_all
from simkit.meter.fitting.noise import Noise, noises_from, start_noise
from simkit.meter.fitting.observations import Channel, channels_of, span_of, weather_of
from simkit.meter.fitting.parameters import Parameter, parameters_of
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.reading.reading import Readings

Progress = Callable[[str, float], None]

FIRST_DESIGN, LOCAL_DESIGN = 128, 768
FIRST_DEGREE = 2
FIRST_WIDTH, LOCAL_WIDTH = 1.2, 1.5
ROUNDS = 4
LOCAL_ROUNDS = 1
# Local polynomials are laid over at least this many prior deviations: closer in, the day on which a reheat falls (this
# side of midnight or the other) would be taken for a slope, and the unknowns would seem known far too well (tried).
LEAST_REACH = 0.4
# Nor does the case know in which hour people draw, so that a reheat may fall on this day or on one beside it: slopes on
# the water drawn are laid over a week. Day by day they would tell of the water what no meter can know.
REHEAT_DAYS = 7


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
        Draws of the posterior.
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
        Where the readings are too few.
    """
    several = [readings] if isinstance(readings, Readings) else list(readings)
    tell = progress or (lambda _what, _share: None)
    start, end, edges = span_of(several)
    then = weather or weather_of(case, several)
    window = window_of(case, start, end, weather=then, more_edges=edges)
    channels = channels_of(several, window)
    _require_machine(case, channels)
    unknowns = parameters_of(case)
    tell("least squares on the physics", 0.02)
    found = least(window, channels, unknowns, seed=seed)
    tell("days held out", 0.5)
    found, held = _calibrated(found, channels, window)
    tell("posterior", 0.55)
    scores, log_noise, worth = sampled(
        found.emulator, channels, found.noises, scores=found.scores, covariance=found.covariance, draws=draws,
        seed=seed, tell=lambda share: tell("posterior", 0.55 + 0.4 * share),
    )  # fmt: skip
    tell("residuals", 0.97)
    middle = np.median(scores, axis=0)  # run once more on the physics, not on the emulator
    made = split(observed(window, unknowns, channels, middle[None, :])[0], channels)
    return Fit(
        case, unknowns, pd.DataFrame(values_of(unknowns, scores), columns=[one.name for one in unknowns]),
        _residuals(case, window, channels, made), dict(zip((c.name for c in channels), found.noises, strict=True)),
        held, then, window, channels, found.emulator, log_noise, worth, (*then.notes, *window.notes),
    )  # fmt: skip


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


def values_of(unknowns: Sequence[Parameter], scores: Floats) -> Floats:
    """Unknowns in their units, of standard scores, (n, unknowns)."""
    return np.column_stack([one.value(scores[:, j]) for j, one in enumerate(unknowns)])


def observed(window: Window, unknowns: Sequence[Parameter], channels: Sequence[Channel], scores: Floats) -> Floats:
    """What the meters would show at scores, all observations in a row, (n, observations)."""
    made = metered(
        window, unknowns, values_of(unknowns, scores), list(dict.fromkeys(channel.name for channel in channels))
    )
    return np.concatenate([channel.of_blocks(made[channel.name]) for channel in channels], axis=1)


def least(window: Window, channels: Sequence[Channel], unknowns: Sequence[Parameter], *, seed: int) -> Found:
    """Least squares with priors: first over the whole prior, then again close to where that led."""
    simulate = partial(observed, window, unknowns, channels)
    noises = tuple(start_noise(channel) for channel in channels)
    count = len(unknowns)
    near = emulate(
        simulate, np.zeros(count), np.eye(count), count=FIRST_DESIGN, width=FIRST_WIDTH, seed=seed, degree=FIRST_DEGREE
    )
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
        made, slopes = _tangent(emulator, scores, channels)
        noises = noises_from(channels, made, slopes, scores, split(emulator.error, channels))
    return scores, covariance, noises


def _tangent(emulator: Emulator, scores: Floats, channels: Sequence[Channel]) -> tuple[list[Floats], list[Floats]]:
    """What each channel is predicted to be at scores, (n,) each, and its slopes on them, (unknowns, n) each."""
    return split(emulator.at(scores[None, :])[0], channels), split(emulator.slopes(scores), channels)


def _calibrated(found: Found, channels: Sequence[Channel], window: Window) -> tuple[Found, dict[str, HeldOut]]:
    """The fit with its noise as large as days held out show it, and those days."""
    predicted, slopes = _tangent(found.emulator, found.scores, channels)
    held, noises = {}, []
    for channel, noise, at, slope in zip(channels, found.noises, predicted, slopes, strict=True):
        one = held_out(
            channel, noise, predicted=at, slopes=slope, scores=found.scores, outdoor_c=_outdoor(window, channel)
        )
        if one is not None:
            held[channel.name] = one
        factor = one.widened if one is not None else 1.0
        noises.append(replace(noise, sd=noise.sd * factor, whole_sd=noise.whole_sd * factor))
    return replace(found, noises=tuple(noises)), held


def _outdoor(window: Window, channel: Channel) -> Floats:
    """Mean outdoor temperature of each observation [°C], (n,)."""
    outdoor = window.block_mean("outdoor_c")
    return np.array([outdoor[a:b].mean() for a, b in zip(channel.first, channel.last, strict=True)])


def _residuals(case: Case, window: Window, channels: Sequence[Channel], made: Sequence[Floats]) -> pd.DataFrame:
    """One row for each observation."""
    rows = [
        pd.DataFrame(
            {
                "meter": channel.name, "start": window.block_starts[channel.first].tz_convert(case.site.zone),
                "days": channel.days, "measured": channel.values, "predicted": each,
                "outdoor_c": _outdoor(window, channel),
            }
        )
        for channel, each in zip(channels, made, strict=True)
    ]  # fmt: skip
    return pd.concat(rows, ignore_index=True)
