"""The step that a case asks for, and the axis, weather and prices it stands in."""

from __future__ import annotations

from pathlib import Path

import pytest
from homes import changed, sample

from simkit.assemble.setting import setting_for, step_of
from simkit.case.build import Case
from simkit.kept import memory

WHOLE = {
    "comfort.periods": [{"from": "07:00", "to": "22:00", "c": 20.0}],
    "controls.periods": [{"from": "05:00", "to": "22:00", "c": 20.5}],
    "hot_water.windows": [{"from": "01:00", "to": "05:00"}],
}  # fmt: skip


def flat(**more: object) -> Case:
    return changed("harbour_flat", {**WHOLE, "step_minutes": 60, **more})


def test_whole_hours_need_no_shorter_step() -> None:
    assert step_of(flat()) == (60, ())


@pytest.mark.parametrize(
    ("change", "step"),
    [
        ({"hot_water.windows": [{"from": "01:30", "to": "05:00"}]}, 30),
        ({"hot_water.windows": [{"from": "01:15", "to": "05:00"}]}, 15),
        ({"comfort.periods": [{"from": "07:00", "to": "22:30", "c": 20.0}]}, 30),
        ({"controls.periods": [{"from": "05:45", "to": "22:00", "c": 20.5}]}, 15),
        (
            {
                "hot_water.hygiene": {
                    "every": "week",
                    "from": "13:00",
                    "hours": 1.5,
                    "weekday": "sunday",
                    "target_c": 60.0,
                }
            },
            30,
        ),
        ({"step_minutes": 30}, 30),
    ],
)
def test_every_edge_of_the_case_counts(change: dict[str, object], step: int) -> None:
    found, notes = step_of(flat(**change))
    assert found == step
    asked = change.get("step_minutes", 60)
    assert (f"shortened from {asked} to {step} minutes" in " ".join(notes)) is (step != asked)


def test_an_edge_that_fits_no_step_is_told_of() -> None:
    _, notes = step_of(flat(**{"hot_water.windows": [{"from": "01:10", "to": "05:00"}]}))
    assert "01:10 falls inside a 15-minute step" in notes[-1] or "01:10 falls inside" in " ".join(notes)


def test_half_an_hour_is_usual_and_never_made_longer() -> None:
    usual = changed("harbour_flat", WHOLE)
    assert step_of(usual) == (30, ())
    assert step_of(usual, 60) == (60, ())
    assert setting_for(usual).axis is setting_for(usual, 30).axis


def test_what_is_the_same_is_worked_out_once() -> None:
    """Two options on one weather share the very arrays, so that the kernel loads them once a step."""
    one, other = (
        setting_for(sample("canal_terrace"), 60),
        setting_for(changed("canal_terrace", {"household.people": 4.0}), 60),
    )
    assert one.axis is other.axis
    assert one.weather is other.weather
    assert setting_for(sample("canal_terrace"), 30).axis is not one.axis


def test_a_weather_file_that_changes_is_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory, "MOST_IN_MEMORY", 10**12)  # nothing is forgotten between, whatever ran before
    path = tmp_path / "year.csv"

    def write(degrees: float) -> None:
        rows = "\n".join(f"2025-{m:02d}-{d:02d}T{h:02d}:00,{degrees + 0.1 * (h % 5)},80" for m, days in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), 1) for d in range(1, days + 1) for h in range(24))  # fmt: skip
        path.write_text(f"time,t,rh\n{rows}\n", encoding="utf-8")

    weather = {
        "file": str(path), "format": "csv", "label": "start", "clock": "utc",
        "columns": {"time": "time", "outdoor_c": "t", "humidity": "rh"},
    }  # fmt: skip
    write(5.0)
    case = changed("harbour_flat", {"weather": weather, "site.zone": "UTC", "site.country": "GB"})
    first = setting_for(case, 60).weather
    assert setting_for(case, 60).weather is first
    write(7.5)
    again = setting_for(case, 60).weather
    assert again.frame["outdoor_c"].mean() == pytest.approx(first.frame["outdoor_c"].mean() + 2.5, abs=1e-6)


def test_a_zone_whose_clock_moves_by_half_an_hour_shortens_the_step() -> None:
    """Lord Howe Island moves its clock by 30 minutes, IANA: hours can't follow it, half-hours can."""
    case = flat(**{"site.zone": "Australia/Lord_Howe"})
    step, notes = step_of(case)
    assert step == 30
    assert notes == ("Steps were shortened from 60 to 30 minutes: the clock of Australia/Lord_Howe changes by less.",)
    assert setting_for(case).axis.step_minutes == 30
    assert step_of(flat(**{"site.zone": "Asia/Kolkata"})) == (60, ())
