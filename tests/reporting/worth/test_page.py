"""The page of a worth: self-contained, escaped, the same each time, with pictures, ranges, ledgers and yearly tables."""

from __future__ import annotations

from functools import lru_cache

import pytest
from invented_money import CHEAP, DEAR, OLD, compared, home

from reporting.test_on_page import Reader
from simkit.case.build import vary
from simkit.finance.breakeven import break_evens, heat_prices
from simkit.finance.offers import offer_pair
from simkit.finance.risk import prospects, regret
from simkit.finance.sensitivity import tornado
from simkit.finance.worth import Worth, worth
from simkit.reporting.page import NARROW_SPACE
from simkit.reporting.worth.page import weighing_page
from simkit.reporting.worth.terminal import Weighed

pytest.importorskip("matplotlib")


@lru_cache(maxsize=1)
def weighed() -> Worth:
    return worth(home(), comparison=compared())


@lru_cache(maxsize=1)
def found() -> Weighed:
    made = weighed()
    sampled = prospects(made, samples=32)
    even = break_evens(heat_prices(made.option(CHEAP).year, made.base.year))
    pair = offer_pair(made, CHEAP, DEAR, sampled=sampled)
    return Weighed(made, sampled, pair, tornado(made, DEAR, against=CHEAP), (DEAR, CHEAP), even, regret(made))


@lru_cache(maxsize=1)
def page() -> Reader:
    return Reader(weighing_page(found(), home()))


def test_the_page_fetches_nothing_and_shows_every_picture_with_its_sentence() -> None:
    assert not page().open
    assert all(link.startswith("data:") for link in page().links)
    sentences = [str(image["alt"]) for image in page().images]
    assert len(sentences) == 5
    assert sentences[0].startswith(f"{DEAR} is cheaper") or sentences[0].startswith(f"{CHEAP} is cheaper")
    assert sentences[3].startswith(f"{DEAR} against {CHEAP}. What decides it: ")
    assert all(sentence.endswith(".") for sentence in sentences)


def test_it_holds_what_was_worked_out() -> None:
    words = " ".join(page().text.replace(NARROW_SPACE, ",").split())
    made = weighed()
    for name in (CHEAP, DEAR):
        measured = made.measures(name)
        assert f"{measured.gain_today:+,.0f}" in words
        assert measured.rate.words in words
        assert f"{made.option(name).annualised_cost:,.0f}" in words
    sampled = found().sampled
    assert sampled is not None
    for years in (3, 7, 15):
        assert f"{sampled.odds(DEAR, years):.0%}" in words
        assert f"Odds {years} y" in words
    assert sampled.convergence_sentence(DEAR) in words
    for heading in ("Was it worth it", "If prices go another way", "Carbon", "What the ranges stand on", "Ledger",
                    "Year by year", f"against {OLD}", "fuel grows dear", "no guarantee"):  # fmt: skip
        assert heading in words
    for value in made.option(DEAR).cash["total_cost"]:
        assert f"{value:,.0f}" in words


def test_without_samples_there_is_no_word_of_ranges() -> None:
    bare = Reader(weighing_page(Weighed(weighed()), home()))
    assert "Odds" not in bare.text
    assert "Likely" not in bare.text
    assert "What the ranges stand on" not in bare.text
    assert [str(image["alt"])[:10] for image in bare.images] == [f"{CHEAP} cos"[:10]]


def test_a_name_is_shown_as_it_stands_and_the_page_is_the_same_each_time() -> None:
    odd = vary(home(), {"name": "<b>Home</b> & Co"})
    once = weighing_page(Weighed(weighed()), odd)
    assert "<b>Home" not in once
    assert "<b>Home</b> & Co" in Reader(once).text
    assert once == weighing_page(Weighed(weighed()), odd)
