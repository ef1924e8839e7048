"""Two offers: lines matched by hand, promise and simulated year at one boundary, and the questions that follow."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from homes import SAMPLES, sample

from simkit.answers.money.offers import offers_answer
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.cli import answer
from simkit.errors import CaseError
from simkit.finance.beside import Line, Offers, offers
from simkit.notation import Notation
from simkit.reporting.as_data import answer_json
from simkit.reporting.on_page import answer_page
from simkit.reporting.on_terminal import answer_text

IRISH = Notation("en_IE", "EUR")
DAY = dt.date(2026, 1, 1)


def line(label: str, amount: float, kind: str = "quote", **more: Any) -> dict[str, Any]:
    return {"label": label, "amount": amount, "date": DAY, "kind": kind} | more


def two(**cheap: Any) -> Case:
    """A hot, short offer, changed as said, and a cool and whole one."""
    first = {
        "name": "Short offer", "heat_source": "heat_pump", "controls.design_flow_c": 55.0,
        "ledger.item": [line("unit", 9000.0), line("works", 500.0, "enabling"), line("grant", 3000.0, "grant")],
    } | cheap  # fmt: skip
    second = {
        "name": "Whole offer", "heat_source": "heat_pump", "controls.design_flow_c": 45.0,
        "emitters.sized_for_flow_c": 45.0, "heat_pump.promised_spf": 2.0, "heat_pump.promised_boundary": "h4",
        "heat_pump.promised_flow_c": 45.0, "ledger.valid_until": dt.date(2026, 3, 1), "ledger.cancelling": 0.0,
        "ledger.item": [
            line("unit", 9800.0), line("pipes and pump", 700.0, "enabling"), line("tank away", 480.0, "removal"),
            line("grant", 3000.0, "grant"),
        ],
    }  # fmt: skip
    return vary(sample("estuary_bungalow"), {"option": [nested(first), nested(second)], "baseline": None})


def nested(flat: dict[str, Any]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for path, value in flat.items():
        table = made
        *above, key = path.split(".")
        for name in above:
            table = table.setdefault(name, {})
        table[key] = value
    return made


def test_lines_stand_beside_each_other() -> None:
    found = offers(two())
    assert (found.cheap.name, found.cheap.net) == ("Short offer", 6500.0)
    assert (found.expensive.name, found.expensive.net) == ("Whole offer", 7980.0)
    assert found.lines == (
        Line("unit", "quote", 9000.0, 9800.0), Line("grant", "grant", -3000.0, -3000.0),
        Line("works / pipes and pump", "enabling", 500.0, 700.0), Line("tank away", "removal", None, 480.0),
    )  # fmt: skip
    assert sum(one.cheap or 0.0 for one in found.lines) == found.cheap.net
    assert sum(one.expensive or 0.0 for one in found.lines) == found.expensive.net


def test_what_is_left_out_hot_or_unpromised_is_asked_of_who_left_it() -> None:
    found = offers(two())
    asked = {name: [q for who, q in found.questions(IRISH) if who == name] for name in ("Short offer", "Whole offer")}
    short = " ".join(asked["Short offer"])
    assert "Is “tank away” (€480 in the other offer) in your price" in short
    assert "water of 55 °C on the coldest day, and the other offer 45 °C" in short
    assert "Which SPF do you promise" in short
    assert "Until when does the offer hold?" in short
    assert len(asked["Whole offer"]) == 1  # modest, clear and whole: only the room-by-room calculation is asked for


def test_a_promise_is_held_against_the_year_at_its_own_boundary() -> None:
    promise = {"heat_pump.promised_spf": 4.6, "heat_pump.promised_boundary": "h2", "heat_pump.promised_flow_c": 35.0}
    found = offers(two(**promise))
    assert found.cheap.promised == (4.6, "h2")
    assert found.cheap.simulated == found.cheap.year.spf.h2
    said = " ".join(question for _, question in found.questions(IRISH))
    assert "promised for 35 °C, and the offer sends 55 °C on the coldest day" in said
    assert "An SPF of 4.60 (H2) is promised, and the simulated year comes to" in said


def test_a_promise_needs_its_boundary() -> None:
    home = sample("estuary_bungalow")
    with pytest.raises(CaseError, match="says nothing without its boundary"):
        vary(home, {"heat_pump.promised_spf": 3.9})
    with pytest.raises(CaseError, match="belongs to promised_spf, which is missing"):
        vary(home, {"heat_pump.promised_flow_c": 45.0})


def test_the_offers_of_the_sample_are_found_and_named_ones_taken() -> None:
    case = read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    found = offers(case)
    assert (found.cheap.name, found.expensive.name) == ("Heat pump, as installed", "Two fan convectors")
    assert isinstance(offers(case, (found.expensive.name, found.cheap.name)), Offers)
    with pytest.raises(CaseError, match="is no option that has a ledger"):
        offers(case, ("Oil boiler, as lived", found.cheap.name))
    with pytest.raises(CaseError, match="can't be set side by side"):
        offers(case, (found.cheap.name, found.cheap.name))


def test_every_face_shows_the_same_lines() -> None:
    said = offers_answer(offers(two()))
    for face in (answer_text(said), answer_page(said), answer_json(said)):
        assert "tank away" in face
    assert "leaves out" in said.sentence


def test_the_command_asks(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["offers", str(SAMPLES / "estuary_bungalow" / "case.toml"), "--json"]) == 0
    assert '"questions"' in capsys.readouterr().out


def test_what_is_there_is_no_offer_beside_two_others() -> None:
    kept = nested({"name": "Boiler", "heat_source": "boiler", "ledger.item": [line("new boiler", 4600.0)]})
    case = vary(two(), {"option": [kept, *two().stated["option"]], "baseline": "Boiler"})
    assert {offer.name for offer in offers(case).both} == {"Short offer", "Whole offer"}
    one = vary(case, {"option": [kept, two().stated["option"][1]]})
    found = offers(one)
    assert {offer.name for offer in found.both} == {"Boiler", "Whole offer"}
    sides = offers_answer(found).tables[1].frame
    assert sides.loc["Machine"].tolist()[0] == "boiler"
    assert not any("You send water of" in asked for _, asked in found.questions(IRISH))
