"""Case files written before a key got its present name: still read, and told so."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from case.stated import HERE
from case.stated import table as stated

from simkit.case.build import case_from, options_of, vary
from simkit.case.load import read_case, write_case
from simkit.errors import CaseError
from simkit.schema.renamed import RENAMED, RENAMED_WORDS, with_new_names
from simkit.tariff.tariff import read_tariff

OLD = """
[comfort]
periods = [{ from = "07:00", to = "22:00", c = 20.0 }]
otherwise_c = 18.0
[battery]
usable_kwh = 5.0
charge_kw = 2.5
discharge_kw = 2.5
floor = 0.2
fill_to = 0.9
[[option]]
name = "lower"
controls.no_heat_c = 14.0
[[money.measure]]
name = "keep more back"
changes = ["battery.floor = 0.3"]
"""
NEW = OLD.replace("otherwise_c", "setback_c").replace("floor", "reserve_share").replace("fill_to", "charge_to")
NEW = NEW.replace("no_heat_c", "heating_limit_c")


def test_old_keys_are_read_as_the_new_ones_wherever_they_stand() -> None:
    table, notes = with_new_names(tomllib.loads(OLD))
    assert table == tomllib.loads(NEW)
    assert "battery.floor is now called battery.reserve_share: it was read as that. Change it in the file." in notes
    assert len(notes) == 4


def test_a_file_with_new_keys_is_left_as_it_is() -> None:
    said = tomllib.loads(NEW)
    table, notes = with_new_names(said)
    assert table is said
    assert notes == ()


@pytest.mark.parametrize(("old", "new"), RENAMED.items())
def test_no_new_name_is_an_old_one(old: str, new: str) -> None:
    assert new not in RENAMED
    assert old.rpartition(".")[2] != new.rpartition(".")[2]


def test_the_notes_of_a_case_and_of_its_options_name_the_new_key() -> None:
    said = stated()
    said["comfort"] = {"periods": [{"from": "07:00", "to": "22:00", "c": 20.0}], "otherwise_c": 18.0}
    del said["baseline"]
    said["option"] = [{"name": "lower", "controls": {"no_heat_c": 14.0}}]
    case = case_from(said, folder=HERE)
    assert case.comfort.setback_c == 18.0
    assert options_of(case)[0].controls.heating_limit_c == 14.0
    for held in (case, *options_of(case), vary(case, {"controls.design_flow_c": 45.0})):
        assert any(note.startswith("comfort.otherwise_c is now called comfort.setback_c") for note in held.notes)


def test_both_names_at_once_are_refused() -> None:
    said = stated()
    said["comfort"] = {"periods": [], "otherwise_c": 18.0, "setback_c": 19.0}
    with pytest.raises(CaseError, match="otherwise_c"):
        case_from(said, folder=HERE)


def test_a_file_that_is_written_anew_holds_the_new_names(tmp_path: Path) -> None:
    said = stated()
    said["comfort"] = {"periods": [{"from": "07:00", "to": "22:00", "c": 20.0}], "otherwise_c": 18.0}
    write_case(case_from(said, folder=HERE), tmp_path / "case.toml")
    assert "otherwise_c" not in (tmp_path / "case.toml").read_text()
    assert not any("is now called" in note for note in read_case(tmp_path / "case.toml").notes)


def test_old_words_are_read_as_the_new_ones_in_cases_options_and_measures() -> None:
    old = {
        "car": {"charging": "plain"},
        "option": [{"name": "by price", "car": {"charging": "smart"}}],
        "money": {"measure": [{"name": "charge by price", "changes": ['car.charging = "smart"']}]},
    }
    table, notes = with_new_names(old)
    assert table["car"] == {"charging": "at_once"}
    assert table["option"][0]["car"] == {"charging": "by_price"}
    assert table["money"]["measure"][0]["changes"] == ['car.charging = "by_price"']
    assert notes == (
        'car.charging = "plain" is now called car.charging = "at_once": it was read as that. Change it in the file.',
        'car.charging = "smart" is now called car.charging = "by_price": it was read as that. Change it in the file.',
    )


def test_a_key_with_a_dot_in_quotes_is_no_old_name() -> None:
    table = {"option": [{"name": "Cooler", "controls.design_flow_c": 45.0}]}
    assert with_new_names(table)[0] == table


@pytest.mark.parametrize("words", RENAMED_WORDS.values())
def test_no_new_word_is_an_old_one(words: dict[str, str]) -> None:
    assert not set(words) & set(words.values())


def test_a_tariff_file_with_an_old_key_is_read_and_the_case_says_so(tmp_path: Path) -> None:
    flat = (HERE / stated()["tariff"]).read_text(encoding="utf-8")
    table = '[extra_slots]\nper_week = 6\nfrom = "09:00"\nto = "16:00"\nprice_per_kwh = 0.1\n'
    (tmp_path / "old.toml").write_text(f"{flat}\n{table}", encoding="utf-8")
    assert read_tariff(tmp_path / "old.toml").granted.per_week == 6
    case = case_from(stated() | {"tariff": "old.toml"}, folder=tmp_path)
    told = "old.toml: tariff.extra_slots is now called tariff.granted: it was read as that. Change it in the file."
    for held in (case, vary(case, {"controls.design_flow_c": 45.0})):
        assert told in held.notes
