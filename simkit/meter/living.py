"""Days of a simulated home in; the same as people live them, given what the days that were fitted left over, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats
from simkit.meter.fitting.noise import PERSISTENCE, alike, by_load
from simkit.meter.fitting.observations import SYSTEMATIC

LIVES = 8  # runs of days laid on each home
RIDGE = 1e-9


class Before(NamedTuple):
    """Days that were fitted: their places, as the homes have them (homes, n), as measured, and their widths."""

    places: Floats
    made: Floats
    measured: Floats
    widths: Floats


class Lived(NamedTuple):
    """Days as they are expected to be: of each home (homes, n), and samples of homes and lives (lives × homes, n)."""

    expected: Floats
    samples: Floats


@dataclass(frozen=True, eq=False)
class Straying:
    """How a meter's days stray from the simulated home.

    Attributes
    ----------
    meter
        Its quantity.
    sd
        Scatter of a day of the mean load, with what it shares with other meters [kWh] or [K].
    mean
        Load of a day at which it is so large [kWh].
    shares
        Of its variance, by `simkit.meter.fitting.noise.PERSISTENCE`.
    """

    meter: str
    sd: float
    mean: float
    shares: Floats

    @property
    def likeness(self) -> float:
        """Correlation of neighbouring days."""
        return float(self.shares @ PERSISTENCE)

    def widths(self, load: Floats) -> Floats:
        """Scatter of days of a load, in units of `sd`, (n,)."""
        return by_load(load, self.mean) if self.meter != "room_c" else np.ones(len(load))

    def covariance(self, places: Floats, widths: Floats) -> Floats:
        """Covariance of days at these places and of these widths, (n, n) [kWh²]."""
        sizes = self.sd * widths
        return alike(self.shares, np.subtract.outer(places, places)) * np.outer(sizes, sizes)

    def lived(
        self, made: Floats, places: Floats, before: Before, *, scale: Floats, rng: np.random.Generator,
        lives: int = LIVES,
    ) -> Lived:  # fmt: skip
        """Lay days as people live them on simulated ones.

        A habit that lasts for weeks lasts into the days beside those that were fitted.

        Parameters
        ----------
        made
            Days of each home, (homes, n) [kWh].
        places
            Numbers of the days, (n,).
        before
            Days that were fitted, none of them among these.
        scale
            Scatter of each home's days over `sd`, (homes,).
        rng
            Random numbers.
        lives
            Runs of days laid on each home.
        """
        n = len(places)
        own = SYSTEMATIC[self.meter] if self.meter != "room_c" else 0.0
        load = made.mean(axis=0)
        widths = np.concatenate([self.widths(load), before.widths])
        levels = np.concatenate([load, before.made.mean(axis=0)])
        covariance = self.covariance(np.concatenate([places, before.places]), widths)
        covariance += own**2 * np.outer(levels, levels) + RIDGE * np.diag((self.sd * widths) ** 2)
        weights = np.linalg.solve(covariance[n:, n:], covariance[n:, :n]).T
        root = np.linalg.cholesky(covariance[:n, :n] - weights @ covariance[n:, :n])
        expected = made + (before.measured - before.made) @ weights.T
        life = rng.normal(size=(lives, len(made), n)) * scale[:, None] @ root.T
        return Lived(expected, (expected + life).reshape(-1, n))
