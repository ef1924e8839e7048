"""What a fit leaves of a meter's days in; how days scatter about it, and how alike neighbouring ones do, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.meter.fitting.observations import PERSISTENCE, Channel

OWN_PARTS = (0.0, 0.15, 0.3, 0.5, 0.7)  # shares of a day's own that are tried, the rest lasting one of these ways
# Own: a few weeks say little of what lasts for weeks, and what is slow is taken for the home itself. So slow parts are
# believed before they are seen.
SLOWNESS = np.array([0.1, 0.2, 0.4, 0.8, 1.0])
START_SHARES = np.array([0.5, 0.0, 0.5, 0.0, 0.0])
START_SHARE = 0.1  # noise of a day before it is known, of the mean day
SIZES = np.exp(np.linspace(-0.8, 1.2, 11))  # of the scatter, about that of the residuals
# Own: how much of a day's scatter (as variance) is there when nothing is heated; the rest grows with the load.
UNLOADED = 0.3
# A day so many robust deviations apart from the rest is none that the home's usual life explains (nobody in, a door
# left open, a meter that failed): it counts for little, and is named.
APART, APART_WIDTH, MOST_APART = 4.0, 6.0, 0.2
MAD = 1.4826  # normal distribution: standard deviation over the median absolute deviation
# No fit is taken to be better than this share of a mean day: meters, clocks, and what the physics leaves out. Heat
# meters of class 2 or 3 are some per cent off (EN 1434-1), and a day in step with another meter is not known better.
LEAST_SHARE = {"heat_kwh": 0.03, "heat_pump_kwh": 0.02}
LEAST_OTHER = 0.01
LEAST_ROOM_K = 0.05
TIE_RIDGE = 0.1  # own: four coefficients from forty days are drawn by a tenth towards nothing


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

    def taken_from(self, scaled: Floats, earlier: Sequence[Floats]) -> Floats:
        """What is left of this meter's scatter once that of the earlier one is taken out, (rows, n)."""
        return scaled - self.weight * np.where(self.place >= 0, earlier[self.channel][:, self.place], 0.0)


@dataclass(frozen=True, eq=False)
class Noise:
    """Scatter of one meter's days about the simulation.

    Attributes
    ----------
    sd
        Of a day of the mean load, once what it shares with earlier meters is taken out, [kWh] or [K].
    whole_sd
        The same with what it shares.
    shares
        Of its variance, by `PERSISTENCE`.
    mean
        Load of a day at which it is so large [kWh].
    widths
        Of each observation, in units of `sd`, (n,).
    root
        Makes observations independent, (n, n).
    apart
        Days that stand apart and count for little, (n,).
    ties
        What it shares with earlier meters: a day with more hot water shows on all of them, and counts once.
    """

    sd: float
    whole_sd: float
    shares: Floats
    mean: float
    widths: Floats = field(repr=False)
    root: Floats = field(repr=False)
    apart: Bools = field(repr=False)
    ties: tuple[Tie, ...] = field(default=(), repr=False)

    @property
    def likeness(self) -> float:
        """Correlation of neighbouring days."""
        return float(self.shares @ PERSISTENCE)

    def left(self, residual: Floats, earlier: Sequence[Floats] = ()) -> Floats:
        """Residuals in units of their widths, less what earlier meters share of them, (rows, n)."""
        scaled = residual / self.widths
        for tie in self.ties:
            scaled = tie.taken_from(scaled, earlier)
        return scaled

    def whitened(self, residual: Floats, earlier: Sequence[Floats] = ()) -> Floats:
        """Residuals made independent and of variance one, (rows, n).

        Parameters
        ----------
        residual
            Measured less predicted, (rows, n).
        earlier
            The same of earlier meters in units of their widths.
        """
        return np.asarray(self.left(residual, earlier) @ self.root.T / self.sd)


def alike(shares: Floats, apart: Ints | Floats) -> Floats:
    """Correlation of days so many days apart, in the shape of `apart`."""
    return np.asarray(np.power(PERSISTENCE, np.abs(apart)[..., None]) @ shares)


def by_load(load: Floats, mean: float) -> Floats:
    """Scatter of days of a load, in units of that at the mean load, (n,)."""
    return np.sqrt(UNLOADED + (1.0 - UNLOADED) * (np.maximum(load, 0.0) / max(mean, 1e-9)) ** 2)


def noise_of(
    channel: Channel, sd: float, shares: Floats = START_SHARES, *, load: Floats | None = None,
    apart: Bools | None = None, whole_sd: float = 0.0, ties: tuple[Tie, ...] = (),
) -> Noise:  # fmt: skip
    """Noise of a channel for a day's scatter and how it lasts.

    Parameters
    ----------
    channel
        The observations: days, or spans whose scatter is that of the sum of their days.
    sd, shares, whole_sd, ties
        As in `Noise`.
    load
        What each is predicted to be [kWh]; None takes all days as the mean one.
    apart
        Days that count for little.
    """
    n, mean = len(channel.values), mean_day(channel)
    apart = np.zeros(n, dtype=bool) if apart is None else apart
    covariance = _covariance(channel, shares)
    size = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(size, size)
    correlation[np.outer(apart, np.ones(n, dtype=bool)) | np.outer(np.ones(n, dtype=bool), apart)] = 0.0
    correlation[np.diag_indices(n)] = 1.0 + 1e-9
    grown = 1.0 if load is None or channel.name == "room_c" else by_load(load / channel.days, mean)
    widths = size * grown * np.where(apart, APART_WIDTH, 1.0)
    root = np.linalg.inv(np.linalg.cholesky(correlation))
    return Noise(sd, max(whole_sd, sd), shares, mean, widths, np.asarray(root), apart, ties)


def _covariance(channel: Channel, shares: Floats) -> Floats:
    """Covariance of observations, days or sums over days, in units of a day's variance, (n, n)."""
    return np.asarray(sum(share * part for share, part in zip(shares, channel.lasting, strict=True) if share))


def mean_day(channel: Channel) -> float:
    """What a day comes to, whichever way it flows [kWh]."""
    return float(np.mean(np.abs(channel.values) / channel.days))


def start_noise(channel: Channel) -> Noise:
    """Noise before anything is known."""
    typical = 0.5 if channel.name == "room_c" else START_SHARE * mean_day(channel)
    return noise_of(channel, max(typical, 1e-6))


def noises_from(
    channels: Sequence[Channel], predicted: Sequence[Floats], slopes: Sequence[Floats], scores: Floats,
    errors: Sequence[Floats],
) -> tuple[Noise, ...]:  # fmt: skip
    """Noise of every meter from what a fit leaves.

    Parameters
    ----------
    channels
        Observations.
    predicted
        Of each, at the fitted scores, (n,).
    slopes
        Of each on the scores, (unknowns, n): what the unknowns could explain is no scatter.
    scores
        The fitted ones, (unknowns,).
    errors
        The emulator's own, (n,).
    """
    made: list[Noise] = []
    scaled: list[Floats] = []
    for k, (channel, at, slope) in enumerate(zip(channels, predicted, slopes, strict=True)):
        plain = noise_of(channel, 1.0, load=at)
        apart = _apart((channel.values - at) / plain.widths, channel)
        plain = noise_of(channel, 1.0, load=at, apart=apart)
        # residuals of the prior's own middle, then one row for each slope
        stacked = np.vstack([channel.values - at + scores @ slope, slope])
        scaled.append(stacked / plain.widths)
        ties = _ties(channels, [rows[0] - scores @ rows[1:] for rows in scaled], k)
        left = replace(plain, ties=ties).left(stacked, scaled)
        sd, shares = found(channel, left[0], left[1:], load=at, apart=apart, start=scores)
        whole, own = scaled[k][0] - scores @ scaled[k][1:], left[0] - scores @ left[1:]
        whole_sd = sd * max(float(np.sum(whole**2) / max(np.sum(own**2), 1e-12)) ** 0.5, 1.0)
        rough = float(np.mean((errors[k] / plain.widths) ** 2))
        sd, whole_sd = (max((size**2 + rough) ** 0.5, least_sd(channel)) for size in (sd, whole_sd))
        made.append(noise_of(channel, sd, shares, load=at, apart=apart, whole_sd=whole_sd, ties=ties))
    return tuple(made)


def least_sd(channel: Channel) -> float:
    """Scatter of a day that no fit is taken to be better than [kWh] or [K]."""
    if channel.name == "room_c":
        return LEAST_ROOM_K
    return LEAST_SHARE.get(channel.name, LEAST_OTHER) * mean_day(channel)


def _apart(scaled: Floats, channel: Channel) -> Bools:
    """Days that stand apart from the rest; none where they are too many to be exceptions."""
    distance = np.abs(scaled - np.median(scaled))
    apart = distance > APART * MAD * max(float(np.median(distance)), 1e-9)
    return apart if channel.daily and apart.mean() <= MOST_APART else np.zeros(len(scaled), dtype=bool)


def found(
    channel: Channel, residual: Floats, slopes: Floats, *, load: Floats, apart: Bools, start: Floats
) -> tuple[float, Floats]:
    """Scatter of a day and how it lasts, each the mean over what residuals and prior allow.

    The unknowns are left out of it by their marginal likelihood: with residuals r = J·z + e of the prior's middle and
    z normal, r is normal with the covariance J·Jᵀ + s²·R. It is worked out for sizes s and correlations R on a grid.

    Parameters
    ----------
    channel
        The observations.
    residual, slopes
        In units of their widths: of the prior's middle, (n,), and J of that, (unknowns, n).
    load, apart
        As in `noise_of`.
    start
        Scores at which the residuals are least, (unknowns,).
    """
    usual = max(float(np.sqrt(np.mean((residual - start @ slopes) ** 2))), 1e-9)
    tried, weights = [], []
    for own in (*OWN_PARTS, 1.0):
        for k in range(1, len(PERSISTENCE)) if own < 1.0 else (1,):
            shares = np.zeros(len(PERSISTENCE))
            shares[0] = own
            shares[k] += 1.0 - own
            root = noise_of(channel, 1.0, shares, load=load, apart=apart).root
            u, m = root @ residual, root @ slopes.T
            size, turned, _ = np.linalg.svd(m, full_matrices=False)
            along = (size.T @ u) ** 2
            for s in usual * SIZES:
                grown = 1.0 + (turned / s) ** 2
                square = (u @ u - along.sum() + (along / grown).sum()) / s**2
                volume = len(u) * np.log(s) + 0.5 * np.log(grown).sum() - np.log(np.diag(root)).sum()
                tried.append((s, shares))
                weights.append(-0.5 * square - volume + np.log(SLOWNESS @ shares))
    weight = np.exp(np.array(weights) - max(weights))
    weight /= weight.sum()
    return (
        float(np.exp(weight @ np.log([s for s, _ in tried]))),
        np.asarray(weight @ np.array([shares for _, shares in tried])),
    )


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
