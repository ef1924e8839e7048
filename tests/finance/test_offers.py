"""Two offers in; which is cheaper over its life, by how much, and when it overtakes, out."""

from __future__ import annotations

from math import isfinite

import numpy as np
import pytest
from invented_money import CHEAP, DEAR, MONEY, OLD, compared, home

from simkit.errors import CaseError
from simkit.finance.offers import offer_pair
from simkit.finance.risk import prospects
from simkit.finance.worth import worth


def test_side_by_side_by_hand() -> None:
    weighed = worth(
        home(dear=7500.0, money={**MONEY, "part": None, "service": {"heat_pump": 0.0, "boiler": 0.0}}),
        comparison=compared(),
    )
    pair = offer_pair(weighed, DEAR, CHEAP)
    cheap, dear = compared().years[1].bill.total, compared().years[2].bill.total
    assert (pair.cheap, pair.expensive) == (CHEAP, DEAR)
    assert pair.saved_today == 1500
    assert pair.extra_first_year == pytest.approx(cheap - dear)
    assert pair.extra_a_year == pytest.approx(cheap - dear)
    factor = (1 - 1.03**-15) / 0.03
    assert pair.gain == pytest.approx((cheap - dear) * factor - 1500)
    assert pair.gain_a_year == pytest.approx(pair.gain / factor)
    # discounted payback in closed form, against evenly within the year: less than a tenth of a year apart
    closed = -np.log(1 - 1500 * 0.03 / (cheap - dear)) / np.log(1.03)
    assert pair.overtaken == pytest.approx(closed, abs=0.1)
    assert pair.cumulated[CHEAP].iloc[0] == 6000
    late = pair.cumulated.index[pair.cumulated[DEAR] <= pair.cumulated[CHEAP]]
    assert late[0] - 1 < pair.overtaken <= late[0]


def test_ranges_of_a_pair() -> None:
    weighed = worth(home(), comparison=compared())
    assert offer_pair(weighed, CHEAP, DEAR).gain_range is None
    ranged = offer_pair(weighed, CHEAP, DEAR, sampled=prospects(weighed, samples=32))
    assert ranged.gain_range is not None
    assert ranged.gain_range.low < ranged.gain_range.high
    assert ranged.overtaken_range is not None
    assert ranged.overtaken_range.low <= ranged.overtaken_range.middle


def test_an_offer_that_is_never_overtaken() -> None:
    weighed = worth(home(dear=60_000.0), comparison=compared())
    pair = offer_pair(weighed, CHEAP, DEAR, sampled=prospects(weighed, samples=16))
    assert not isfinite(pair.overtaken)
    assert pair.overtaken_odds == 0


def test_one_offer_is_no_pair() -> None:
    with pytest.raises(CaseError) as caught:
        offer_pair(worth(home(), comparison=compared()), OLD, OLD)
    assert str(caught.value) == 'offers: "Old boiler" against itself says nothing. Name two different options.'


def test_what_differs_between_two_offers() -> None:
    pair = offer_pair(worth(home(), comparison=compared()), CHEAP, DEAR)
    assert pair.differences == (("controls.design_flow_c", "55", "42"), ("emitters.sized_for_flow_c", "55", "42"))
    against = offer_pair(worth(home(), comparison=compared()), OLD, DEAR)
    assert ("heat_source", '"boiler"', '"heat_pump"') in against.differences
