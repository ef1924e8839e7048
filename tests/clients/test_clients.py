"""A table of clients in: which rows become which case, and which reports are made, kept, refused and taken up again."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import pytest

from simkit.cli import answer
from simkit.clients import made as making
from simkit.clients.clients import clients
from simkit.clients.home import NOW, OFFER, home_of
from simkit.clients.outcomes import Clients
from simkit.clients.table import Row
from simkit.errors import CaseError
from simkit.reporting.seal import MARK, sealed

HEAD = "name,place,area,fuel a year,tariff,offer"
GOOD = ("Amber,estuary_bungalow,128,1850 litres,estuary_flat,12000", "Birch,canal_terrace,105,16000 kWh,,9800")
BAD = "Cedar,estuary_bungalow,128,plenty,,9000"
PLAIN = {"name": "A", "place": "estuary_bungalow", "area": "100", "fuel a year": "1500 litres", "offer": "9000"}


def _row(**values: str) -> Row:
    return Row(7, {key: value for key, value in {**PLAIN, **values}.items() if value})


def test_a_row_is_the_home_that_it_tells_over_its_place(tmp_path: Path) -> None:
    row = _row(
        **{
            "controls.design_flow_c": "45",
            "household.people": "3,5",
            "heat pump kW": "4.15",
            "tariff": "estuary_long_night",
        }
    )
    home = home_of(row, tmp_path / "homes.csv")
    case = home.case
    assert case.home.floor_area_m2 == 100.0
    assert case.home.loss.fuel_amount == 1500.0
    assert case.controls.design_flow_c == 45
    assert case.household.people == 3.5
    assert case.tariff.name == "Estuary long night"
    assert case.site.country == "IE"
    assert case.heat_pump is not None
    assert case.heat_pump.point is not None
    assert max(p.capacity_kw for p in case.heat_pump.point) == pytest.approx(4.15)
    assert [option["name"] for option in case.stated["option"]] == [NOW, OFFER]
    assert case.stated["option"][1]["ledger"]["item"][0]["amount"] == 9000.0
    assert case.money is not None
    assert case.money.measure is None
    assert home.told == len(row.values) - 1
    assert home.taken > 20
    assert home.assumed == len(case.assumed)


@pytest.mark.parametrize(
    ("values", "fault"),
    [
        ({"place": "estuary_bungalo"}, 'homes.csv line 7: place "estuary_bungalo" is neither a case file beside the table nor a sample home. Perhaps "estuary_bungalow" is meant.'),
        ({"fuel a year": "1500"}, 'homes.csv line 7: fuel a year "1500" is not an amount with its unit. Write for example 1850 litres, 16000 kWh, 1500 m3 or 900 kg.'),
        ({"fuel a year": ""}, "homes.csv line 7: fuel a year is missing. Write what heating burnt in a usual year, or add a column such as home.loss.w_per_k."),
        ({"offer": "11,500"}, 'homes.csv line 7: offer "11,500" may mean thousands or decimals. Write 11500 or 11.5.'),
        ({"offer": "dear"}, 'homes.csv line 7: offer "dear" is not a number. Write the number alone, such as 12500.'),
        ({"area": ""}, "homes.csv line 7: area is missing. Write the number alone, such as 128."),
        ({"name": ""}, "homes.csv line 7: name is missing. Give every home a name of its own."),
        ({"tariff": "estuary_flt"}, 'homes.csv line 7: tariff "estuary_flt" is neither a tariff file beside the table nor a sample. Perhaps "estuary_flat" is meant.'),
    ],
)  # fmt: skip
def test_a_bad_row_is_told_with_its_line(tmp_path: Path, values: dict[str, str], fault: str) -> None:
    with pytest.raises(CaseError) as refused:
        home_of(_row(**values), tmp_path / "homes.csv")
    assert [str(one) for one in refused.value.faults] == [fault]


@pytest.mark.parametrize(("key", "file"), [("place", "case file"), ("tariff", "tariff file")])
def test_a_name_too_long_for_any_file_is_one_that_is_not_there(tmp_path: Path, key: str, file: str) -> None:
    with pytest.raises(CaseError, match=rf'{key} "9{{90,}}.* is neither a {file} beside the table nor a sample'):
        home_of(_row(**{key: "9" * 5000}), tmp_path / "homes.csv")


def test_a_value_out_of_bounds_is_told_with_its_line(tmp_path: Path) -> None:
    with pytest.raises(CaseError) as refused:
        home_of(_row(area="5000"), tmp_path / "homes.csv")
    assert all(
        str(one).startswith("homes.csv line 7") and "line 7, homes" not in str(one) for one in refused.value.faults
    )
    assert "floor_area_m2 = 5000" in str(refused.value)


Begin = Callable[..., Clients]


@pytest.fixture
def begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Begin:
    """Run a table of rows with reports that are stubs, and hand back what became of it; `begun.names` were made."""
    seen: list[str] = []

    @dataclasses.dataclass
    class Stub:
        name: str

        def write(self, path: Path, *, force: bool) -> None:
            seen.append(self.name)
            path.write_bytes(sealed(f"<p>{MARK} {self.name}</p>".encode()))

    shown = {
        "country": "IE", "currency": "EUR", "advised": OFFER, "decision": "Yes.", "years": 20, "more": -100.0,
        "more_low": -300.0, "more_high": -20.0, "year_cost": 900.0, "level": 0, "water_short": False, "rooms": "Warm.",
        "cautions": ["Hot."],
    }  # fmt: skip
    monkeypatch.setattr("simkit.answers.report.report.report", lambda case, **_: Stub(case.name))
    monkeypatch.setattr(making, "_come_to", lambda made: shown | {"more": -100.0 if made.name == "Amber" else -200.0})

    def run(*rows: str, force: bool = False) -> Clients:
        (tmp_path / "homes.csv").write_text("\n".join([HEAD, *rows]), encoding="utf-8")
        seen.clear()
        return clients(tmp_path / "homes.csv", tmp_path / "out", force=force)

    run.names = seen  # type: ignore[attr-defined]
    return run


def test_a_bad_row_stops_no_other_and_what_is_done_is_kept(begun: Begin, tmp_path: Path) -> None:
    found = begun(GOOD[0], BAD, GOOD[1])
    assert begun.names == ["Amber", "Birch"]  # type: ignore[attr-defined]
    assert [str(fault)[:19] for fault in found.faults] == ["homes.csv line 3: f"]
    answer = found.answer()
    assert answer.sentences[0].startswith("1 home without a report, because of what is wrong with it: line 3 (Cedar)")
    assert list(answer.tables[0].frame.index) == ["Birch", "Amber"]  # the most saved first
    assert answer.tables[0].frame.loc["Birch", "offer_cost"] == -200.0
    again = begun(*GOOD)
    assert begun.names == []  # type: ignore[attr-defined]
    assert all(outcome.kept for outcome in again.outcomes)
    begun(GOOD[0], GOOD[1].replace("9800", "9900"))
    assert begun.names == ["Birch"]  # type: ignore[attr-defined]


def test_what_was_stopped_is_taken_up_again(begun: Begin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = making._come_to

    def stopped(made: object) -> dict[str, object]:
        if getattr(made, "name", "") == "Birch":
            raise KeyboardInterrupt
        return real(made)  # type: ignore[arg-type]

    monkeypatch.setattr(making, "_come_to", stopped)
    with pytest.raises(KeyboardInterrupt):
        begun(*GOOD)
    monkeypatch.setattr(making, "_come_to", real)
    begun(*GOOD)
    assert begun.names == ["Birch"]  # type: ignore[attr-defined]
    assert not list((tmp_path / "out").rglob("*.part"))


@pytest.mark.parametrize("changed", ["amber.html", "amber.toml"])
def test_what_was_changed_by_hand_is_never_written_over(begun: Begin, tmp_path: Path, changed: str) -> None:
    begun(*GOOD)
    path = tmp_path / "out" / changed
    path.write_text(path.read_text(encoding="utf-8") + "\n# mine\n", encoding="utf-8")
    mine = path.read_bytes()
    found = begun(GOOD[0].replace("12000", "13000"), GOOD[1])
    assert path.read_bytes() == mine
    assert begun.names == []
    (fault,) = found.faults
    assert str(fault).startswith("homes.csv line 2: ")
    assert "nothing that may have been changed by hand" in str(fault)
    begun(GOOD[0].replace("12000", "13000"), force=True)
    assert begun.names == ["Amber"]  # type: ignore[attr-defined]


def test_a_real_row_becomes_a_report(tmp_path: Path) -> None:
    (tmp_path / "homes.csv").write_text(f"{HEAD}\n{GOOD[1]}\n", encoding="utf-8")
    words = ("clients", tmp_path / "homes.csv", "-o", tmp_path / "out", "--csv", tmp_path / "sums.csv")
    assert answer([str(word) for word in words]) == 0
    head, row = (tmp_path / "sums.csv").read_text(encoding="utf-8").splitlines()
    assert head.startswith("client,rooms_words,")
    assert row.startswith("Birch,")
    found = clients(tmp_path / "homes.csv", tmp_path / "out")
    assert found.outcomes[0].kept
    page = (tmp_path / "out" / "birch.html").read_text(encoding="utf-8")
    (outcome,) = found.outcomes
    assert outcome.record is not None
    assert "Birch" in page
    assert str(outcome.record["decision"])[:40] in page
    assert outcome.record["more_low"] < outcome.record["more_high"]
