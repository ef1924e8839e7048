"""Imported power and the main fuse of a home in; the margin in amperes and the hours over it, in words too, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.case.home.site import Site
from simkit.clock import TimeAxis
from simkit.notation import PLAIN
from simkit.profiles.one_home import FINE_MINUTES
from simkit.year.comfort import Wording


@dataclass(frozen=True)
class FuseUse:
    """How a year's import meets the main fuse.

    Attributes
    ----------
    fuse_a, limit_kw
        The fuse [A], and the power it lets through, evenly over its phases [kW].
    peak_kw, peak_at
        Highest import [kW], of five minutes where those are known, and when its step began, wall time.
    margin_a
        Amperes left at that peak, negative where it is over [A].
    hours_over
        Hours over the fuse [h].
    """

    fuse_a: float
    limit_kw: float
    peak_kw: float
    peak_at: str
    margin_a: float
    hours_over: float

    def worded(self, number: Wording = PLAIN.number) -> str:
        """One sentence, each number as `number` writes it."""
        peak, fuse = f"{number(self.peak_kw, 1)} kW ({self.peak_at})", f"the main fuse of {number(self.fuse_a, 0)} A"
        if self.hours_over > 0:
            return (
                f"The import is over {fuse} in {number(self.hours_over, 1)} hours a year; at most it is {peak}, and "
                f"the fuse lets {number(self.limit_kw, 1)} kW through."
            )
        return f"The highest import is {peak}, which leaves {number(self.margin_a, 1)} A of {fuse}."


def fuse_kw(site: Site) -> float | None:
    """Power that the main fuse lets through, evenly over its phases [kW]; None where no fuse is stated."""
    if site.fuse_a is None:
        return None
    return site.fuse_a * float(site.volts or 0.0) * float(site.phases or 1) / 1000.0


def fuse_use(import_kw: Floats, axis: TimeAxis, site: Site, within_kw: Floats | None = None) -> FuseUse | None:
    """Hold a year's import against the main fuse.

    Parameters
    ----------
    import_kw
        Mean import of each step, (steps,) [kW].
    axis
        Its time axis.
    site
        The site, with `fuse_a`, `volts` (phase to neutral) and `phases`.
    within_kw
        How far the highest five minutes of each step lie over its mean, (steps,) [kW]; None for nothing known.

    Returns
    -------
    FuseUse
        None where no fuse is stated. Loads are taken to lie evenly on the phases: one large load on one phase leaves
        less than is said here.
    """
    limit = fuse_kw(site)
    if limit is None or site.fuse_a is None:
        return None
    highest = import_kw if within_kw is None else import_kw + within_kw
    worst = int(np.argmax(highest))
    peak = float(highest[worst])
    whole, some = import_kw > limit + 1e-9, highest > limit + 1e-9
    hours = float(whole.sum()) * axis.hours + float((some & ~whole).sum()) * FINE_MINUTES / 60.0
    margin = (limit - peak) / limit * site.fuse_a
    return FuseUse(site.fuse_a, limit, peak, f"{axis.local[worst]:%d %B %H:%M}".lstrip("0"), margin, hours)
