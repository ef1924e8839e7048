"""Load by band: a bar for each band, stacked by use, price and share beside it."""

from __future__ import annotations

import pandas as pd
import pytest

from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures import band_load, band_load_sentence
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

BANDS = pd.DataFrame(
    {"heating_kwh": [2600.0, 900.0], "household_kwh": [2100.0, 400.0], "car_kwh": [0.0, 2000.0],
     "price_per_kwh": [0.3698, 0.0995], "share": [0.5875, 0.4125]},
    index=["Other hours", "Small hours"],
)  # fmt: skip


def test_the_cheapest_band_is_on_top_and_uses_are_stacked() -> None:
    ax = band_load(BANDS, notation=IRISH)
    assert texts(ax, "band") == ["Small hours", "Other hours"]
    assert [patch.get_width() for patch in ax.patches] == [900.0, 400.0, 2000.0, 2600.0, 2100.0, 0.0]
    assert texts(ax, "share") == ["41\u00a0% of all", "59\u00a0% of all"]
    assert [text.get_text() for text in ax.get_legend().get_texts()] == ["Heating", "Household", "Car"]
    assert_legible(ax)


def test_the_sentence() -> None:
    assert band_load_sentence(BANDS, notation=IRISH) == (
        "41\u00a0% of what is bought falls into Small hours at €0.0995/kWh."
    )
    assert band_load_sentence(BANDS.iloc[:1]) == "All of it is bought at 0.3698/kWh on average."


def test_a_frame_without_prices_is_refused() -> None:
    with pytest.raises(CaseError, match="column price_per_kwh is missing"):
        band_load(BANDS.drop(columns="price_per_kwh"))
