"""Simulated meters at some sets of unknowns in; polynomials for any set near them, with their error, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import ndtri
from scipy.stats import qmc

from simkit.arrays import Floats, Ints

DEGREE = 3
HELD_OUT = 0.2
SLOPE_STEP = 0.05


@dataclass(frozen=True, eq=False)
class Emulator:
    """Polynomials in place of the simulation, inside the region they were made for.

    Attributes
    ----------
    centre, spread
        Scores = centre + spread @ local coordinates.
    powers
        Exponents of each term, (terms, unknowns).
    coefficients
        (terms, values).
    error
        Root mean square error of each value at sets that were held out, (values,).
    """

    centre: Floats
    spread: Floats
    powers: Ints
    coefficients: Floats
    error: Floats

    def local(self, scores: Floats) -> Floats:
        """Local coordinates of scores, (n, unknowns)."""
        return np.asarray(np.linalg.solve(self.spread, (scores - self.centre).T).T)

    def at(self, scores: Floats) -> Floats:
        """Values at scores, (n, values)."""
        return terms(self.local(scores), self.powers) @ self.coefficients

    def slopes(self, scores: Floats) -> Floats:
        """Slopes of the values on each score, (unknowns, values)."""
        step = SLOPE_STEP * np.eye(len(scores))
        return (self.at(scores + step) - self.at(scores - step)) / (2.0 * SLOPE_STEP)


def powers_of(unknowns: int, degree: int = DEGREE) -> Ints:
    """Exponents of all products up to a degree, (terms, unknowns)."""
    rows = []
    for order in range(degree + 1):
        for chosen in combinations_with_replacement(range(unknowns), order):
            rows.append(np.bincount(np.array(chosen, dtype=np.int64), minlength=unknowns))
    return np.array(rows)


def terms(x: Floats, powers: Ints) -> Floats:
    """All products at local coordinates, (n, terms): of three factors each, where there are fewer of ones."""
    factors, before = np.column_stack([x, np.ones(len(x))]), powers.cumsum(axis=1)
    first, second, third = (factors[:, (before <= taken).sum(axis=1)] for taken in range(DEGREE))
    return np.asarray(first * second * third)


def design(unknowns: int, count: int, *, width: float, seed: int) -> Floats:
    """Local coordinates that fill a ball evenly enough, (count, unknowns)."""
    unit = qmc.Sobol(unknowns, scramble=True, rng=seed).random_base2(int(np.ceil(np.log2(count))))[:count]
    return np.clip(ndtri(np.clip(unit, 1e-4, 1 - 1e-4)) * width, -2.2 * width, 2.2 * width)


def emulate(
    simulate: Callable[[Floats], Floats], centre: Floats, spread: Floats, *, count: int, width: float, seed: int,
    degree: int = DEGREE,
) -> Emulator:  # fmt: skip
    """Run the simulation at a design and lay polynomials through it.

    Parameters
    ----------
    simulate
        Values at scores: (n, unknowns) to (n, values).
    centre, spread
        Middle of the region in scores, and its shape (a square matrix).
    count
        Sets that are simulated; a fifth of them is held out for the error.
    width
        How far the design reaches, in units of `spread`.
    seed
        Start of the design.
    degree
        Of the polynomials, three at most.
    """
    x = design(len(centre), count, width=width, seed=seed)
    values = simulate(centre + x @ spread.T)
    out = max(int(HELD_OUT * count), 8)
    powers = powers_of(len(centre), degree)
    found = _least(terms(x[:-out], powers), values[:-out])
    error = np.sqrt(np.mean((terms(x[-out:], powers) @ found - values[-out:]) ** 2, axis=0)).astype(np.float64)
    found = _least(terms(x, powers), values)
    return Emulator(centre, spread, powers, found, error)


def _least(made: Floats, values: Floats) -> Floats:
    """Least squares by QR: singular values of so many terms would take longer than simulating the design."""
    q, r = np.linalg.qr(made)
    return np.asarray(solve_triangular(r, q.T @ values))
