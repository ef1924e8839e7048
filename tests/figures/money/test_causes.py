"""The stair of causes: it begins and ends at the two costs, every step is named and priced, and grey prints tell it."""

from __future__ import annotations

import pandas as pd
import pytest

from figures.reading import assert_legible, texts
from simkit.figures.money.causes import LESS, MORE, cause_steps, cause_steps_sentence
from simkit.figures.style import luminance
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")
CAUSES = pd.DataFrame({"cause_amount": [520.0, -1800.0, 900.0]}, index=["heat wanted", "performance", "price"])
NAMES = ("Boiler", "Heat pump")


def test_each_step_begins_where_the_last_one_ended() -> None:
    ax = cause_steps(CAUSES, start=2000.0, names=NAMES, notation=IRISH)
    bars = [bar for container in ax.containers for bar in container]
    assert [bar.get_width() for bar in bars] == CAUSES["cause_amount"].tolist()
    assert [bar.get_x() for bar in bars] == pytest.approx([2000.0, 2520.0, 720.0])
    assert texts(ax, "cause") == list(CAUSES.index)
    assert [text.replace("\u00a0", " ") for text in texts(ax, "amount")] == ["€520 more", "€1,800 less", "€900 more"]
    assert texts(ax, "post name") == ["Boiler, €2,000", "Heat pump, €1,620"]
    assert_legible(ax)


def test_more_and_less_are_told_apart_in_grey() -> None:
    assert luminance(LESS) - luminance(MORE) > 0.5


def test_the_sentence_names_the_largest_first() -> None:
    said = cause_steps_sentence(CAUSES, start=2000.0, names=NAMES, notation=IRISH).replace("\u00a0", " ")
    assert said == (
        "From €2,000 (Boiler) to €1,620 (Heat pump) a year: performance €1,800 less, price €900 more, "
        "heat wanted €520 more."
    )
    nothing = cause_steps_sentence(CAUSES * 0.0, start=2000.0, names=NAMES, notation=IRISH)
    assert nothing.endswith("nothing moves it.")
