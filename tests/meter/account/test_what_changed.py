"""What changed with a drift is told by the hours in which it falls, days away are named, and neither is the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from meter.homes import twin
from simkit.answers.meter.account import account_sentences
from simkit.answers.meter.drift import ONLY_OWN
from simkit.arrays import Floats
from simkit.meter.account.account import Account
from simkit.meter.account.drift import OWN_METER, away_days, runs_of
from simkit.meter.account.expected import expected_of
from simkit.meter.account.kept import stream_of
from simkit.meter.account.statement import Statement, statement

SINCE, A_DAY = "2025-03-10", 4.5


@pytest.fixture(scope="module")
def steps(account: Account) -> dict[str, Floats]:
    return expected_of(account, twin().weather).steps


def _local() -> pd.DatetimeIndex:
    return pd.DatetimeIndex(twin().readings.frame.index).tz_convert("Europe/Dublin").tz_localize(None)


def _with(account: Account, added: Floats, *, every: str = "") -> Statement:
    """The account with energy added to its half-hours, or to the days that they make."""
    frame = twin().readings.frame
    stream = stream_of(frame.assign(import_kwh=np.maximum(frame["import_kwh"] + added, 0.0)), "import_kwh")
    if every:
        sums = stream["value"].tz_convert("Europe/Dublin").resample(every).sum()
        starts = pd.DatetimeIndex(sums.index)
        ends = (starts + pd.DateOffset(days=1)).tz_convert("UTC").as_unit("us")
        stream = pd.DataFrame({"end": ends, "value": sums.to_numpy()}, index=starts.tz_convert("UTC").as_unit("us"))
    return statement(replace(account, streams={"import_kwh": stream}), weather=twin().weather)


def _added(what: str, steps: dict[str, Floats]) -> Floats:
    """A day's energy from `SINCE` on, in the hours in which it would be used, (half-hours,) [kWh]."""
    local = _local()
    late = np.asarray(local >= pd.Timestamp(SINCE))
    if what == "efficiency":
        return np.where(late, 0.45 * steps["space_kwh"], 0.0)
    shapes = {
        "nights": np.isin(local.hour, (23, 0, 1, 2, 3, 4, 5)).astype(float), "standby": np.ones(len(local)),
        "hot water": steps["water_kwh"],
    }  # fmt: skip
    return np.where(late, A_DAY * shapes[what] / shapes[what].mean() / 48.0, 0.0)


@pytest.mark.parametrize("what", ["nights", "hot water", "efficiency", "standby"])
def test_the_hours_tell_what_changed(account: Account, drawn: Statement, steps: dict[str, Floats], what: str) -> None:
    made = _with(account, _added(what, steps))
    assert made.drift is not None
    assert made.changed is not None
    assert abs((made.drift.since - pd.Timestamp(SINCE)).days) <= 7
    assert what in made.changed.what
    assert len(made.changed.what) <= 2
    assert made.changed.day >= made.drift.since
    assert made.changed.metered_kwh > made.changed.expected_kwh
    # what was added falls where it was added; what the home strays by anyway, the account without it shows too
    more = (made.causes - drawn.causes)[["use_kwh", "efficiency_kwh"]].sum()
    assert made.drift.grows == (what == "efficiency")
    assert np.isnan(made.changed.pump_kwh)
    if what != "efficiency":
        assert more["use_kwh"] > 0.9 * _added(what, steps).sum()
    else:
        assert more["efficiency_kwh"] > 0.5 * _added(what, steps).sum()


def test_days_alone_say_that_they_can_not_tell(account: Account, steps: dict[str, Floats]) -> None:
    made = _with(account, _added("standby", steps), every="1D")
    assert made.changed is not None
    assert made.changed.what == ()


def test_a_week_away_is_named_and_is_neither_drift_nor_efficiency(account: Account, drawn: Statement) -> None:
    local = _local()
    gone = np.asarray((local >= pd.Timestamp("2025-03-20")) & (local < pd.Timestamp("2025-03-27")))
    made = _with(account, np.where(gone, -0.65 * twin().readings.frame["import_kwh"], 0.0))
    nobody_in = pd.Timestamp("2025-01-19")  # a day on which the invented home has its people away
    assert made.away[-1] == (pd.Timestamp("2025-03-20"), pd.Timestamp("2025-03-26"))
    assert set(made.away[:-1]) <= {(nobody_in, nobody_in)}
    assert made.drift is None
    assert drawn.away == []
    less = (made.causes - drawn.causes)[["use_kwh", "efficiency_kwh"]]
    assert less["use_kwh"].sum() < -60.0
    # own: the one day that is now named too no longer speaks of efficiency, some 6 kWh in a hundred days
    assert abs(less["efficiency_kwh"].sum()) < -0.1 * less["use_kwh"].sum()
    assert (made.causes["efficiency_kwh"]["2025-03-20":"2025-03-26"] == 0.0).all()


def test_a_month_that_uses_less_is_no_absence() -> None:
    """Own: days that fall far below are away, with those that fall a little beside them; a month of them is a drift."""
    expected, widths = np.full(120, 20.0), np.full(120, 2.0)
    metered = expected + np.random.default_rng(2).normal(size=120)
    metered[40:44], metered[44] = 5.0, 14.5
    metered[80:110] = 5.0
    found = away_days(metered, expected, widths)
    assert runs_of(found) == [(40, 44)]
    assert not away_days(np.full(30, np.nan), expected[:30], widths[:30]).any()


def test_a_drift_that_the_household_hides_shows_on_the_heat_pumps_own_meter(account: Account) -> None:
    """Own: a third more of the heating on its own meter, and a household that takes the less and strays as it likes."""
    made = twin(3, ("import_kwh", "heat_pump_kwh")).readings.frame
    late = np.asarray(_local() >= pd.Timestamp(SINCE))
    more = np.where(late, made["heat_pump_kwh"] / 3.0, 0.0)
    streams = {"import_kwh": account.streams["import_kwh"], "heat_pump_kwh": stream_of(made, "heat_pump_kwh")}
    assert statement(replace(account, streams=streams), weather=twin().weather).drift is None
    moved = stream_of(made.assign(heat_pump_kwh=made["heat_pump_kwh"] + more), "heat_pump_kwh")
    told = statement(replace(account, streams={**streams, "heat_pump_kwh": moved}), weather=twin().weather)
    assert told.drift is not None
    assert told.changed is not None
    assert told.drift.meter == OWN_METER
    assert told.drift.low < 48.0 * more[late].mean() < told.drift.high
    assert abs((told.drift.since - pd.Timestamp(SINCE)).days) <= 10
    first, second, *_ = account_sentences(told, told.case.notation)
    assert "the heat pump, by its own meter, takes each day" in first
    assert ONLY_OWN in second
    assert "By its own meter" not in second
    assert "household" not in told.changed.what


def test_a_logger_that_an_account_has_no_use_for_is_kept_and_said(account: Account) -> None:
    room = stream_of(twin().readings.frame.assign(room_c=20.0), "room_c")
    made = statement(replace(account, streams={**account.streams, "room_c": room}), weather=twin().weather)
    said = "The temperature of the room is kept and not used here: `simkit change` and `simkit cooldown` use it."
    assert said in account_sentences(made, made.case.notation)
