"""Published values in, checks that name their source out: what every outside check of the suite is written with."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

PUBLISHED = Path(__file__).parent / "published"


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


def published(name: str) -> tuple[str, list[dict[str, str]]]:
    """Read ``tests/published/<name>.csv``: its source line and its rows as text."""
    lines = (PUBLISHED / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    source = " ".join(line.lstrip("# ") for line in lines if line.startswith("#"))
    return source, list(csv.DictReader(line for line in lines if line and not line.startswith("#")))
