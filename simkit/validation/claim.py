"""A value from outside the kit, where it stands, how near the kit must come to it and why, and what the kit gives.

One claim is one statement of one source: a table, or one formula at many points, is one claim.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.arrays import Floats

STANDARDS, HANDBOOKS, OPEN_DATA, LIBRARIES = "standards", "handbooks and papers", "open data", "libraries"
FIELD, PRACTICE, MEMORY, OWN = "field bands", "common practice", "from memory", "own"
GROUPS = (STANDARDS, HANDBOOKS, OPEN_DATA, LIBRARIES, FIELD, PRACTICE, MEMORY, OWN)
APART = (MEMORY, OWN)  # not from outside
NOTHING = 1e-12  # what rounding leaves of an exact value


@dataclass(frozen=True, eq=False)
class Naive:
    """A method that is often used instead, and what it gives for the same claim."""

    name: str
    got: Callable[[], Any]


@dataclass(frozen=True, eq=False)
class Claim:
    """A statement from outside the kit.

    Attributes
    ----------
    group
        One of `GROUPS`. What is only remembered, `MEMORY`, is shown and never fails a test.
    says
        What is claimed, with its unit, in a few words; the claim is known by it.
    source
        Who says so, and where.
    expected
        The value, or values, from there: computed when asked for.
    tolerance
        How near the kit must come, in the same unit; of each value or of all.
    reason
        Why not nearer.
    got
        What the kit gives: computed when asked for.
    naive
        A common shortcut, beside it.
    held
        Whether a test fails where the kit departs: not for what is only remembered, nor for a band of field results
        beside one home.
    """

    group: str
    says: str
    source: str
    expected: Callable[[], Any] | Any
    tolerance: Any
    reason: str
    got: Callable[[], Any]
    naive: Naive | None = None
    held: bool = True

    @property
    def wanted(self) -> Floats:
        """The values from outside."""
        return _array(self.expected() if callable(self.expected) else self.expected)

    @property
    def allowed(self) -> Floats:
        """The tolerance of each value, or of all."""
        return _array(self.tolerance() if callable(self.tolerance) else self.tolerance)

    def worst(self, wanted: Floats, got: Floats) -> dict[str, Any]:
        """Of all its points the one that departs most, by its own tolerance."""
        allowed = np.broadcast_to(self.allowed, wanted.shape)
        off = np.where(np.isfinite(got), np.abs(got - wanted), np.inf)
        k = int(np.argmax(off / np.maximum(allowed, NOTHING)))
        close = bool(np.all(off <= allowed + NOTHING * np.maximum(np.abs(wanted), 1.0)))
        return {"expected": float(wanted[k]), "got": float(got[k]), "tolerance": float(allowed[k]), "agrees": close}

    def result(self) -> dict[str, Any]:
        """Its row: the worst of its points, how far that is off, and how far the naive method is."""
        wanted, got = self.wanted, _array(self.got())
        if wanted.shape != got.shape:
            raise ValueError(f"{self.says}: {wanted.size} values expected, {got.size} found")
        naive = None if self.naive is None else _relative(_array(self.naive.got()), wanted)
        return {
            "group": self.group, "claim": self.says, "source": self.source, "points": wanted.size,
            **self.worst(wanted, got), "reason": self.reason, "relative_error": _relative(got, wanted),
            "naive": self.naive and self.naive.name, "naive_error": naive,
        }  # fmt: skip


def _relative(got: Floats, wanted: Floats) -> float:
    """Greatest departure over the greatest of the values expected, over 1 where they are nothing."""
    return float(np.max(np.abs(got - wanted)) / (np.max(np.abs(wanted)) or 1.0))


def _array(values: Any) -> Floats:
    return np.atleast_1d(np.asarray(values, dtype=float)).ravel()
