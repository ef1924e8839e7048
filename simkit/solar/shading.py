"""A skyline in; the share of sun and sky light that still reaches the panels out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from simkit.arrays import Floats


class Skyline(Protocol):
    """A point of the horizon as it is seen from the panels."""

    @property
    def azimuth_deg(self) -> float: ...  # noqa: D102
    @property
    def height_deg(self) -> float: ...  # noqa: D102


def horizon_height_deg(points: Sequence[Skyline], azimuth_deg: Floats) -> Floats:
    """Height of the horizon in these directions, straight between its points, all round, (n,) [deg]."""
    places = sorted((point.azimuth_deg % 360.0, point.height_deg) for point in points)
    at, high = np.array(places).T
    return np.interp(azimuth_deg, at, high, period=360.0)


def sun_is_seen(points: Sequence[Skyline], zenith_deg: Floats, azimuth_deg: Floats) -> Floats:
    """1 where the sun stands above the horizon's points, 0 where it is hidden behind them, (steps,) [-]."""
    if not points:
        return np.ones(len(zenith_deg))
    return (90.0 - zenith_deg > horizon_height_deg(points, azimuth_deg)).astype(np.float64)


def sky_left(points: Sequence[Skyline]) -> float:
    """Share of an evenly bright sky's light that the skyline leaves to a level plane: mean of cos² of its height [-].

    Lambert's cosine law over the part of the dome above the skyline (own derivation: ∫ sin·cos from the height up to
    the zenith, over the same from the level); taken for tilted planes too.
    """
    if not points:
        return 1.0
    heights = horizon_height_deg(points, np.arange(0.5, 360.0))
    return float(np.mean(np.cos(np.radians(heights)) ** 2))
