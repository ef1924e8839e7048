"""Wanted heights in; heights that lie apart, near them and in their order, out."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move heights apart until neighbours are `gap` from each other, in order and inside low..high, moving little."""
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    placed = [wanted[k] for k in order]
    for _ in range(200):
        moved = 0.0
        for k in range(len(placed) - 1):
            short = gap - (placed[k + 1] - placed[k])
            if short > 1e-9:
                placed[k], placed[k + 1] = placed[k] - short / 2, placed[k + 1] + short / 2
                moved = max(moved, short)
        if placed:
            placed[0], placed[-1] = max(placed[0], low), min(placed[-1], high)
        if moved < 1e-6:
            break
    found = [0.0] * len(wanted)
    for place, k in zip(placed, order, strict=True):
        found[k] = place
    return found
