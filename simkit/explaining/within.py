"""Samples of an amount in; both ends of its likely range, each with how it came about, as figures out."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from simkit.explaining.chain import MONEY, Figure, Link, Links, fixed
from simkit.explaining.energy import KERNEL
from simkit.uncertainty.distributions import distributions_of
from simkit.year.year import Year

RANGE_ENDS = {"low": (0.1, "ten"), "high": (0.9, "ninety")}


def ends(key: str, said: str, column: str, samples: Any, now: float, *years: Year) -> Iterator[Figure]:
    """Both ends of a range of `samples`, what was stated coming to `now`."""
    for name, (share, words) in RANGE_ENDS.items():
        end = float(np.quantile(samples, share))
        label = f"{said} that {words} of a hundred samples stay under"
        links = partial(_end_links, years[-1], samples, now, share, end)
        yield fixed(f"{key}{name}", label, column, years, end, links)


def _end_links(year: Year, samples: Any, now: float, share: float, end: float) -> Links:
    """From the value as stated, by the samples, to an end of their range."""
    n, ordered = year.case.notation, np.sort(samples)
    drawn = ", ".join(one.name.replace("_", " ") for one in distributions_of(year.case) if one.spread > 0.0)
    at = share * (len(ordered) - 1)
    below, above = ordered[int(at)], ordered[min(int(at) + 1, len(ordered) - 1)]
    between = f"between {n.money(below, 2)} and {n.money(above, 2)}, numbers {int(at) + 1} and {int(at) + 2} in order"
    return [
        Link("As stated", "", now, MONEY, 2, "bill of the year"),
        Link("Sampled years", f"drawn anew in each: {drawn}", float(len(ordered)), "–", 0, "[uncertainty]"),
        Link("The lowest of them", "", float(ordered[0]), MONEY, 2, KERNEL),
        Link("The highest of them", "", float(ordered[-1]), MONEY, 2, KERNEL),
        Link(f"{n.share(share)} of them stay under", between, end, MONEY, 2, "quantile of the samples"),
    ]
