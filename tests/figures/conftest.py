"""What every figure test shares: no screen, and no figure left open."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

matplotlib = pytest.importorskip("matplotlib")
matplotlib.use("Agg")


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    """Close what a test has drawn, after drawing it in full once: a figure that can't be rendered fails its test."""
    from matplotlib import pyplot

    yield
    for number in pyplot.get_fignums():
        pyplot.figure(number).canvas.draw()
    pyplot.close("all")
