"""Imported power and the main fuse of a home in; the margin in amperes and the hours over it, in words too, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.case.home.site import Site
from simkit.clock import TimeAxis

CAUTION = (
    "These are means over a step: a kettle or a motor starting goes above them for seconds to minutes. A fuse is "
    "changed by the network's people or a licensed electrician only."
)


@dataclass(frozen=True)
class FuseUse:
    """How a year's import meets the main fuse.

    Attributes
    ----------
    fuse_a, limit_kw
        The fuse [A], and the power it lets through, evenly over its phases [kW].
    peak_kw, peak_at
        Highest mean import of a step [kW], and when it began, wall time.
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

    @property
    def words(self) -> str:
        """One sentence, and the caution that goes with it."""
        if self.hours_over > 0:
            told = (
                f"The import is over the main fuse of {self.fuse_a:g} A in {self.hours_over:,.1f} h a year, at most "
                f"{self.peak_kw:.1f} kW of {self.limit_kw:.1f} kW ({self.peak_at})."
            )
        else:
            told = (
                f"The highest import is {self.peak_kw:.1f} kW ({self.peak_at}), which leaves {self.margin_a:.1f} A of "
                f"the main fuse of {self.fuse_a:g} A."
            )
        return f"{told} {CAUTION}"


def fuse_kw(site: Site) -> float | None:
    """Power that the main fuse lets through, evenly over its phases [kW]; None where no fuse is stated."""
    if site.fuse_a is None:
        return None
    return site.fuse_a * float(site.volts or 0.0) * float(site.phases or 1) / 1000.0


def fuse_use(import_kw: Floats, axis: TimeAxis, site: Site) -> FuseUse | None:
    """Hold a year's import against the main fuse.

    Parameters
    ----------
    import_kw
        Mean import of each step, (steps,) [kW].
    axis
        Its time axis.
    site
        The site, with `fuse_a`, `volts` (phase to neutral) and `phases`.

    Returns
    -------
    FuseUse
        None where no fuse is stated. Loads are taken to lie evenly on the phases: one large load on one phase leaves
        less than is said here.
    """
    limit = fuse_kw(site)
    if limit is None or site.fuse_a is None:
        return None
    worst = int(np.argmax(import_kw))
    peak = float(import_kw[worst])
    hours = float((import_kw > limit + 1e-9).sum()) * axis.hours
    margin = (limit - peak) / limit * site.fuse_a
    return FuseUse(site.fuse_a, limit, peak, f"{axis.local[worst]:%d %B %H:%M}".lstrip("0"), margin, hours)
