"""Functions that rise with what they are given in; where each takes a value, to many digits for few evaluations, out.

A function here is costly, and many of them cost little more side by side than one: all are asked at once.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from simkit.arrays import Floats

AROUND = np.array([0.995, 1.005])  # own: about the place where a straight line between the first values has it
MET = 1e-6  # of the value: found; what is left is laid along the line
STEPS = 3  # own: from there along the line; two meet it where the function has no steps of its own
ROUNDS, AT_ONCE = 3, 16  # of a narrowed bracket: the third leaves 1e-11, a fourth changes nothing


def along_lines(of: Callable[[Floats], Floats], wanted: Floats, tried: Floats, *, close: float) -> Floats:
    """Where functions that are nearly straight take their values, (n,); NaN where one bends too far or never does.

    Parameters
    ----------
    of
        Values of all functions at several places each, (n, m) to (n, m).
    wanted
        The values, (n,), above 0.
    tried
        Where each is asked first, rising, (n, m).
    close
        How near a value has to come, by the value.

    Returns
    -------
    ndarray
        No function's result hangs on which others stand beside it.
    """
    found = of(tried)
    tame = (np.diff(found) > 0.0).all(axis=1) & (found[:, 0] <= wanted) & (wanted <= found[:, -1])
    at = np.array([np.interp(*row) for row in zip(wanted, found, tried, strict=True)])
    near = at[:, None] * AROUND
    found = of(near)
    slope = np.diff(found)[:, 0] / np.diff(near)[:, 0]
    tame &= slope > 0.0
    slope = np.where(tame, slope, np.inf)
    step = (wanted - found.mean(axis=1)) / slope
    best, left = at, np.full(len(wanted), np.inf)
    for _ in range(STEPS):
        at = np.where(left > MET, at + step, at)
        missing = wanted - of(at[:, None])[:, 0]
        step, off = missing / slope, np.abs(missing) / wanted
        nearer = off < left
        best, left = np.where(nearer, np.where(off <= MET, at + step, at), best), np.where(nearer, off, left)
        if (~tame | (left <= MET)).all():
            break
    return np.where(tame & (left <= close), best, np.nan)


def narrowed(of: Callable[[Floats], Floats], wanted: float, low: float, high: float) -> tuple[float, Floats]:
    """Where one function takes a value, by a bracket; NaN where it doesn't inside it. And its values when first asked.

    Parameters
    ----------
    of
        Its values at several places, (m,) to (m,).
    wanted
        The value.
    low, high
        Between which it is sought, both above 0.
    """
    places = np.geomspace(low, high, AT_ONCE)
    found = first = of(places)
    at = np.nan
    for number in range(ROUNDS):
        found = of(places) if number else first
        if not found[0] <= wanted <= found[-1]:
            return np.nan, first
        i = int(np.clip(np.searchsorted(found, wanted), 1, AT_ONCE - 1))
        low, high = places[i - 1], places[i]
        at = float(low + (wanted - found[i - 1]) * (high - low) / max(found[i] - found[i - 1], 1e-12))
        # the bracket's own ends stay in, so that the root can't slip out however the curve bends
        width = (high - low) / AT_ONCE
        inner = np.linspace(max(low, at - width), min(high, at + width), AT_ONCE - 2)
        places = np.concatenate([[low], inner, [high]])
    return at, first
