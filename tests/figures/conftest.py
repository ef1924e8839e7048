"""What every figure test shares: no screen, and no figure left open."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

matplotlib = pytest.importorskip("matplotlib")
matplotlib.use("Agg")


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    """Close what a test has drawn, after drawing it in full once: a figure that can't be rendered, or whose texts lie
    on each other or leave it, fails its test."""
    from matplotlib import pyplot

    from figures.reading import clashes

    yield
    found = []
    for number in pyplot.get_fignums():
        figure = pyplot.figure(number)
        figure.canvas.draw()
        found += clashes(figure)
    pyplot.close("all")
    assert found == []
