"""When electricity is cheap: days of 23, 24 and 25 hours, a late meter, hourly prices."""

from __future__ import annotations

from pathlib import Path

from figures.reading import assert_legible, texts
from simkit.clock import TimeAxis
from simkit.figures import cheap_hours
from simkit.tariff.tariff import read_tariff

TARIFFS = Path(__file__).parents[3] / "sample_data" / "tariffs"
LONDON = TimeAxis("Europe/London", 2025, 60)
METER = read_tariff(TARIFFS / "moor_night_meter.toml")


def ticks(ax: object) -> list[str]:
    return [label.get_text() for label in ax.get_xticklabels()]


def test_winter_summer_and_both_clock_changes() -> None:
    axes = cheap_hours(METER, LONDON)
    assert [ax.get_ylabel() for ax in axes] == [
        "Wednesday 15 January", "Wednesday 16 July", "Sunday 30 March, 23 hours", "Sunday 26 October, 25 hours",
    ]  # fmt: skip
    lengths = [max(patch.get_x() + patch.get_width() for patch in ax.patches) for ax in axes]
    assert lengths == [1440, 1440, 1380, 1500]
    assert [ticks(ax) for ax in axes] == [
        ["00:00", "06:42", "24:00"], ["00:42", "07:42", "24:00"], ["00:00", "07:42", "24:00"],
        ["00:42", "06:42", "24:00"],
    ]  # fmt: skip
    for ax in axes:
        assert_legible(ax)


def test_the_meter_s_clock_and_lateness_are_said() -> None:
    foot = cheap_hours(METER, LONDON)[-1].get_xlabel()
    assert (
        foot.replace("\n", " ")
        == "The meter's clock never changes to summer time. It switches 12 minutes later than stated, which is drawn."
    )
    plain = read_tariff(TARIFFS / "moor_evening_peak.toml")
    assert cheap_hours(plain, LONDON)[-1].get_xlabel() == ""


def test_prices_stand_in_the_stretches_with_tax() -> None:
    # own: 0.1385 × 1.05 = 0.145425; 0.2905 × 1.05 = 0.305025
    assert texts(cheap_hours(METER, LONDON)[0], "price") == ["0.1454", "0.3050"]


def test_hourly_prices_are_shaded_and_their_ends_said() -> None:
    hourly = read_tariff(TARIFFS / "estuary_day_ahead.toml")
    axes = cheap_hours(hourly, TimeAxis("Europe/Dublin", 2025, 60))
    assert len(axes[0].patches) > 12
    assert texts(axes[0], "price") == []
    assert axes[-1].get_xlabel().startswith("Lightest 0.")
    assert ticks(axes[0])[:3] == ["00:00", "03:00", "06:00"]
