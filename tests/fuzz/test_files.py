"""Every reader, given files with things wrong with them: a right result or plain sentences, and nothing else."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from readers.rows import write_epw, write_pvgis, write_tmy3, year_of_hours

from fuzz.spoiled import Target, files, refused, try_spoiled
from simkit.billing.charge import charge
from simkit.case.load import read_case, write_case
from simkit.clock import TimeAxis
from simkit.errors import SimkitError
from simkit.meter.reading.mapping import read_mapping, write_mapping
from simkit.meter.reading.reading import read_meter
from simkit.profiles.household_file import kw_from_file
from simkit.readers.plain_csv import read_plain
from simkit.readers.prices import prices_on
from simkit.readers.weather_file import read_weather
from simkit.tariff.tariff import read_tariff
from simkit.tariff.terms import PriceSeries

SAMPLES = Path(__file__).parents[2] / "sample_data"
AXIS = TimeAxis("Europe/Dublin", 2025, 60)
ONES = np.ones(AXIS.steps)


def _weather(read: Callable[[Path], Any], path: Path) -> None:
    frame, found = read(path)
    assert frame.index.is_monotonic_increasing
    assert np.isfinite(frame.to_numpy(dtype=float)).all()
    assert all(found.sentences())


def _plain(path: Path) -> Any:
    columns = {"outdoor_c": "outdoor_c", "humidity": None, "ghi_w_m2": "ghi_w_m2"}
    return read_plain(path, columns=columns, label="start", clock="utc", zone=None, place=None)


def _prices(path: Path) -> None:
    said = {"name": "Market", "file": str(path), "per": "MWh", "interval_minutes": 60, "clock": "utc"}
    read = prices_on(AXIS, PriceSeries.model_validate(said), currency="EUR")
    assert read.per_kwh.shape == ONES.shape
    assert np.isfinite(read.per_kwh).all()


def _household(path: Path) -> None:
    kw = kw_from_file(AXIS, path)
    assert kw.shape == ONES.shape
    assert np.isfinite(kw).all()
    assert kw.min() >= 0.0


def _meter(path: Path) -> None:
    read = read_meter(path, zone="Europe/Dublin", kwh_per_unit=10.6)
    assert read.frame.index.is_monotonic_increasing
    for name in read.quantities:
        values = read.frame[name].to_numpy(dtype=float)
        assert not np.isinf(values).any()
        assert name.endswith("_c") or not (values < -1e-9).any()


def _mapping(path: Path) -> None:
    """Written and read back it is the same, and no file that it is used for ends otherwise than in words."""
    said = read_mapping(path)
    again = path.with_name("again.toml")
    write_mapping(said, again)
    assert read_mapping(again) == said
    readings = path.with_name("readings.csv")
    for text in _meters()[::3]:
        readings.write_text("\n".join(text.splitlines()[:60]), encoding="utf-8")
        with suppress(SimkitError):
            read_meter(readings, zone="Europe/Dublin", mapping=said)


def _case(path: Path) -> None:
    case = read_case(path)
    again = path.with_name("again.toml")
    write_case(case, again)
    assert read_case(again) == case


def _tariff(path: Path) -> None:
    quarters = TimeAxis("Europe/Dublin", 2025, 15)
    bill = charge(read_tariff(path), quarters, np.full(quarters.steps, 0.25), np.zeros(quarters.steps), country="IE")
    assert np.isfinite(bill.total)


def _written(write: Callable[..., Path]) -> tuple[str, ...]:
    with tempfile.TemporaryDirectory() as folder:
        hours = year_of_hours().iloc[:240]
        return (write(Path(folder) / "a", hours).read_text(encoding="utf-8"),)


def _rows(head: str, values: Callable[[int], str], count: int = AXIS.steps, form: str = "%Y-%m-%dT%H:%MZ") -> str:
    stamps = AXIS.utc[:count].strftime(form)
    return "\n".join([head, *(f"{stamp},{values(k)}" for k, stamp in enumerate(stamps))])


def _meters() -> tuple[str, ...]:
    days = pd.date_range("2025-01-01", periods=30)
    wide = [f"{day:%d/%m/%Y}," + ",".join(f"{(k * 7 + day.day) % 11 / 10}" for k in range(48)) for day in days]
    register = "date;reading kWh\n" + "\n".join(f"{day:%d.%m.%Y};{1000 + 12 * k},5" for k, day in enumerate(days))
    return (
        _rows("time,import_kwh,export_kwh,room_c", lambda k: f"{k % 7 / 10},{k % 3 / 10},{19 + k % 3}", 300),
        _rows("start,kWh", lambda k: f"{k % 7 / 10}", 300, "%d.%m.%Y %H:%M"),
        "Date," + ",".join(f"{k // 2:02d}:{30 * (k % 2):02d}" for k in range(48)) + "\n" + "\n".join(wide),
        register,
        _rows("time,gas m3,flag", lambda k: f"{k % 5 / 10},{'e' if k % 9 == 0 else ''}", 200, "%Y-%m-%d %H:%M"),
    )


def _toml(pattern: str) -> tuple[str, ...]:
    return tuple(path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob(pattern)))


@cache
def _mappings() -> tuple[str, ...]:
    with tempfile.TemporaryDirectory() as folder:
        made = []
        for k, text in enumerate(_meters()):
            path = Path(folder) / f"{k}.csv"
            path.write_text(text, encoding="utf-8")
            write_mapping(read_meter(path, zone="Europe/Dublin", kwh_per_unit=10.6).mapping, path.with_suffix(".toml"))
            made.append(path.with_suffix(".toml").read_text(encoding="utf-8"))
    return tuple(made)


TARGETS = {
    "EPW": Target(lambda: _written(write_epw), lambda path: _weather(read_weather, path), 40),
    "TMY3": Target(lambda: _written(write_tmy3), lambda path: _weather(read_weather, path), 40),
    "PVGIS": Target(lambda: _written(write_pvgis), lambda path: _weather(read_weather, path), 40),
    "plain weather": Target(
        lambda: (_rows("time,outdoor_c,ghi_w_m2", lambda k: f"{k % 20},{200 * (10 < k % 24 < 15)}", 480),),
        lambda path: _weather(_plain, path), 40,
    ),
    "prices": Target(lambda: (_rows("time,EUR per MWh", lambda k: f"{50 + k % 90}"),), _prices, 25),
    "household": Target(lambda: (_rows("start,use_kwh", lambda k: f"{0.2 + k % 5 / 10}"),), _household, 25),
    "meter": Target(_meters, _meter, 120),
    "mapping": Target(_mappings, _mapping, 60, ".toml"),
    "case": Target(lambda: _toml("*/case.toml"), _case, 60, ".toml"),
    "tariff": Target(lambda: _toml("tariffs/*.toml"), _tariff, 40, ".toml"),
}  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder beside the tariffs of the samples, and with their prices in it."""
    made = tmp_path_factory.mktemp("fuzz") / "home"
    made.mkdir()
    shutil.copytree(SAMPLES / "tariffs", made.parent / "tariffs")
    for prices in (SAMPLES / "tariffs").glob("*.csv"):
        shutil.copy(prices, made)
    return made


@pytest.mark.parametrize("name", TARGETS)
def test_right_files_are_read(name: str, folder: Path) -> None:
    """Else nothing would be learnt from spoiled ones."""
    target = TARGETS[name]
    for text in target.texts():
        path = folder / f"right{target.ends}"
        path.write_text(text, encoding="utf-8")
        assert refused(target.read, path) == (), text[:200]


@pytest.mark.parametrize("name", TARGETS)
def test_a_spoiled_file_is_read_or_refused_in_words(name: str, folder: Path) -> None:
    target = TARGETS[name]
    try_spoiled(target, files(target.texts(), toml=target.ends == ".toml"), folder)
