"""A calendar of daily cost: a field for each day, darker where more expensive."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.reading import assert_legible, texts
from simkit.errors import CaseError
from simkit.figures import cost_calendar, cost_calendar_sentence, style
from simkit.notation import Notation

IRISH = Notation("en_IE", "EUR")

DAYS = pd.date_range("2025-01-01", "2025-12-31")
DAILY = pd.Series(8.0 + 5.0 * np.cos(2 * np.pi * (DAYS.day_of_year - 15) / 365), index=DAYS)


def test_every_day_has_a_field_in_its_month_and_the_most_expensive_are_darkest() -> None:
    ax = cost_calendar(DAILY, notation=IRISH)
    fields = {patch.get_gid(): patch for patch in ax.patches if patch.get_gid()}
    assert len(fields) == 365
    from matplotlib.colors import to_hex

    assert to_hex(fields["2025-01-15"].get_facecolor()) == style.CHEAP_TO_EXPENSIVE[-1]
    assert to_hex(fields["2025-07-15"].get_facecolor()) == style.CHEAP_TO_EXPENSIVE[0]
    assert fields["2025-03-01"].get_y() + fields["2025-03-01"].get_height() / 2 == pytest.approx(2)
    assert texts(ax, "month")[0] == IRISH.number(float(DAILY[DAILY.index.month == 1].sum()))
    assert_legible(ax)


def test_the_sentence() -> None:
    assert cost_calendar_sentence(DAILY, notation=IRISH) == (
        "The most expensive day is 15 January at €13.00, the cheapest 16 July at €3.00; the most expensive tenth of the days takes "
        "16\u00a0% of the year."
    )


@pytest.mark.parametrize("wrong", [pd.Series([1.0, 2.0]), DAILY * np.nan, DAILY.iloc[:0]])
def test_what_is_no_year_of_days(wrong: pd.Series) -> None:
    with pytest.raises(CaseError, match="calendar: the costs are not a series of finite amounts by date"):
        cost_calendar(wrong)
