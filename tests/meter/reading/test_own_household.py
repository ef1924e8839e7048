"""The household that a case describes taken off the whole home's meter; sums of whole months."""

from __future__ import annotations

import pandas as pd
import pytest
from homes import sample

from simkit.errors import DataError
from simkit.meter.reading.derived import household_kw, less_own_household, months_read
from simkit.meter.reading.reading import Readings, readings_from

HOURS = pd.date_range("2025-01-30 00:00", "2025-02-02 00:00", freq="h", tz="UTC")


def read(**values: object) -> Readings:
    frame = pd.DataFrame({"end": HOURS[1:], **values}, index=HOURS[:-1])
    return readings_from(frame, zone="Europe/Dublin", name="meter.csv")


def test_what_is_left_is_what_was_added_to_the_household() -> None:
    case = sample("estuary_bungalow")
    load = household_kw(case, HOURS[0], HOURS[-1])
    by_hour = load.groupby(pd.DatetimeIndex(load.index).floor("h")).mean().reindex(HOURS[:-1])
    assert load.mean() * 8760 == pytest.approx(case.household.annual_kwh, rel=0.01)
    whole, other = read(import_kwh=by_hour.to_numpy() + 1.5, outdoor_c=4.0), read(fuel_kwh=2.0)
    left, same = less_own_household(case, [whole, other])
    assert left.frame["heat_pump_kwh"].tolist() == pytest.approx([1.5] * 72)
    assert left.frame["outdoor_c"].tolist() == [4.0] * 72
    assert "import_kwh" not in left.frame
    assert same is other


def test_without_the_meter_of_the_whole_home_there_is_nothing_to_take_it_off() -> None:
    with pytest.raises(DataError, match="hold no import_kwh to take it off"):
        less_own_household(sample("estuary_bungalow"), [read(fuel_kwh=2.0)])


def test_months_that_are_touched() -> None:
    assert months_read([read(fuel_kwh=2.0)]) == {"2025-01", "2025-02"}
