"""A value in, a check that names its source out: what a check within another test is written with.

What stands by itself is a claim of `simkit.validation`, which tests and notebook read alike.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Reference:
    """A value from outside, where it stands, and how near we must come and why.

    `source` begins with `own`, `common practice` or `from memory` where nothing published stands behind the value.
    """

    value: float
    source: str
    tolerance: float
    reason: str

    def check(self, found: float) -> None:
        """Fail with source, tolerance and reason in the message."""
        assert abs(found - self.value) <= self.tolerance, (
            f"found {found!r}, expected {self.value!r} within {self.tolerance!r} ({self.reason}); source: {self.source}"
        )
