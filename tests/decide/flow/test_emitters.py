"""The ladder of emitters: cheapest sets against every set there is, savings paired by sample, and its sentences."""

from __future__ import annotations

from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.emitters import (
    EmitterLadder,
    cheapest_set,
    cheapest_sets,
    choices_by_room,
    emitter_ladder,
    quantiles,
)
from simkit.errors import CaseError
from simkit.year.rooms import rooms_of
from simkit.year.simulate import simulate

SAMPLE = Path(__file__).parents[3] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home() -> Case:
    """The sample with a stated loss and few samples, so that its ranges come quickly."""
    changes = {"home.loss.w_per_k": 250.0, "uncertainty.lanes": 16, "option": None, "baseline": None}
    return vary(read_case(SAMPLE), changes)


@cache
def ladder() -> EmitterLadder:
    return emitter_ladder(home(), lowest_c=45.0)


def test_no_other_set_reaches_a_flow_for_less() -> None:
    """Every one of the sets (each room's own emitter or a candidate) is tried at every flow of a grid."""
    choices = choices_by_room(home(), 250.0)
    every = list(product(*choices))
    assert len(every) == np.prod([len(room) for room in choices])
    flows = np.array([max(choice.flow_needed_c for choice in chosen) for chosen in every])
    prices = np.array([sum(choice.price for choice in chosen) for chosen in every])
    for flow in np.arange(34.0, 62.0, 0.5):
        reached = prices[flows <= flow]
        chosen = cheapest_set(choices, float(flow))
        if not len(reached):
            assert chosen is None
        else:
            assert chosen is not None
            assert sum(choice.price for choice in chosen) == pytest.approx(reached.min())
            assert max(choice.flow_needed_c for choice in chosen) <= flow + 1e-9


def test_cheapest_sets_fall_in_flow_and_rise_in_price() -> None:
    found = cheapest_sets(choices_by_room(home(), 250.0))
    flows, prices = [flow for flow, _ in found], [sum(c.price for c in chosen) for _, chosen in found]
    assert flows == sorted(flows, reverse=True)
    assert prices == sorted(prices)
    assert prices[0] == 0.0


def test_a_bigger_candidate_never_needs_hotter_water() -> None:
    for room in choices_by_room(home(), 250.0):
        same = sorted((c for c in room if c.exponent == room[0].exponent), key=lambda c: c.rated_kw)
        assert [c.flow_needed_c for c in same] == sorted((c.flow_needed_c for c in same), reverse=True)


def test_every_rung_is_a_year_that_holds_its_rooms() -> None:
    for rung in ladder().rungs:
        assert rung.year.case.controls.design_flow_c == rung.flow_c
        rooms = rooms_of(rung.year).table
        assert (rooms["needed_c"] - rooms["design_c"]).max() < 0.02
        alone = simulate(rung.year.case)
        assert alone.bill.total == rung.year.bill.total


def test_the_table_of_the_ladder() -> None:
    table = ladder().table()
    assert (table["design_flow_c"].diff().dropna() < 0).all()
    assert (table["price"].diff().dropna() > 0).all()
    assert table["share_of_saving"].iloc[-1] == pytest.approx(1.0)
    assert (table["saving_low"] < table["saving_high"]).all()
    assert (table["payback_low"] <= table["payback"]).all()
    assert (table["payback"] <= table["payback_high"]).all()
    assert table["changed"].iloc[0] == "study: taller panel"


def test_savings_are_paired_by_sample() -> None:
    """Years apart spread by weather and prices; the difference of two that meet the same spreads far less."""
    rung = ladder().rungs[0]
    saved = ladder().saving_samples(rung)
    assert saved.std() < 0.25 * ladder().today.samples.total.std()
    low, _, high = quantiles(ladder().payback_samples(rung))
    by_hand = rung.price * ladder().price_factors / saved
    assert (low, high) == (pytest.approx(np.sort(by_hand)[2]), pytest.approx(np.sort(by_hand)[14]))


def test_a_sample_that_saves_nothing_never_pays_back() -> None:
    assert quantiles(np.array([np.inf, 3.0, 5.0, np.inf, 4.0])) == (3.0, 5.0, np.inf)


def test_a_curve_set_too_hot_is_turned_down_first_at_no_price() -> None:
    found = emitter_ladder(vary(home(), {"controls.design_flow_c": 60.0}), lowest_c=55.0)
    first = found.rungs[0]
    assert (first.price, first.changed) == (0.0, ())
    assert found.saving(first) > 0


def test_without_candidates_there_is_no_ladder() -> None:
    plain = vary(home(), {"room": [{"name": "all", "loss_kw": 5.5, "rated_kw": 12.0, "rated_at_k": 50.0}]})
    with pytest.raises(CaseError, match=r"candidate is given for no room. Add candidate = "):
        emitter_ladder(plain)
