"""A battery on its coldest day, on an invented home."""

from __future__ import annotations

from decide.invented import stored
from simkit.decide.battery.coldest import coldest
from simkit.year.simulate import simulate


def test_the_coldest_day_adds_up() -> None:
    found = coldest(simulate(stored()))
    week = found.week
    assert len(week) == 7
    assert found.outdoor_c <= week["outdoor_c"].min() + 1e-9, "the coldest day may stand apart from the coldest week"
    assert found.carried_kwh <= found.expensive_kwh + 1e-9
    assert (week["carried_kwh"] <= week["expensive_kwh"] + 1e-9).all()
    assert not found.carries
    assert found.empty_at is not None
