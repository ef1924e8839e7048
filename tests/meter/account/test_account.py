"""A running account: appended, never overwritten; drifts say themselves, and quiet homes raise no alarm."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.homes import days_of, fitted, flagship, twin
from simkit.case.sample_homes import sample_file
from simkit.errors import CaseError, DataError
from simkit.meter.account.account import Account, add_readings, open_account, start_account
from simkit.meter.account.dated_prices import set_prices
from simkit.meter.account.kept import stream_of
from simkit.meter.account.statement import statement
from simkit.meter.reading.reading import readings_from


def _account(folder: Path) -> Account:
    return start_account(folder / "account", sample_file("estuary_bungalow"), fitted(), days_of(twin().readings, 0, 40))


def test_it_is_begun_appended_and_read_back(tmp_path: Path) -> None:
    account = _account(tmp_path)
    assert len(account.streams["import_kwh"]) == 40 * 48
    longer = twin().readings
    account, added = add_readings(account, longer)
    assert added.fresh == {"import_kwh": len(longer.frame) - 40 * 48}
    again = open_account(tmp_path / "account")
    pd.testing.assert_frame_equal(again.streams["import_kwh"], account.streams["import_kwh"])
    kept = again.streams["import_kwh"]["value"].to_numpy()
    np.testing.assert_allclose(kept, longer.frame["import_kwh"].to_numpy(), atol=1e-4)
    values, draws = again.values(256), fitted().draws
    np.testing.assert_allclose(values[1:], draws.to_numpy()[fitted().some(256)[1:]], rtol=1e-4, atol=1e-4)
    middles = [one.value(mean) for one, mean in zip(fitted().unknowns, fitted().scores.mean(axis=0), strict=True)]
    assert values[0] == pytest.approx(middles, rel=1e-4, abs=1e-4)


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    account = _account(tmp_path)
    before = (account.folder / "readings.csv").read_bytes()
    with pytest.raises(CaseError, match="is there already, and nothing is overwritten"):
        _account(tmp_path)
    with pytest.raises(DataError, match="are in the account already; nothing was appended"):
        add_readings(account, days_of(twin().readings, 0, 40))
    other = days_of(twin().readings, 30, 40)
    changed = replace(other, frame=other.frame.assign(import_kwh=other.frame["import_kwh"] + 0.5))
    with pytest.raises(DataError) as refused:
        add_readings(account, changed)
    assert "480 intervals, the first at 2025-02-09 00:00 UTC, differ from what the account holds" in str(refused.value)
    assert (account.folder / "readings.csv").read_bytes() == before
    with pytest.raises(CaseError, match="holds no account"):
        open_account(tmp_path / "nowhere")


def test_a_price_that_can_not_be_charged_is_refused_and_not_kept(tmp_path: Path) -> None:
    account = _account(tmp_path)
    before = (account.folder / "account.toml").read_bytes()
    flat = sample_file("estuary_bungalow").parent.joinpath("../tariffs/estuary_flat.toml").read_text()
    ended = tmp_path / "ended.toml"
    ended.write_text(flat.replace("tax = ", "valid_to = 2025-12-31\ntax = ", 1))
    with pytest.raises(CaseError, match="has no tariff: it ends on 2025-12-31") as refused:
        set_prices(account, dt.date(2031, 2, 1), tariff=ended)
    assert len(str(refused.value).splitlines()) == 1
    hourly = tmp_path / "hourly.toml"
    series = '[series]\nname = "Hourly"\nfile = "gone.csv"\nper = "MWh"\ninterval_minutes = 60\nclock = "utc"\n'
    hourly.write_text(flat.partition("[[band]]")[0] + series)
    with pytest.raises(DataError, match=r"gone\.csv: the file is not there"):
        set_prices(account, dt.date(2025, 2, 1), tariff=hourly)
    assert (account.folder / "account.toml").read_bytes() == before


def _with(account: Account, frame: pd.DataFrame) -> Account:
    streams = {name: stream_of(frame, name) for name in frame.columns if name not in ("end", "estimated")}
    return replace(account, streams=streams)


def test_a_statement_holds_months_against_the_old_fuel(tmp_path: Path) -> None:
    account, _ = add_readings(_account(tmp_path), twin().readings)
    made = statement(account, weather=twin().weather)
    assert made.days["metered_kwh"].sum() == pytest.approx(account.streams["import_kwh"]["value"].sum(), rel=1e-3)
    months = made.months
    assert months["running_saved"].iloc[-1] == pytest.approx((months["old_cost"] - months["cost"]).sum())
    assert made.saved is not None
    assert made.saved.low < made.saved.high
    assert made.paid_back is not None
    assert made.paid_back.outlay > 0
    price = flagship().tariff.band[0].price_per_kwh
    standing = made.days["cost"].sum() - price * made.days["metered_kwh"].sum()
    assert standing / len(made.days) == pytest.approx(
        299.30 / 365, rel=0.01
    )  # own: a flat tariff is energy × price + standing
    assert made.drift is None
    assert made.saved.middle == pytest.approx(made.days["saved"].sum())


def test_a_fault_of_the_machine_and_a_heater_left_on_are_told_apart(tmp_path: Path) -> None:
    account, _ = add_readings(_account(tmp_path), twin().readings)
    weather, frame = twin().weather, twin().readings.frame
    heavier = frame.copy()
    quiet = statement(account, weather=weather).days
    day = pd.DatetimeIndex(frame.index).tz_convert("Europe/Dublin").tz_localize(None).normalize()
    late = day >= pd.Timestamp("2025-03-10")
    heavier.loc[late, "import_kwh"] += 0.3 * quiet["heat_kwh"].reindex(day[late]).to_numpy() / 48
    drift = statement(_with(account, heavier), weather=weather).drift
    assert drift is not None
    assert abs((drift.since - pd.Timestamp("2025-03-10")).days) <= 7
    assert drift.low < 0.3 * quiet["heat_kwh"]["2025-03-10":].mean() < drift.high
    assert "it grows with the heating" in drift.kind
    heater = frame.copy()
    heater.loc[late, "import_kwh"] += 4.0 / 48
    drift = statement(_with(account, heater), weather=weather).drift
    assert drift is not None
    assert drift.low < 4.0 < drift.high
    assert "alike on mild and cold days" in drift.kind


def test_a_bill_at_other_prices_is_told(tmp_path: Path) -> None:
    made = statement(_account(tmp_path), weather=twin().weather, billed={"2025-01": 900.0})
    assert "the tariff has changed, or the bill is estimated." in made.other_prices[0]


@pytest.mark.parametrize("days", [False, True])
def test_a_logger_in_a_file_of_its_own_counts(tmp_path: Path, days: bool) -> None:
    """Own: energies and temperatures are the same, in one file or in two."""
    first, zone = days_of(twin().readings, 0, 40), twin().readings.zone
    halves = first.frame[["end", "import_kwh"]]
    outdoor = twin().weather.years[2025].frame["outdoor_c"].reindex(halves.index).resample("60min").mean()
    logger = pd.DataFrame({"end": outdoor.index + pd.Timedelta("1h"), "outdoor_c": outdoor})
    logged = halves.assign(outdoor_c=outdoor.reindex(halves.index, method="ffill"))
    meter = halves
    if days:
        sums = halves["import_kwh"].tz_convert(zone).resample("1D").sum()
        ends = (pd.DatetimeIndex(sums.index) + pd.DateOffset(days=1)).tz_convert("UTC")
        meter = pd.DataFrame({"end": ends, "import_kwh": sums.to_numpy()}, index=sums.index.tz_convert("UTC"))
    files = {"one": [logged], "two": [meter, logger], "without": [meter]}
    expected = {}
    for name, frames in files.items():
        read = [readings_from(frame, zone=zone, name=name) for frame in frames]
        account = start_account(tmp_path / name, sample_file("estuary_bungalow"), fitted(), read)
        expected[name] = statement(account).days["expected_kwh"]
    assert expected["two"].to_numpy() == pytest.approx(expected["one"].to_numpy(), rel=1e-6)
    assert abs(expected["without"].sum() / expected["one"].sum() - 1.0) > 0.02


def test_four_days_in_five_lie_in_the_band_of_what_was_expected(tmp_path: Path) -> None:
    """Own: days of later weeks, which the fit never saw; six invented homes pooled had 78 % of them inside."""
    inside, months = [], []
    for number in (3, 4):
        readings, weather = twin(number).readings, twin(number).weather
        begun = start_account(
            tmp_path / str(number), sample_file("estuary_bungalow"), fitted(number), days_of(readings, 0, 40)
        )
        made = statement(add_readings(begun, readings)[0], weather=weather)
        later = made.days[40:]
        inside += later["metered_kwh"].between(later["expected_low"], later["expected_high"]).tolist()
        ends = made.months[["expected_low", "expected_high"]]
        months += made.months["metered_kwh"].between(ends["expected_low"], ends["expected_high"]).tolist()
        # a month's range is that of its sum: days that stray do so in part by themselves
        sums = made.days.groupby(made.days.index.strftime("%Y-%m"))[["expected_low", "expected_high"]].sum()
        narrower = (ends["expected_high"] - ends["expected_low"]) / (sums["expected_high"] - sums["expected_low"])
        assert narrower.between(0.3, 0.9).all()
        plain = fitted(number).predict("2025-02-19", "2025-04-20", weather=weather)
        widths = (later["expected_high"] - later["expected_low"]).to_numpy()
        assert widths.mean() == pytest.approx((plain["high"] - plain["low"]).mean(), rel=0.05)
        total = fitted(number).predict_total("2025-03-01", "2025-04-01", weather=weather)
        assert ends.loc["2025-03"].tolist() == pytest.approx([total.low, total.high], rel=0.05)
    assert len(inside) == 120
    assert 0.70 <= np.mean(inside) <= 0.90
    assert np.mean(months) >= 0.5
