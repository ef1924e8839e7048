"""A number in; reproducible normal numbers and persistent series out: chance that is the same on every machine.

The bits come from SplitMix64 (Steele, Lea and Flood 2014), written out here, because a library's generator may change
from one version to the next and made-up weather must not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from simkit.arrays import Floats

_GOLDEN = 0x9E3779B97F4A7C15
_APART = 0xD1342543DE82EF95  # any odd number that keeps streams apart
_MASK = (1 << 64) - 1


def split_mix(start: int, count: int) -> NDArray[np.uint64]:
    """Return the first `count` words of SplitMix64 begun at `start`, (count,)."""
    begin = np.array([start & _MASK], dtype=np.uint64)
    words = begin + np.arange(1, count + 1, dtype=np.uint64) * np.uint64(_GOLDEN)
    words = (words ^ (words >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    words = (words ^ (words >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return words ^ (words >> np.uint64(31))


def uniforms(count: int, sequence: int, stream: int) -> Floats:
    """Return `count` numbers inside 0 to 1, (count,), the same for the same `sequence` and `stream` everywhere."""
    begin = split_mix(sequence * _GOLDEN + stream * _APART, 1)[0]
    words = split_mix(int(begin), count)
    return ((words >> np.uint64(11)).astype(np.float64) + 0.5) / 2.0**53


def normals(count: int, sequence: int, stream: int) -> Floats:
    """Return `count` standard normal numbers, (count,)."""
    from scipy.special import ndtri

    return np.asarray(ndtri(uniforms(count, sequence, stream)), dtype=np.float64)


def persistent(shocks: Floats, memory: float | Floats) -> Floats:
    """Return a first-order autoregressive series that closes on itself, so that December runs into January, (n,).

    Parameters
    ----------
    shocks
        Independent numbers, (n,).
    memory
        Share of a value that is left one step later, 0 to 0.99, one for all or one for each, (n,) [-].

    Returns
    -------
    ndarray
        Scaled to mean 0 and standard deviation 1. Made by doubling: 1/(1 - mB) = (1 + mB)(1 + m²B²)(1 + m⁴B⁴)...
    """
    series, reach, left = shocks * np.sqrt(1.0 - np.asarray(memory) ** 2), 1, memory
    while np.max(left) > 1e-17:
        series = series + left * np.roll(series, reach)
        reach, left = 2 * reach, left * np.roll(left, reach)
    return (series - series.mean()) / float(series.std())
