"""A picture that is redrawn shows what a picture drawn anew would show."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from simkit.figures.decide.effect import HEIGHT, WIDTH, Effect, EffectArt
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.picture import Picture


def picture_of(effect: Effect) -> Picture:
    return Picture(WIDTH, HEIGHT, lambda figure: EffectArt(figure, effect))


def pixels(png: bytes) -> np.ndarray:
    """The picture as shades, (rows, columns, 3)."""
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))


def test_a_redraw_is_the_picture_that_is_drawn_anew(trial: Callable[..., Trial]) -> None:
    found = trial()
    picture = picture_of(found.effect)
    first = picture.png(found.effect)
    assert first.startswith(b"\x89PNG")
    found.set("flow_c", 45)
    moved = picture.png(found.effect)
    assert not np.array_equal(pixels(first), pixels(moved))
    found.reset()
    assert np.array_equal(pixels(picture.png(found.effect)), pixels(first))
    assert pixels(first).shape == (392, 851, 3)


def test_nothing_of_the_old_picture_stays_where_a_scale_moved(trial: Callable[..., Trial]) -> None:
    effect = trial().effect
    picture = picture_of(effect)
    picture.png(effect)
    costly = replace(effect, costs={name: 4 * cost for name, cost in effect.costs.items()}, months=4 * effect.months)
    again = picture_of(effect)
    assert np.array_equal(pixels(picture.png(costly)), pixels(again.png(costly)))


def test_a_picture_keeps_its_names(trial: Callable[..., Trial]) -> None:
    effect = trial().effect
    other = replace(effect, costs={"a": 1.0, "b": 2.0})
    with pytest.raises(ValueError, match="a picture keeps the names that it was made with"):
        picture_of(effect).png(other)
