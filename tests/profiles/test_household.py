"""H0 against the published hours, months and a second implementation; calendar rules; the yearly sum."""

from __future__ import annotations

import datetime as dt
import warnings
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.profiles.household import (
    SEASONS,
    dynamic_factor,
    h0_watts,
    household_kw,
    kinds_of_days,
    public_holidays,
)

NOWHERE = Path("unused")


def home(kwh: float = 3000.0) -> SimpleNamespace:
    return SimpleNamespace(annual_kwh=kwh, file=None)


def days(*texts: str) -> np.ndarray:
    return np.array(texts, dtype="datetime64[D]")


@pytest.mark.parametrize("year", [2023, 2024])
def test_second_opinion_of_demandlib(monkeypatch: pytest.MonkeyPatch, year: int) -> None:
    """The same quarter-hours put on the calendar by other hands; they do not know the rule for 24 and 31 December."""
    slp = pytest.importorskip("demandlib.bdew")
    holiday = dt.date(year, 5, 1)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        monkeypatch.setattr(warnings, "simplefilter", lambda *_, **__: None)  # it turns its own warnings into errors
        theirs = slp.ElecSlp(year, holidays=[dt.datetime(year, 5, 1)]).get_profiles("h0", "h0_dyn")
    axis = TimeAxis("UTC", year, 15)
    plain = ~np.isin(axis.dates[axis.day], days(f"{year}-12-24", f"{year}-12-31"))
    for column, dynamic, near in (("h0", False, 1e-12), ("h0_dyn", True, 0.006)):
        ours = h0_watts(axis, holidays=frozenset({holiday}), dynamic=dynamic)
        other = theirs[column].to_numpy()
        scale = ours[plain].sum() / other[plain].sum()
        assert np.abs(ours[plain] / (other[plain] * scale) - 1).max() < near


def test_southern_seasons_are_half_a_year_off() -> None:
    assert SEASONS[kinds_of_days(days("2023-07-01"), southern=True)[0][0]] == "winter"
    assert SEASONS[kinds_of_days(days("2023-01-01"), southern=True)[0][0]] == "summer"
    assert dynamic_factor(days("2023-07-03"), southern=True)[0] == pytest.approx(dynamic_factor(days("2023-01-01"))[0])


@pytest.mark.parametrize("step_minutes", [60, 30, 15])
@pytest.mark.parametrize("year", [2023, 2024])
@pytest.mark.parametrize("zone", ["Europe/Dublin", "Asia/Kathmandu"])
def test_the_year_adds_up_to_the_yearly_use(zone: str, year: int, step_minutes: int) -> None:
    axis = TimeAxis(zone, year, step_minutes)
    kw = household_kw(axis, home(2700.0), folder=NOWHERE)
    assert kw.shape == (axis.steps,)
    assert kw.sum() * axis.hours == pytest.approx(2700.0, rel=1e-13, abs=0.0)
    assert kw.min() > 0


def test_a_coarse_step_is_the_mean_of_the_fine_ones() -> None:
    fine, coarse = (h0_watts(TimeAxis("Europe/Berlin", 2026, step)) for step in (15, 60))
    np.testing.assert_allclose(fine.reshape(-1, 4).mean(axis=1), coarse, rtol=1e-14)


def test_the_profile_follows_the_wall_clock_over_a_change() -> None:
    axis = TimeAxis("Europe/Berlin", 2026, 60)
    watts = h0_watts(axis, dynamic=False)
    autumn = watts[axis.dates[axis.day] == np.datetime64("2026-10-25")]
    sunday = watts[axis.dates[axis.day] == np.datetime64("2026-10-18")]
    assert len(autumn) == 25
    np.testing.assert_array_equal(autumn, np.insert(sunday, 3, sunday[2]))  # the hour from two comes twice


def test_a_holiday_of_the_country_looks_like_a_sunday() -> None:
    axis = TimeAxis("Europe/Amsterdam", 2026, 60)
    day = axis.dates[axis.day]
    ratio = household_kw(axis, home(), folder=NOWHERE, country="NL") / household_kw(axis, home(), folder=NOWHERE)
    changed = np.unique(day[np.abs(ratio / np.median(ratio) - 1) > 1e-6])
    assert np.datetime64("2026-04-27") in changed  # King's Day, a Monday
    assert np.datetime64("2026-05-14") in changed  # Ascension Day, a Thursday
    assert np.datetime64("2026-04-28") not in changed


def test_no_country_knows_no_holidays_and_a_wrong_one_is_a_fault() -> None:
    assert public_holidays(None, 2026) == frozenset()
    assert dt.date(2026, 12, 25) in public_holidays("IE", 2026)
    with pytest.raises(CaseError) as caught:
        public_holidays("ie", 2026)
    assert str(caught.value) == ('[site] country = "ie" is not a country whose public holidays are known. Write IE.')
    with pytest.raises(CaseError, match="Write the two letters of ISO 3166, for example IE"):
        public_holidays("12345", 2026)


def test_standby_lies_flat_beneath_the_profile_and_is_part_of_the_year() -> None:
    # own: 45 W all year are 394.2 kWh of the 3000; the profile shares out the 2605.8 kWh that are left
    axis = TimeAxis("Europe/Berlin", 2025, 60)
    plain = household_kw(axis, SimpleNamespace(annual_kwh=3000.0, file=None), folder=Path())
    home = SimpleNamespace(annual_kwh=3000.0, file=None, standby_w=45.0)
    found = household_kw(axis, home, folder=Path())
    assert found.sum() * axis.hours == pytest.approx(3000.0)
    assert found == pytest.approx(0.045 + plain * 2605.8 / 3000.0)
