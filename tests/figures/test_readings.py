"""Figures of readings and fits: what is drawn, and the sentence beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from meter.homes import days_of, fitted, forty, twin

from simkit.case.sample_homes import sample_file
from simkit.figures import account as account_drawn
from simkit.figures import readings as drawn
from simkit.meter.account.account import start_account
from simkit.meter.account.signature import energy_signature
from simkit.meter.account.statement import statement
from simkit.meter.fitting.projection import project
from simkit.meter.reading.reading import readings_from


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    yield
    from matplotlib import pyplot

    pyplot.close("all")


def test_the_carpet_has_a_column_a_day_and_leaves_gaps_blank() -> None:
    frame = days_of(forty(), 0, 10).frame.copy()
    frame.loc[frame.index[100:148], "import_kwh"] = np.nan
    some = readings_from(frame, zone="Europe/Dublin", name="gap")
    ax = drawn.what_was_read(some)
    values = ax.collections[0].get_array()
    assert values.shape == (48, 10)
    assert int(np.ma.getmaskarray(values).sum()) == 48
    assert drawn.what_was_read_sentence(some).startswith("10 days of whole home in wall time")


def test_the_signature_shows_every_day_and_its_line() -> None:
    daily = forty().daily("import_kwh")
    outdoor = twin().weather.years[2025].frame["outdoor_c"].resample("1D").mean()
    found = energy_signature(daily, pd.Series(outdoor.to_numpy(), outdoor.index.tz_localize(None)))
    ax = drawn.signature_days(found)
    assert len(ax.lines[0].get_xdata()) == 40
    assert ax.get_ylim()[0] == 0
    base, slope, change = (part.middle for part in (found.base_kwh, found.slope_kwh_per_k, found.change_c))
    line = f"A day takes {base:.1f} kWh, and {slope:.2f} kWh more for each kelvin under {change:.1f} °C."
    straight = f"Each kelvin colder takes {slope:.2f} kWh more a day."
    assert drawn.signature_days_sentence(found) == (line if found.changes else straight)


def test_the_fit_is_drawn_over_time_and_against_temperature() -> None:
    axes = drawn.fit_over_time(fitted())
    assert len(axes) == 3
    rows = fitted().residuals
    left = np.array([bar.get_height() for bar in axes[1].patches])
    np.testing.assert_allclose(left, rows["measured"] - rows["predicted"])
    metric = fitted().metrics["import_kwh"]
    assert drawn.fit_over_time_sentence(fitted()) == (
        f"The fitted home is {100 * abs(metric.nmbe):.1f}\u00a0% off the whole home meter in all, and "
        f"{100 * metric.cv_rmse:.0f}\u00a0% on a typical day."
    )


def test_pairs_are_a_triangle_of_the_unknowns() -> None:
    axes = drawn.posterior_pairs(fitted())
    assert len(axes) == 10
    assert drawn.posterior_pairs_sentence(fitted(4)).startswith("Strongest tie: efficiency of the heat pump")


def test_the_fan_stands_on_its_low_and_ends_at_its_high() -> None:
    made = project(fitted(), lanes=32, weather_count=8)
    ax = drawn.fan_by_month(made)
    months = made.months
    np.testing.assert_allclose([bar.get_y() for bar in ax.patches[:12]], months["month_cost_low"])
    tops = [bar.get_y() + bar.get_height() for bar in ax.patches[:12]]
    np.testing.assert_allclose(tops, months["month_cost_high"])
    assert drawn.fan_by_month_sentence(made).endswith(" all in all.")


def test_the_account_ends_at_what_was_saved(tmp_path: Path) -> None:
    account = start_account(tmp_path / "a", sample_file("estuary_bungalow"), fitted(), forty())
    made = statement(account, weather=twin().weather)
    axes = account_drawn.running_account(made)
    assert axes[1].lines[0].get_ydata()[-1] == pytest.approx(made.days["saved"].sum())
    assert account_drawn.running_account_sentence(made).startswith("40 days: ")
    energy, money = account_drawn.what_did_it(made)
    for ax, ending, total in ((energy, "kwh", "metered_kwh"), (money, "cost", "cost")):
        months = made.cause_months
        heights = np.array([bar.get_height() for bar in ax.patches]).reshape(4, len(months))
        np.testing.assert_allclose(heights.sum(axis=0), months[total] - months[f"usual_{ending}"], atol=1e-6)
    assert account_drawn.what_did_it_sentence(made).startswith("Paid against the usual: ")


def test_figures_of_readings_are_listed_with_the_others() -> None:
    import simkit as sk

    public = {name for name, thing in vars(drawn).items() if getattr(thing, "__module__", "") == drawn.__name__}
    public = {name for name in public if not name.startswith("_") and name.islower()}
    assert {"what_was_read", "fan_by_month", "fit_over_time_sentence"} <= public
    assert public <= set(sk.figures.__all__)
    assert all(getattr(sk.figures, name) is getattr(drawn, name) for name in public)
