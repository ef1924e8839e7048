"""Days metered and expected in; days away, and a lasting departure with its size and how sure it is, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.meter.fitting.noise import MAD, found, noise_of
from simkit.meter.fitting.observations import Channel
from simkit.meter.living import Straying
from simkit.notation import PLAIN

if TYPE_CHECKING:
    from simkit.meter.account.account import Account
    from simkit.meter.account.expected import Expected

LEAST_DAYS = 10  # days after which a drift is sought
SEEN_AT = 3.3  # own: of all change dates tried, one in a hundred reaches this by chance (tested on invented homes)
GROWS = "it grows with the heating, as after other settings, or with a fault of the machine"
ALIKE = "it is alike on mild and cold days, as with more people, more hot water or a heater left on"
OWN_METER = "heat_pump_kwh"
ALIKE_OWN = "it is alike on mild and cold days, as with more hot water or more standby"
SEEN_BY_OWN = 3.6  # own: two meters are looked at, and the scatter of one is taken from few days
OWN_DAYS, LEAST_SCATTER = (
    14,
    0.03,
)  # own: fitted days that its scatter is taken from, and the least of it, of a mean day
# Measured by tests/bench/meter.py: accounts of three months after a fit on forty days, the change two months old.
HOMES, FALSE_NOTICES, NOTICED_SHARE, NOTICED = 30, 0, 0.15, 21
RATES = (
    f"Of {HOMES} invented homes left alone, {FALSE_NOTICES} had such a notice within three months; a change of "
    f"{PLAIN.share(NOTICED_SHARE)} of the heat pump's electricity was noticed in {NOTICED} within two."
)
FAR, NEAR = 3.0, 1.5  # own: robust deviations under the usual of a day away, and of one beside it (going, coming back)
LEAST_LESS, LEAST_NEAR = 0.25, 0.12  # own: and such a share under what was expected
LONGEST_DAYS = 21  # own: what lasts longer is no absence but a drift
AROUND_DAYS = 61  # days whose middle is the usual
LEAST_SPREAD = 0.6  # of the fit's own scatter


@dataclass(frozen=True)
class Drift:
    """A lasting departure from what is expected.

    Attributes
    ----------
    since
        Day from which on it is seen best.
    kwh_per_day, low, high
        Its size and 90 % interval [kWh].
    confidence
        How sure it is that it is no chance [-].
    kind
        What it looks like, in words.
    meter
        The meter that shows it: the whole home's, or `OWN_METER`.
    """

    since: pd.Timestamp
    kwh_per_day: float
    low: float
    high: float
    confidence: float
    kind: str
    meter: str = "import_kwh"

    @property
    def grows(self) -> bool:
        """Whether it grows with the heating."""
        return self.kind == GROWS


def drift_of(
    account: Account, days: pd.DataFrame, expected: Floats, straying: Straying, *, seen_at: float = SEEN_AT,
    with_fitted: bool = False,
) -> Drift | None:  # fmt: skip
    """Look for the date after which days differ most from what is expected, against chance and the fit's doubt.

    Parameters
    ----------
    account
        The account: the end of what it was fitted to.
    days
        Days that were read whole and on which somebody was in: metered_kwh, expected_kwh, heat_kwh.
    expected
        The same days in samples of the fitted home, (samples, days) [kWh].
    straying
        How days stray from it.
    seen_at
        Standard errors from which it is no chance.
    with_fitted
        Whether days of the span that was fitted tell of the home too: of a meter that it was not fitted to.
    """
    zone = account.case.site.zone
    later = pd.DatetimeIndex(days.index).tz_localize(zone) >= account.fitted_until.tz_convert(zone)
    days, expected = (days, expected) if with_fitted else (days[later], expected[:, later])
    n, first = len(days), int((~later).sum()) if with_fitted else 0
    if n - first < LEAST_DAYS:
        return None
    residual = (days["metered_kwh"] - days["expected_kwh"]).to_numpy()
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    covariance = straying.sd**2 * straying.likeness**apart + np.cov(expected.T)
    root = np.linalg.inv(np.linalg.cholesky(covariance))
    heat = days["heat_kwh"].to_numpy()
    heating = heat / max(float(heat.mean()), 1e-9)
    dates = range(first, n - LEAST_DAYS + 1)
    tried = [_change(root, residual, k, shape) for k in dates for shape in (np.ones(n), heating)]
    best = int(np.argmax([abs(size) / error for size, error in tried]))
    k, grows, (size, error) = first + best // 2, best % 2 == 1, tried[best]
    seen = abs(size) / error
    if seen < seen_at:
        return None
    from scipy.stats import norm

    chance = min(1.0, 2.0 * float(norm.sf(seen)) * max((n - first) / LEAST_DAYS, 1.0))
    own = straying.meter == OWN_METER
    kind = GROWS if grows else ALIKE_OWN if own else ALIKE
    ends = (size - 1.645 * error, size + 1.645 * error)
    return Drift(days.index[k], size, *ends, 1.0 - chance, kind, OWN_METER if own else "import_kwh")


def drift_by_own_meter(account: Account, expected: Expected, pump: Floats, away: Bools) -> Drift | None:
    """Look for a drift on the heat pump's own meter, in which no household hides it.

    What the meter and the fitted home disagree on in the fitted days is no drift, nor is how it follows the cold there;
    how its days stray is taken from them too. None where too few of them were read.

    Parameters
    ----------
    account, expected
        The account, and what its days were expected to take.
    pump
        The meter by day, NaN where not read, (days,) [kWh].
    away
        Days on which nobody was in, (days,).
    """
    straying = own_straying(expected, pump, away)
    if straying is None:
        return None
    seen, mean = np.isfinite(pump) & ~away, straying.mean
    known = seen & expected.fitted
    homes = _on_its_level(expected.pumps, pump, known)
    usual, places = homes.mean(axis=0), np.flatnonzero(known).astype(np.float64)
    level = straying.covariance(places, straying.widths(usual[known])).mean() ** 0.5 / mean
    homes = homes * (1.0 + level * np.random.default_rng(1).normal(size=(len(homes), 1)))
    days = pd.DataFrame({"metered_kwh": pump, "expected_kwh": usual, "heat_kwh": usual}, index=expected.days)
    return drift_of(account, days[seen], homes[:, seen], straying, seen_at=SEEN_BY_OWN, with_fitted=True)


def own_straying(expected: Expected, pump: Floats, away: Bools) -> Straying | None:
    """How days of the heat pump's own meter stray from the fitted homes, by those that were fitted.

    What homes that fit the whole home's meter differ in on those days is no scatter: it is left out as the unknowns of
    a fit are. None where fewer than two weeks of them were read.

    Parameters
    ----------
    expected
        What days were expected to take.
    pump
        The meter by day, NaN where not read, (days,) [kWh].
    away
        Days on which nobody was in, (days,).
    """
    known = np.isfinite(pump) & ~away & expected.fitted
    if known.sum() < OWN_DAYS:
        return None
    homes, places = _on_its_level(expected.pumps, pump, known)[:, known], np.flatnonzero(known)
    usual, values = homes.mean(axis=0), pump[known]
    channel = Channel(OWN_METER, values, places, places + 1, np.ones(len(places)))
    widths = noise_of(channel, 1.0, load=usual).widths
    _, sizes, ways = np.linalg.svd((homes - usual) / widths / len(homes) ** 0.5, full_matrices=False)
    left, slopes = (values - usual) / widths, sizes[:, None] * ways
    start = (slopes @ left) / (sizes**2 + float(left.var()))
    none = np.zeros(len(values), dtype=bool)
    sd, shares = found(channel, left, slopes, load=usual, apart=none, start=start)
    mean = float(values.mean())
    return Straying(OWN_METER, max(sd, LEAST_SCATTER * mean), mean, shares)


def _on_its_level(pumps: Floats, pump: Floats, known: Bools) -> Floats:
    """What heat pumps of homes take, (homes, days), each brought to the level that the meter showed on known days."""
    return np.asarray(pumps * (pump[known].sum() / pumps[:, known].sum(axis=1))[:, None])


def _change(root: Floats, residual: Floats, k: int, shape: Floats) -> tuple[float, float]:
    """A change at day k, the same on all days or growing with the heating: its size on a mean day and its error [kWh].

    By generalised least squares: days before the change tell of the home as well, so that what the fit left in doubt
    (the sun of a spring that it never saw) is not counted against a change that the days show plainly.
    """
    after = np.where(np.arange(len(shape)) >= k, shape, 0.0)
    step = root @ after
    square, mean = max(float(step @ step), 1e-12), float(after[k:].mean())
    return float(step @ (root @ residual)) / square * mean, mean / square**0.5


def away_days(metered: Floats, expected: Floats, widths: Floats) -> Bools:
    """Days whose use falls far below what weather and habit say, and below that of the weeks around them.

    Parameters
    ----------
    metered
        By day, NaN where not read, (days,) [kWh].
    expected, widths
        What was expected and the scatter of a day about it, (days,) [kWh].
    """
    left = pd.Series((metered - expected) / widths)
    below = (left - left.rolling(AROUND_DAYS, center=True, min_periods=1).median()).to_numpy()
    known = below[np.isfinite(below)]
    spread = max(MAD * float(np.median(np.abs(known))) if len(known) else 0.0, LEAST_SPREAD)
    with np.errstate(invalid="ignore"):
        short = 1.0 - metered / np.maximum(expected, 1e-9)
        away = (below < -FAR * spread) & (short > LEAST_LESS)
        beside = (below < -NEAR * spread) & (short > LEAST_NEAR)
    for step in (1, -1):  # along a run of days beside each other, forwards and backwards
        for k in range(len(away))[::step]:
            before = k - step
            away[k] |= 0 <= before < len(away) and bool(away[before]) and bool(beside[k])
    with np.errstate(invalid="ignore"):
        low = (left.to_numpy() < -NEAR * spread) & (short > LEAST_NEAR)
    for first, last in runs_of(low):
        away[first : last + 1] &= last - first < LONGEST_DAYS
    return np.asarray(away)


def runs_of(days: Bools) -> list[tuple[int, int]]:
    """First and last of each run of days."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], days, [False]]).astype(np.int8)))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
