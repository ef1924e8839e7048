"""A case read, written and read again: the same case, whatever was said and wherever it is written."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from case.stated import EXAMPLE, HERE, made, table
from simkit.case import load
from simkit.case.build import Case, case_from, vary
from simkit.case.load import read_case, write_case
from simkit.errors import CaseError


@pytest.fixture(scope="module")
def case() -> Case:
    return read_case(EXAMPLE)


def test_a_read_case_knows_its_folder_and_its_name(case: Case) -> None:
    assert case.folder == HERE
    assert case.label == "example.toml"
    assert case.tariff.name == "Invented night and day"


def test_round_trip_in_another_folder(case: Case, tmp_path: Path) -> None:
    path = tmp_path / "again.toml"
    write_case(case, path)
    again = read_case(path)
    assert again == case
    assert again.notes == case.notes, "what was said stays said, what was assumed stays assumed"
    assert [option for _, _, option in again.options()] == [option for _, _, option in case.options()]
    write_case(again, tmp_path / "third.toml")
    assert (tmp_path / "third.toml").read_text() == path.read_text()


def test_only_what_was_said_is_written(case: Case, tmp_path: Path) -> None:
    write_case(case, tmp_path / "case.toml")
    again = tomllib.loads((tmp_path / "case.toml").read_text(encoding="utf-8"))
    assert {**again, "tariff": case.stated["tariff"]} == case.stated
    assert "cycling_degradation" not in (tmp_path / "case.toml").read_text()
    assert "# The building.\n[home]" in (tmp_path / "case.toml").read_text()


def test_paths_are_turned_to_the_new_folder(tmp_path: Path) -> None:
    stated = table("option", "baseline", weather={"file": "data/hours.epw"})
    stated["household"] = {"annual_kwh": 3000.0, "file": "load.csv"}
    case = made(stated)
    (tmp_path / "deep").mkdir()
    write_case(case, tmp_path / "deep" / "case.toml")
    again = read_case(tmp_path / "deep" / "case.toml")
    assert again == case
    assert again.files == case.files == ((HERE / "data/hours.epw").resolve(), (HERE / "load.csv").resolve())


def test_a_tariff_that_no_file_holds_is_written_beside_the_case(case: Case, tmp_path: Path) -> None:
    dearer = vary(case, {"tariff.band.0.price_per_kwh": 0.25})
    write_case(dearer, tmp_path / "case.toml")
    assert read_case(tmp_path / "case.toml") == dearer
    assert sorted(path.name for path in tmp_path.iterdir()) == ["case.toml", "invented_night_and_day.toml"]
    dearest = vary(case, {"tariff.band.0.price_per_kwh": 0.5})
    write_case(dearest, tmp_path / "other.toml")
    assert read_case(tmp_path / "other.toml") == dearest
    assert read_case(tmp_path / "case.toml") == dearer, "a tariff file that is there is left alone"
    write_case(dearer, tmp_path / "third.toml")
    assert len(list(tmp_path.glob("invented*.toml"))) == 2, "and used again where it holds the same"


def test_a_broken_case_never_replaces_a_good_file(case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "case.toml"
    write_case(case, path)
    before = path.read_text()
    varied = vary(case, {"tariff.band.0.price_per_kwh": 0.25, "controls.design_flow_c": 45})
    monkeypatch.setattr(load, "laid_out", lambda *_, **__: 'name = "nothing else"\n')
    with pytest.raises(CaseError):
        write_case(varied, path)
    assert path.read_text() == before
    assert list(tmp_path.iterdir()) == [path], "nor is a tariff left lying about"


def test_a_file_that_would_read_back_as_another_case_is_not_written(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    honest = load.laid_out
    monkeypatch.setattr(load, "laid_out", lambda *args, **more: honest(*args, **more).replace("= 50.0", "= 51.0"))
    with pytest.raises(CaseError) as caught:
        write_case(case, tmp_path / "case.toml")
    assert str(caught.value) == (
        "case.toml: would not read back as the same case, and was not written. "
        "This is an error of simkit: please report it with the case."
    )
    assert list(tmp_path.iterdir()) == []


def test_reading_tells_faults_of_case_options_and_tariff_at_once(tmp_path: Path) -> None:
    (tmp_path / "tariff.toml").write_text('name = "x"\nnote = "Invented."\ncurrency = "EUR"\n')
    (tmp_path / "case.toml").write_text(
        'name = "home"\ncurrency = "EUR"\nheat_source = "boiler"\ntariff = "tariff.toml"\nspeed = 3\n'
        '[[option]]\nname = "later"\nwithout = ["roof"]\n'
    )
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "case.toml")
    text = str(caught.value)
    assert "case.toml: speed is not a key at the top of the file." in text
    assert "case.toml: the table [site] is missing" in text
    assert 'case.toml: heat_source = "boiler" needs a table [boiler], which is missing.' in text
    assert 'case.toml: tariff = "tariff.toml", tariff.toml: ' in text
    assert 'case.toml, option "later": without "roof" names no part' in text


def test_a_tariff_that_is_not_there(tmp_path: Path) -> None:
    content = EXAMPLE.read_text(encoding="utf-8").replace("example_tariff.toml", "flat.toml")
    (tmp_path / "case.toml").write_text(content, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "case.toml")
    assert str(caught.value) == (
        f'case.toml: tariff = "flat.toml", flat.toml: is not there. Look for the tariff file in {tmp_path}.'
    )


SEEN = st.characters(exclude_categories=("C", "Zl", "Zp"))
TEXT = st.text(SEEN, min_size=1, max_size=40).filter(str.strip)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=TEXT, note=st.text(SEEN, max_size=80), data=st.data())
def test_round_trip_of_whatever_is_said(tmp_path: Path, name: str, note: str, data: st.DataObject) -> None:
    numbers = st.floats(1.5, 34, allow_subnormal=False)  # a battery that 1.5 kW can still fill in a day
    changes: dict[str, Any] = {
        "name": name,
        "note": note,
        "home.loss.w_per_k": data.draw(st.floats(10, 5000)),
        "hot_water.standing_loss_w": data.draw(st.none() | st.floats(5, 600)),
        "heat_pump.minimum_share": data.draw(st.none() | st.floats(0.05, 1)),
        "site.altitude_m": data.draw(st.floats(-430, 5000)),
        "option.1.note": note,
        "battery": data.draw(
            st.none() | st.fixed_dictionaries({"usable_kwh": numbers, "charge_kw": numbers, "discharge_kw": numbers})
        ),
        "solar": data.draw(
            st.none()
            | st.fixed_dictionaries(
                {"array": st.lists(st.fixed_dictionaries(
                    {"kwp": numbers, "tilt_deg": numbers, "azimuth_deg": numbers}), min_size=1, max_size=3)},
                optional={"export_limit_kw": numbers, "losses": st.just({"dirt": 0.05})},
            )
        ),
        "home.window": data.draw(st.none() | st.just([])),
    }  # fmt: skip
    case = vary(read_case(EXAMPLE), changes)
    write_case(case, tmp_path / "case.toml")
    assert read_case(tmp_path / "case.toml") == case


def test_a_case_made_in_python_can_be_written(tmp_path: Path) -> None:
    case = case_from(table("option", "baseline", tariff=read_case(EXAMPLE).tariff), folder=tmp_path)
    write_case(case, tmp_path / "made.toml")
    assert read_case(tmp_path / "made.toml") == case
