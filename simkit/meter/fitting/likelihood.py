"""Observations and their emulator in; how likely unknowns and noise are out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.meter.fitting.observations import Channel

SPAN_LIKENESS = 0.3  # own: likeness of neighbouring days where single days are not seen
MOST_LIKENESS = 0.8
SHARED = 1.0 / 3.0  # own: power of the number of meters for which they count together
TIE_RIDGE = 0.1  # own: four coefficients from forty days are drawn by a tenth towards nothing
NOISE_SD = 1.0  # of the logarithm: the noise's prior is wide
START_SHARE = 0.1  # noise of a day before it is known, of the mean day
# No fit is taken to be better than this share of a mean day: meters, clocks, and what the physics leaves out. Heat
# meters of class 2 or 3 are some per cent off (EN 1434-1), and a day in step with another meter is not known better.
LEAST_SHARE = {"heat_kwh": 0.03, "heat_pump_kwh": 0.02}
LEAST_OTHER = 0.01
# Own, after what classes of meters allow: what a meter may show too much or too little all along, a standard deviation,
# as a share of what it shows, or [K]. It also stands for what the physics leaves out.
SYSTEMATIC = {
    "import_kwh": 0.01, "export_kwh": 0.01, "heat_pump_kwh": 0.02, "heat_kwh": 0.04, "fuel_kwh": 0.02, "room_c": 0.3,
    "net_kwh": 0.02,
}  # fmt: skip
LEAST_ROOM_K = 0.05


@dataclass(frozen=True, eq=False)
class Tie:
    """How one meter's scatter goes along with that of an earlier one on the same days.

    Attributes
    ----------
    channel
        Number of the earlier meter.
    weight
        Of its scatter, in this one's.
    place
        Its observation of the same day, for each of this one's; -1 where it has none, (n,).
    """

    channel: int
    weight: float
    place: Ints = field(repr=False)


@dataclass(frozen=True, eq=False)
class Noise:
    """Scatter of one meter's days about the simulation.

    Attributes
    ----------
    sd
        Of a day, once what it shares with earlier meters is taken out, [kWh] or [K].
    likeness
        Correlation of neighbouring days.
    whole_sd
        Of a day, with what it shares.
    widths
        Of each observation, in units of `sd`, (n,).
    follows
        Whether each observation is the day after the one before, (n,).
    ties
        What it shares with earlier meters: a day with more hot water shows on all of them, and counts once.
    """

    sd: float
    likeness: float
    whole_sd: float
    widths: Floats = field(repr=False)
    follows: Bools = field(repr=False)
    ties: tuple[Tie, ...] = field(default=(), repr=False)

    def whitened(self, residual: Floats, scaled_before: Sequence[Floats] = ()) -> Floats:
        """Residuals made independent and of variance sd², (n, observations).

        Parameters
        ----------
        residual
            Measured less predicted, (n, observations).
        scaled_before
            The same of earlier meters in units of their widths.
        """
        scaled = residual / self.widths
        for tie in self.ties:
            other = scaled_before[tie.channel][:, tie.place]
            scaled = scaled - tie.weight * np.where(tie.place >= 0, other, 0.0)
        before = np.concatenate([np.zeros_like(scaled[:, :1]), scaled[:, :-1]], axis=1)
        kept = (1.0 - self.likeness**2) ** 0.5
        return np.where(self.follows, (scaled - self.likeness * before) / kept, scaled)


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
        size = SYSTEMATIC[channel.name]
        parts[k] = (np.full(len(made), size) if channel.name == "room_c" else size * made)[None, :]
        columns.append(np.concatenate(_scattered(parts, noises), axis=1)[0])
    directions, sizes, _ = np.linalg.svd(np.column_stack(columns), full_matrices=False)
    return Systematic(np.asarray(directions), np.asarray(1.0 / np.sqrt(1.0 + sizes**2)))


def _scattered(residuals: Sequence[Floats], noises: Sequence[Noise]) -> list[Floats]:
    scaled = [residual / noise.widths for residual, noise in zip(residuals, noises, strict=True)]
    return [
        noise.whitened(residual, scaled[:k]) / noise.sd
        for k, (residual, noise) in enumerate(zip(residuals, noises, strict=True))
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


def noise_of(
    channel: Channel, sd: float, likeness: float, *, whole_sd: float = 0.0, ties: tuple[Tie, ...] = ()
) -> Noise:
    """Noise of a channel for a day's scatter and the likeness of neighbouring days."""
    follows = np.zeros(len(channel.values), dtype=bool)
    whole = max(whole_sd, sd)
    if channel.daily:
        follows[1:] = channel.first[1:] == channel.last[:-1]
        return Noise(sd, likeness, whole, np.ones(len(channel.values)), follows, ties)
    grown = (1.0 + SPAN_LIKENESS) / (1.0 - SPAN_LIKENESS)
    days = np.maximum(channel.days, 1.0)
    widths = np.sqrt(days * np.minimum(grown, days))
    return Noise(sd, 0.0, whole, widths if channel.name != "room_c" else widths / days, follows, ties)


def _mean_day(channel: Channel) -> float:
    """What a day comes to, whichever way it flows [kWh]."""
    return float(np.mean(np.abs(channel.values) / channel.days))


def start_noise(channel: Channel) -> Noise:
    """Noise before anything is known."""
    typical = 0.5 if channel.name == "room_c" else START_SHARE * _mean_day(channel)
    return noise_of(channel, max(typical, 1e-6), 0.0)


def noises_from(
    channels: Sequence[Channel], residuals: Sequence[Floats], freedom_used: float, errors: Sequence[Floats]
) -> tuple[Noise, ...]:
    """Noise of every meter from the residuals of a fit, the unknowns it used up, and the emulator's own error."""
    total = sum(len(channel.values) for channel in channels)
    made: list[Noise] = []
    scaled: list[Floats] = []
    for k, (channel, residual) in enumerate(zip(channels, residuals, strict=True)):
        plain = noise_of(channel, 1.0, 0.0)
        scaled.append(residual / plain.widths)
        ties = _ties(channels, scaled, k)
        left = scaled[k].copy()
        for tie in ties:
            left -= tie.weight * np.where(tie.place >= 0, scaled[tie.channel][tie.place], 0.0)
        one = _one_noise(channel, left, scaled[k], ties, freedom_used * len(left) / total)
        rough = float(np.mean((errors[k] / plain.widths) ** 2))
        made.append(replace(one, sd=(one.sd**2 + rough) ** 0.5, whole_sd=(one.whole_sd**2 + rough) ** 0.5))
    return tuple(made)


def _ties(channels: Sequence[Channel], scaled: Sequence[Floats], k: int) -> tuple[Tie, ...]:
    """Regress a meter's scatter on that of earlier ones on the same days, drawn a little towards nothing."""
    mine = channels[k]
    places, columns = [], []
    for j in range(k):
        days = {(int(a), int(b)): i for i, (a, b) in enumerate(zip(channels[j].first, channels[j].last, strict=True))}
        place = np.array([days.get((int(a), int(b)), -1) for a, b in zip(mine.first, mine.last, strict=True)])
        if np.mean(place >= 0) > 0.5:
            places.append((j, place))
            columns.append(np.where(place >= 0, scaled[j][place], 0.0))
    if not columns:
        return ()
    design = np.column_stack(columns)
    normal = design.T @ design
    weights = np.linalg.solve(normal + np.diag(np.diag(normal)) * TIE_RIDGE, design.T @ scaled[k])
    return tuple(Tie(j, float(w), place) for (j, place), w in zip(places, weights, strict=True))


def _one_noise(channel: Channel, left: Floats, whole: Floats, ties: tuple[Tie, ...], used: float) -> Noise:
    n = len(left)
    freedom = max(n - used - len(ties), 0.5 * n, 1.0)
    sd, whole_sd = ((float((part**2).sum()) / freedom) ** 0.5 for part in (left, whole))
    least = (
        LEAST_ROOM_K if channel.name == "room_c" else LEAST_SHARE.get(channel.name, LEAST_OTHER) * _mean_day(channel)
    )
    pairs = np.flatnonzero(noise_of(channel, 1.0, 0.0).follows)
    likeness = 0.0
    if len(pairs) >= 8:
        found = float((left[pairs] * left[pairs - 1]).sum() / max(float((left[pairs - 1] ** 2).sum()), 1e-12))
        # a short series reads low by about (1 + 4ρ)/n; the prior of ten days at 0.3 steadies it
        likeness = (found * len(pairs) + 1.0 + 0.3 * 10.0) / (len(pairs) + 10.0)
        likeness = float(np.clip(likeness, 0.0, MOST_LIKENESS))
    return noise_of(channel, max(sd, least), likeness, whole_sd=whole_sd, ties=ties)


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
