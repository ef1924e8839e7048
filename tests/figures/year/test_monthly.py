"""Month by month: amounts printed, uses stacked, months named by their number, and what is refused."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from matplotlib.axes import Axes

from figures.invented import monthly_frame
from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures.year.monthly import months
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

MONTHLY = monthly_frame()


def heights(ax: Axes, label: str) -> np.ndarray:
    (found,) = [container for container in ax.containers if container.get_label() == label]
    return np.array([bar.get_y() + bar.get_height() for bar in found])


def test_strips_carry_units_and_months_their_names() -> None:
    axes = months(MONTHLY, notation=IRISH)
    assert [ax.get_ylabel() for ax in axes] == ["Cost a month [€]", "Electricity by use [kWh]"]
    for ax in axes:
        assert [label.get_text() for label in ax.get_xticklabels()][::11] == ["Jan", "Dec"]
        assert_legible(ax)


def test_amounts_and_stacks_are_those_of_the_frame() -> None:
    cost, use = months(MONTHLY)
    assert texts(cost, "amount") == [IRISH.number(value) for value in MONTHLY["month_cost"]]
    np.testing.assert_allclose(heights(cost, "month_cost"), MONTHLY["month_cost"])
    np.testing.assert_allclose(heights(use, "Pumps, standby"), MONTHLY["import_kwh"])
    assert texts(use, "end") == ["Household", "Heat pump", "Direct heaters", "Pumps, standby"]


def test_a_boiler_has_a_strip_of_fuel() -> None:
    axes = months(MONTHLY[["household_kwh"]].assign(fuel_kwh=900.0))
    assert [ax.get_ylabel() for ax in axes] == ["Electricity by use [kWh]", "Fuel [kWh]"]
    np.testing.assert_array_equal(heights(axes[1], "Fuel"), np.full(12, 900.0))


def test_a_month_that_pays_stands_below_zero() -> None:
    frame = pd.DataFrame({"month_cost": [50.0, -20.0]}, index=[6, 7])
    (ax,) = months(frame)
    assert texts(ax, "amount") == ["50", "−20"]
    assert ax.get_ylim()[0] < -20
    assert [label.get_text() for label in ax.get_xticklabels()] == ["Jun", "Jul"]


@pytest.mark.parametrize(
    ("index", "text"),
    [
        ([0, 1], "months: 0 is not a month from 1 to 12, each once. Give the frame an index of month numbers."),
        ([2, 2], "months: a month that comes twice is not a month from 1 to 12, each once. "
                 "Give the frame an index of month numbers."),
    ],
)  # fmt: skip
def test_months_are_numbers(index: list[int], text: str) -> None:
    with pytest.raises(CaseError) as caught:
        months(pd.DataFrame({"month_cost": [1.0, 2.0]}, index=index))
    assert str(caught.value) == text


def test_a_frame_of_something_else() -> None:
    text = (
        "months: a frame holds neither cost nor energy. Pass the months of a year, with month_cost or energies in kWh."
    )
    with pytest.raises(CaseError) as caught:
        months(MONTHLY[["outdoor_c"]])
    assert str(caught.value) == text
