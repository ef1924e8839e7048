"""Twins of real exports and a real heat meter, from the folder of open data: read right, or one question asked."""

from __future__ import annotations

import pytest
from real_weather import open_data

from simkit.meter.reading.reading import Readings, read_meter

pytestmark = pytest.mark.short


def _read(name: str, zone: str = "Europe/Brussels", **more: object) -> Readings:
    return read_meter(open_data(f"meter/{name}"), zone=zone, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "totals"),
    [
        ("daily_midnights", {"import_kwh": 3650.0}),
        ("daily_wh_head", {"import_kwh": 3650.0}),
        ("daily_wh_nohead", {"import_kwh": 365 * 10.514}),
        ("day_night_rows", {"import_kwh": 2976 * 0.1, "export_kwh": 0.0}),
        ("gap_in_one_column", {"heat_pump_kwh": 734 * 0.5}),
    ],
)
def test_twins_of_real_exports_are_read_whole(name: str, totals: dict[str, float]) -> None:
    found = _read(f"layouts/{name}.csv")
    assert found.report.totals_kwh == pytest.approx(totals)
    assert not found.questions
    assert found.report.is_good == (name != "gap_in_one_column")


@pytest.mark.parametrize("name", ["two_and_gas", "leading_blanks"])
def test_gas_whose_unit_nothing_says_is_asked_for_and_read_when_it_is_said(name: str) -> None:
    assert [question.key for question in _read(f"layouts/{name}.csv").questions] == ["unit"]
    found = _read(f"layouts/{name}.csv", mapping={"unit": "kWh"})
    gas = {"two_and_gas": 744 * 0.1, "leading_blanks": 17.15}[name]
    assert found.report.totals_kwh["fuel_kwh"] == pytest.approx(gas)
    assert found.report.totals_kwh.get("import_kwh", 744 * 0.7) == pytest.approx(744 * 0.7)


def test_a_real_heat_meter_with_its_weather() -> None:
    found = _read("soenderborg_single_family_heat_2010-2011.csv", zone="Europe/Copenhagen")
    assert found.quantities == ("heat_kwh", "outdoor_c")
    assert found.step_minutes == 60
    assert f"{found.frame.index[0]:%Y-%m-%d %H:%M}" == "2010-12-15 00:00"
    assert found.frame["heat_kwh"].iloc[0] == 5.9167
    assert not found.questions
    assert not found.report.suspicious
