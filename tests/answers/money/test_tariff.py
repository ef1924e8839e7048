"""What is said of ranked tariffs: the one that suits, what stands against it, how sure it is, and every cell."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import simkit as sk
from answers.cells import assert_cells_are_the_data
from simkit.answers.answer import Answer
from simkit.answers.money.tariff import reasons, tariff_answer, tariff_sentences
from simkit.answers.wording import in_futures
from simkit.decide.tariff.day_ahead import day_ahead
from simkit.decide.tariff.ranking import TariffRanking, rank_tariffs
from simkit.decide.tariff.shifting import NOT_AT_ALL

SAMPLES = Path(__file__).parents[3] / "sample_data"
CAR = {"km_per_week": 250.0, "charger_kw": 7.4, "from": "18:00", "to": "07:00"}


def files(*names: str) -> list[Path]:
    return [SAMPLES / "tariffs" / f"estuary_{name}.toml" for name in names]


@pytest.fixture(scope="module")
def home() -> sk.types.Case:
    case = sk.read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    return sk.vary(case, {"car": CAR, "site.fuse_a": 63, "uncertainty.lanes": 16, "home.loss": {"w_per_k": 200.0}})


@pytest.fixture(scope="module")
def ranking(home: sk.types.Case) -> TariffRanking:
    return rank_tariffs(home, files("long_night", "peak_power"))


@pytest.fixture(scope="module")
def answer(ranking: TariffRanking) -> Answer:
    return ranking.answer()


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_the_answer_comes_first_with_its_number_its_range_and_against_what(
    ranking: TariffRanking, answer: Answer
) -> None:
    winner = ranking.winner
    assert winner is not ranking.own
    first = plain(answer.sentences[0])
    assert re.fullmatch(
        rf"“{winner.name}” is the cheapest of 3 tariffs for this home: about €[\d,]+ a year \(likely €[\d,]+ to €[\d,]+\), "
        rf"€[\d,]+ less than now on “{ranking.own.name}” \(likely €[\d,]+ to €[\d,]+ less\)\.",
        first,
    )


def test_why_it_wins_names_prices_share_and_what_moving_saves(ranking: TariffRanking, answer: Answer) -> None:
    said = plain(answer.sentence)
    assert f"on average, against €0.{round(1e4 * ranking.own.as_is.bill.mean_price_per_kwh)} on" in said
    assert re.search(r"\d+ % of what you buy falls into “Night” at €0\.18", said)
    moved = f"{round(-ranking.winner.behaviour_effect):,}"
    assert f"Moving use is counted in, and saves €{moved} a year: {'; '.join(ranking.winner.shifted.moved)}." in said
    assert f"“{ranking.winner.name}” costs least {in_futures(ranking.certainty)}." in said


def test_every_cell_is_the_data(ranking: TariffRanking, answer: Answer) -> None:
    told = assert_cells_are_the_data(answer)
    for row, found, shown in zip(ranking.rows, told["tariffs"], told["tables"]["tariffs"], strict=True):
        assert found["name"] == row.name
        assert found["shifted"]["total"] == shown["year_cost"] == row.shifted.cost
        assert found["as_is"]["total"] == shown["as_is_cost"]
        assert found["range"] == [shown["year_cost_low"], shown["year_cost_high"]]
        if shown["more_cost"] is not None:
            assert found["saving"] == pytest.approx(-shown["more_cost"])
    assert told["why"] in told["answer"]


def test_options_in_another_order_give_the_same_words(home: sk.types.Case, ranking: TariffRanking) -> None:
    turned = rank_tariffs(home, files("peak_power", "long_night"))
    assert turned.answer().sentences == ranking.answer().sentences


def test_the_own_tariff_is_said_to_be_the_one_to_keep(home: sk.types.Case) -> None:
    on_night = sk.vary(home, {"tariff": "../tariffs/estuary_long_night.toml"})
    found = rank_tariffs(on_night, files("flat"))
    assert found.winner is found.own
    first = plain(found.answer(ranged=False).sentences[0])
    assert first.startswith("“Estuary long night”, which you have, is the cheapest of 2 tariffs for this home: about €")


def test_a_home_too_cold_is_said_first_and_nothing_is_called_cheapest(home: sk.types.Case) -> None:
    cold = sk.vary(home, {"controls.periods": [], "controls.setback_c": 16.0, "comfort.setback_c": 20.0})
    found = rank_tariffs(cold, files("long_night"), shifting=NOT_AT_ALL)
    said = found.answer(ranged=False)
    assert not found.winner.shifted.year.comfort.held
    assert said.sentences[0].startswith("The home is too cold: ")
    assert "; no tariff mends that. As it is, “" in said.sentences[0]
    assert "cheapest" not in said.sentence.replace("falls into the cheapest quarter", "")
    assert any(row["comfort"].startswith("too cold") for row in assert_cells_are_the_data(said)["tables"]["tariffs"])


def test_hourly_prices_say_what_is_reached_of_perfect_knowledge(home: sk.types.Case) -> None:
    found = day_ahead(sk.vary(home, {"tariff": "../tariffs/estuary_day_ahead.toml", "home.loss": {"w_per_k": 150.0}}))
    said = found.answer()
    assert re.fullmatch(
        r"Knowing each day's prices saves €\d+ a year; yesterday's prices reach \d+ % of that, fixed hours by the clock "
        r"\d+ %\.",
        plain(said.sentences[0]),
    )
    told = assert_cells_are_the_data(said)
    assert [row["year_cost"] for row in told["tables"]["hourly_prices"]] == list(told["costs"].values())


def test_one_tariff_alone_has_reasons_and_no_rival(home: sk.types.Case) -> None:
    found = rank_tariffs(home, shifting=NOT_AT_ALL)
    answer = tariff_answer(found, ranged=False)
    assert tariff_sentences(found, answer.notation, ranged=False)[-1] == reasons(found, answer.notation)
    assert "against" not in reasons(found, answer.notation)


@pytest.mark.short
@pytest.mark.parametrize(
    ("share", "words"),
    [
        (1.0, "in all simulated futures"), (0.99, "in nearly all simulated futures"),
        (0.42, "in 4 of 10 simulated futures"), (0.02, "in hardly any simulated future"),
    ],
)  # fmt: skip
def test_a_share_of_futures_in_words(share: float, words: str) -> None:
    assert in_futures(share) == words
