"""`simkit tariffs`: one command ranks the tariffs of a home and says why the winner wins."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask


@pytest.fixture
def quick(bungalow: Path) -> Path:
    """The sample bungalow with its loss stated and few samples, so that a ranking takes a second."""
    text = bungalow.read_text(encoding="utf-8")
    text = text.replace('fuel_amount = 1850.0\nfuel_unit = "litre"', "w_per_k = 220.0")
    bungalow.write_text(f"{text}\n[uncertainty]\nlanes = 16\n".replace("[[option]]", "[[option]]"), encoding="utf-8")
    head, _, options = bungalow.read_text(encoding="utf-8").partition("[[option]]")
    tail = options.rpartition("[uncertainty]")
    bungalow.write_text(f"{head}[uncertainty]{tail[2]}\n[[option]]{tail[0]}", encoding="utf-8")
    return bungalow


def tariff_files(bungalow: Path, *names: str) -> list[Path]:
    return [bungalow.parents[1] / "tariffs" / f"estuary_{name}.toml" for name in names]


def test_six_tariffs_are_ranked_and_the_winner_says_why(ask: Ask, quick: Path) -> None:
    names = ("flat", "long_night", "short_night", "day_ahead", "peak_power", "blocks")
    found = ask("tariffs", quick, *tariff_files(quick, *names), "--json")
    assert found.code == 0
    made = json.loads(found.out)
    assert len(made["tariffs"]) == 6
    assert made["own"] == "Estuary flat rate"
    assert made["answer"][0].startswith(f"“{made['winner']}” is the cheapest of 6 tariffs for this home: about €")
    assert made["why"] in made["answer"]
    totals = [row["shifted"]["total"] for row in made["tariffs"]]
    assert totals == sorted(totals)
    own = next(row for row in made["tariffs"] if row["name"] == made["own"])["as_is"]["total"]
    for row in made["tariffs"]:
        assert row["shifted"]["total"] == pytest.approx(own + row["price_effect"] + row["behaviour_effect"])
        assert row["as_is"]["total"] == pytest.approx(sum(row["as_is"]["months"]))
        assert row["range"][0] < row["shifted"]["total"] < row["range"][1]
        assert set(row["as_is"]) == set(row["shifted"])


def test_the_text_holds_the_answer_the_table_and_what_is_moved(ask: Ask, quick: Path) -> None:
    found = ask("tariffs", quick, *tariff_files(quick, "short_night"), "--no-range")
    assert found.code == 0
    text = " ".join(found.out.split())
    assert "tariffs for this home: about €" in text
    assert "(yours)" in text
    assert "What is moved" in text
    assert "Estimates under the stated assumptions, not a guarantee." in text
    assert "local codes and the advice of licensed trades come before anything said here" in text


def test_without_files_those_sold_in_the_home_s_country_and_currency_are_ranked(ask: Ask, quick: Path) -> None:
    made = json.loads(
        ask("tariffs", quick, "--no-range", "--keep", "water", "--keep", "rooms", "--keep", "car", "--json").out
    )
    names = {row["name"] for row in made["tariffs"]}
    assert len(names) == 6
    assert all(name.startswith("Estuary") for name in names)
    assert all(row["behaviour_effect"] == 0 and row["range"] is None for row in made["tariffs"])
    assert made["certainty"] is None


def test_a_tariff_of_another_country_is_ranked_where_it_is_named_or_says_no_country(ask: Ask, quick: Path) -> None:
    keep = ("--no-range", "--keep", "water", "--keep", "rooms", "--keep", "car", "--json")
    folder = quick.parents[1] / "tariffs"
    named = json.loads(ask("tariffs", quick, folder / "canal_roof.toml", *keep).out)
    assert {row["name"] for row in named["tariffs"]} == {"Estuary flat rate", "Canal roof"}
    roof = folder / "canal_roof.toml"
    roof.write_text(roof.read_text(encoding="utf-8").replace('sold_in = "BE"\n', ""), encoding="utf-8")
    names = {row["name"] for row in json.loads(ask("tariffs", quick, *keep).out)["tariffs"]}
    assert "Canal roof" in names
    assert "Canal day and night" not in names


def test_a_picture_is_written(ask: Ask, quick: Path, tmp_path: Path) -> None:
    found = ask("tariffs", quick, *tariff_files(quick, "long_night"), "--no-range", "--figure", tmp_path / "bars.svg")
    assert found.code == 0
    assert (tmp_path / "bars.svg").read_text(encoding="utf-8").lstrip().startswith("<?xml")
    assert f"Written: {tmp_path / 'bars.svg'}" in found.err


def test_hourly_prices_are_set_against_perfect_knowledge(ask: Ask, quick: Path) -> None:
    words = ("tariffs", quick, *tariff_files(quick, "day_ahead"), "--no-range", "--day-ahead", "--json")
    made = json.loads(ask(*words).out)["day_ahead"]["Estuary day-ahead"]
    assert list(made["costs"]) == ["as it is", "by the clock", "by yesterday's prices", "by the day's own prices"]
    assert made["not_knowing"] == pytest.approx(
        made["costs"]["by yesterday's prices"] - made["costs"]["by the day's own prices"]
    )


def test_a_standby_and_a_hob_on_gas_are_visible(ask: Ask, quick: Path) -> None:
    text = quick.read_text(encoding="utf-8").replace("annual_kwh = 3000.0", "annual_kwh = 3000.0\nstandby_w = 60")
    gas = 'kind = "gas"\nunit = "kWh"\nkwh_per_unit = 1.0\nprice_per_unit = 0.11\nstanding_per_day = 0.4\nother_use_kwh = 500'
    head, rest = text.split("[fuel]\n", maxsplit=1)
    quick.write_text(f"{head}[fuel]\n{gas}\n\n[household]{rest.partition('[household]')[2]}", encoding="utf-8")
    found = ask("tariffs", quick, *tariff_files(quick, "long_night"), "--no-range", "--keep", "rooms")
    text = " ".join(found.out.split())
    # own: 60 W × 8760 h = 525.6 kWh of 3000
    assert "Of the household's 3,000 kWh, 526 kWh (18 %) is a standby of 60 W that never stops" in text
    assert "Giving up gas altogether" in text
    assert "Have the supply cut off and the pipes made safe by a licensed gas engineer, never by yourself." in text
    assert "so that carbon monoxide can form" in text


FAULTS = [
    (("--figure", "bars.txt"), "--figure bars.txt does not end in .png or .svg or .pdf. Write for example bars.png."),
    (("nothing.toml",), "nothing.toml: is not there."),
]


@pytest.mark.parametrize(("words", "sentence"), FAULTS)
def test_a_slip_is_one_plain_line(ask: Ask, quick: Path, words: tuple[str, ...], sentence: str) -> None:
    found = ask("tariffs", quick, *words)
    assert found.code == 2
    assert found.out == ""
    assert found.err.startswith(sentence)
    assert len(found.faults) == 1


def test_a_tariff_in_another_currency_is_one_plain_line(ask: Ask, quick: Path) -> None:
    found = ask("tariffs", quick, quick.parents[1] / "tariffs" / "moor_night_meter.toml")
    assert found.code == 2
    assert found.err.startswith('case.toml: currency = "EUR" is not the currency of the tariff, "GBP".')


def test_a_price_file_that_is_short_is_an_error_of_data(ask: Ask, quick: Path) -> None:
    prices = quick.parents[1] / "tariffs" / "invented_day_ahead_2025.csv"
    prices.write_text("\n".join(prices.read_text(encoding="utf-8").splitlines()[:4000]), encoding="utf-8")
    found = ask("tariffs", quick, *tariff_files(quick, "day_ahead"))
    assert found.code == 3
    assert found.err.startswith("invented_day_ahead_2025.csv: 4,763 of the 8,760 intervals of 2025 are missing")
