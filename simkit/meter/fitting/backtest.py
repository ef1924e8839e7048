"""A meter's days and a fit in; how well each part of them would have been predicted from the others, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from simkit.arrays import Floats
from simkit.meter.fitting.noise import Noise, found, noise_of
from simkit.meter.fitting.observations import Channel, systematic_error

BLOCKS = 3
LEAST_IN_BLOCK = 3
LEVEL = 0.8


@dataclass(frozen=True, eq=False)
class HeldOut:
    """One meter's observations in blocks, each block predicted from the others.

    Attributes
    ----------
    days
        One row for each observation: block, measured, low (10 %), middle, high (90 %), line [kWh] or [°C]; `line` is
        what a straight line on outdoor temperature through the other blocks says; apart, where it stands apart.
    blocks
        One row for each block: the same of its sum.
    widened
        Factor by which ranges had to grow for the blocks to lie in them as they should; one or more.
    """

    days: pd.DataFrame
    blocks: pd.DataFrame
    widened: float

    @property
    def inside(self) -> int:
        """How many observations lie in their range."""
        return int(self.days["measured"].between(self.days["low"], self.days["high"]).sum())

    def error(self, by: str = "middle") -> float:
        """Mean distance of a day from what was predicted for it, as a share of the mean day."""
        return float((self.days["measured"] - self.days[by]).abs().mean() / self.days["measured"].abs().mean())

    @property
    def total_error(self) -> float:
        """Mean distance of a block's sum from what was predicted for it, as a share of the sum."""
        return float(((self.blocks["middle"] - self.blocks["measured"]) / self.blocks["measured"]).abs().mean())


def held_out(
    channel: Channel, noise: Noise, *, predicted: Floats, slopes: Floats, scores: Floats, outdoor_c: Floats
) -> HeldOut | None:
    """Leave each third of a meter's observations out in turn and predict it from the others.

    Parameters
    ----------
    channel
        The observations, (n,).
    noise
        Their noise in the fit to all of them; each turn finds its own.
    predicted, slopes
        Of them at the fitted scores, (n,), and on the scores, (unknowns, n).
    scores
        The fitted ones, (unknowns,).
    outdoor_c
        Mean of each observation [°C], (n,).

    Returns
    -------
    HeldOut or None
        None where there are too few observations for blocks of three.

    Notes
    -----
    Before anything is measured, the observations are normal with the covariance J·Jᵀ + N: what the unknowns could
    make of them, and the noise. Given those of the other blocks, a block's own follow. Nothing is simulated anew.
    """
    n = len(channel.values)
    if n < BLOCKS * LEAST_IN_BLOCK:
        return None
    block = np.arange(n) * BLOCKS // n
    middle, sd, line = (np.empty(n) for _ in range(3))
    residual = channel.values - predicted + scores @ slopes
    sums = np.empty(BLOCKS)
    for k in range(BLOCKS):
        out, kept = block == k, block != k
        size, shares = found(
            channel.part(kept), residual[kept] / noise.widths[kept], slopes[:, kept] / noise.widths[kept],
            load=predicted[kept], apart=noise.apart[kept], start=scores,
        )  # fmt: skip
        made = noise_of(channel, max(size, 1e-9), shares, load=predicted, apart=noise.apart)
        root = np.linalg.inv(made.root) * (made.sd * made.widths)[:, None]
        own = systematic_error(channel, predicted)
        covariance = root @ root.T + slopes.T @ slopes + np.outer(own, own)
        weights = np.linalg.solve(covariance[np.ix_(kept, kept)], covariance[np.ix_(kept, out)]).T
        left = covariance[np.ix_(out, out)] - weights @ covariance[np.ix_(kept, out)]
        middle[out] = (predicted - scores @ slopes)[out] + weights @ residual[kept]
        sd[out], sums[k] = np.sqrt(np.diag(left)), left.sum() ** 0.5
        line[out] = _line(channel, outdoor_c, kept)[out]
    score = ((channel.values - middle) / sd) ** 2
    seen = np.array(
        [score[(block == k) & ~noise.apart].mean() for k in range(BLOCKS) if ((block == k) & ~noise.apart).any()]
    )
    # three blocks tell of their own scatter about as much as was believed before: the mean of the two
    widened = max(float((seen.sum() + BLOCKS) / (len(seen) + BLOCKS)), 1.0) ** 0.5
    reach = float(stats.t.ppf(0.5 + LEVEL / 2.0, max(n * (BLOCKS - 1) // BLOCKS - 3, 3))) * widened
    days = pd.DataFrame(
        {
            "block": block, "measured": channel.values, "low": middle - reach * sd, "middle": middle,
            "high": middle + reach * sd, "line": line, "apart": noise.apart,
        }
    )  # fmt: skip
    blocks = days.groupby("block")[["measured", "middle", "line"]].sum()
    blocks["low"], blocks["high"] = blocks["middle"] - reach * sums, blocks["middle"] + reach * sums
    return HeldOut(days, blocks, widened)


def _line(channel: Channel, outdoor_c: Floats, kept: Floats) -> Floats:
    """Observations by a straight line on outdoor temperature through those kept, (n,)."""
    days = np.ones(len(outdoor_c)) if channel.name == "room_c" else channel.days
    design = np.column_stack([days, days * outdoor_c])
    slope, *_ = np.linalg.lstsq(design[kept], channel.values[kept], rcond=None)
    return np.asarray(design @ slope)
