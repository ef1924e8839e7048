"""Periods of the day, needed warmth and flow temperatures: what overlaps, contradicts, or has no length."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from case.stated import only, with_path
from simkit.case.heating.controls import Schedule
from simkit.schema.messages import checked


def period(start: str, end: str, days: str = "all", c: float = 21.0) -> dict[str, Any]:
    return {"from": start, "to": end, "c": c, "days": days}


OVERLAPS = [
    ([period("06:00", "09:00"), period("08:30", "10:00")], "08:30 to 09:00"),
    ([period("22:00", "07:00"), period("06:00", "08:00")], "06:00 to 07:00"),
    ([period("00:00", "24:00"), period("12:00", "13:00", "weekend")], "12:00 to 13:00"),
    ([period("22:00", "02:00", "workdays"), period("23:00", "01:00", "workdays")], "23:00 to 24:00"),
]


@pytest.mark.parametrize(("periods", "shared"), OVERLAPS, ids=[shared for _, shared in OVERLAPS])
@pytest.mark.parametrize("section", ["comfort", "controls"])
def test_periods_that_claim_the_same_minutes(section: str, periods: list[dict[str, Any]], shared: str) -> None:
    one, other = periods
    assert only(with_path(f"{section}.periods", periods)) == (
        f"case.toml: [{section}] periods {one['from']} to {one['to']} and {other['from']} to {other['to']} overlap "
        f"from "
        f"{shared}, and a minute can have only one temperature. Let one end where the other begins."
    )


TIMES = st.integers(0, 47).map(lambda half: f"{half // 2:02d}:{30 * (half % 2):02d}")


@given(st.lists(st.tuples(TIMES, TIMES, st.sampled_from(["all", "workdays", "weekend"])), max_size=4))
def test_overlap_is_found_exactly_where_minutes_are_claimed_twice(spans: list[tuple[str, str, str]]) -> None:
    spans = [span for span in spans if span[0] != span[1]]
    schedule = {"periods": [period(*span) for span in spans], "setback_c": 18.0}
    claims: set[tuple[str, int]] = set()
    twice = False
    for start, end, days in spans:
        first, last = (int(time[:2]) * 2 + int(time[3:]) // 30 for time in (start, end))
        halves = range(first, last) if first < last else [*range(first, 48), *range(last)]
        for kind in ("workdays", "weekend") if days == "all" else (days,):
            for half in halves:
                twice |= (kind, half) in claims
                claims.add((kind, half))
    found, faults = checked(Schedule, schedule, "comfort")
    assert (found is None) == twice == bool(faults)


SLIPS = [
    ("comfort.periods", [period("07:00", "07:00")], "[comfort] periods no. 1: 07:00 to 07:00 is a window without "
     "length. "
     "Write 00:00 to 24:00 for the whole day, or leave the window out."),
    ("comfort.over_c", 21.0, "[comfort] over_c = 21 is not above the warmest needed temperature, 21 °C, so that "
     "every warm "
     "hour would count as too warm. Write a limit above it, such as 25."),
    ("controls.floor_c", 60, "[controls] floor_c = 60 is above ceiling_c = 55, so that no flow temperature is left. "
     "Write a "
     "floor below the ceiling, such as 25."),
    ("controls.design_flow_c", 56, "[controls] design_flow_c = 56 is above ceiling_c = 55, which the controller "
     "never passes. "
     "Raise the ceiling or lower the design flow temperature."),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "sentence"), SLIPS, ids=[path for path, *_ in SLIPS])
def test_what_contradicts_itself(path: str, value: Any, sentence: str) -> None:
    assert only(with_path(path, value, with_path("controls.ceiling_c", 55))) == f"case.toml: {sentence}"


def test_a_flow_under_the_room() -> None:
    stated = with_path("option", [], with_path("controls.setback_c", 27))
    del stated["baseline"]
    assert only(with_path("controls.design_flow_c", 26, stated)) == (
        "case.toml: [controls] design_flow_c = 26 is not above the warmest room, 27 °C, and water heats a room only "
        "from "
        "above it. Write a design flow temperature well above the room, such as 45."
    )


def test_warmest_and_coldest() -> None:
    schedule, _ = checked(Schedule, {"periods": [period("07:00", "09:00", c=16.5)], "setback_c": 20.0}, "")
    assert schedule is not None
    assert (schedule.warmest_c, schedule.coldest_c) == (20.0, 16.5)
