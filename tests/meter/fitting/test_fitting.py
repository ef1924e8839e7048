"""Fits on the kit's own physics: known homes are found again, and what can't be known is said."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from meter.homes import FORTY_DAYS, days_of, fitted, flagship, forty, twin
from meter.invented import invent
from simkit.assemble.rooms import room_set
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.errors import CaseError, DataError
from simkit.meter.fitting.emulator import emulate
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.lanes import COUNTED, by_step, metered
from simkit.meter.fitting.observations import step_for
from simkit.meter.fitting.parameters import parameters_of, with_unknowns
from simkit.meter.fitting.weather_then import as_read, from_degree_days, from_temperatures, usual_weather
from simkit.meter.fitting.window import window_of
from simkit.meter.reading.derived import by_month
from simkit.meter.reading.reading import Readings, readings_from

ALL = ("import_kwh", "heat_pump_kwh", "heat_kwh", "room_c")


def test_blocks_of_lanes_are_the_year_that_simulate_runs() -> None:
    from simkit.year.simulate import simulate

    case = as_read(flagship())
    year = simulate(case, step_minutes=60)
    start, end = (pd.Timestamp(day, tz="Europe/Dublin").tz_convert("UTC") for day in ("2025-02-01", "2025-03-01"))
    window = window_of(case, start, end, weather=usual_weather(case, start, end, 60), run_in_days=31)
    unknowns = parameters_of(case)
    values = np.array([[one.centre for one in unknowns]])
    values[0, 0] = year.loss_w_per_k
    made = metered(window, unknowns, values, ["import_kwh", "heat_pump_kwh", "room_c"])
    february = year.months.loc[2]
    assert made["import_kwh"].sum() == pytest.approx(february["import_kwh"], rel=2e-3)  # another start a month before
    used = february[["heat_pump_kwh", "backup_heater_kwh", "immersion_kwh", "pumps_kwh", "standby_kwh"]].sum()
    assert made["heat_pump_kwh"].sum() == pytest.approx(used, rel=3e-3)
    assert made["room_c"].mean() == pytest.approx(february["air_c"], abs=0.01)


def test_heat_that_is_spared_is_never_more_than_a_days_heating() -> None:
    """Own: a home spared 60 kWh a day takes on every day what it takes without, less at most what heats its rooms; by
    steps and by days it is the same."""
    case = flagship()
    start, end = (pd.Timestamp(day, tz="Europe/Dublin").tz_convert("UTC") for day in ("2025-04-10", "2025-05-10"))
    window = window_of(case, start, end, weather=usual_weather(case, start, end, 60))
    unknowns = parameters_of(case)
    centre = {one.name: one.centre for one in unknowns}
    spared = centre | {"steady_kwh": -60.0}
    values = np.array([list(each.values()) for each in (centre, spared)])
    without, found = metered(window, unknowns, values, ["heat_kwh"])["heat_kwh"]
    by_day = {name: np.add.reduceat(flow, window.edges[:-1]) for name, flow in by_step(
        window, spared, {"heat_kwh": COUNTED["heat_kwh"], "water": ("heat_pump_water_heat",)}
    ).items()}  # fmt: skip
    assert by_day["heat_kwh"] == pytest.approx(found, abs=1e-6)
    assert found == pytest.approx(by_day["water"] + np.maximum(without - by_day["water"] - 60.0, 0.0), abs=0.01)
    assert (without - found < 59.0).any()


def test_forty_days_of_the_whole_homes_meter_find_the_home_in_their_ranges() -> None:
    found, truth = fitted(), twin().truth
    table = found.table
    assert (table["low"] < table["high"]).all()
    inside = [table.loc[name, "low"] <= truth[name] <= table.loc[name, "high"] for name in table.index]
    assert sum(inside) >= 6  # of nine at 90 %: fewer than six would happen to one home in a hundred
    assert abs(found.metrics["import_kwh"].nmbe) < 0.05  # ASHRAE Guideline 14: 5 % of bias
    assert found.metrics["import_kwh"].cv_rmse < 0.15  # and 15 % of scatter for a calibrated monthly model
    assert found.emulator_error < 0.6


def test_more_meters_tell_loss_and_efficiency_apart() -> None:
    one, all_ = fitted(4).table, fitted(4, ALL).table
    for name in ("loss_w_per_k", "efficiency", "held_k"):
        assert all_.loc[name, "spread_left"] < 0.85 * one.loc[name, "spread_left"]
    truth = twin(4, ALL).truth
    for name in ("loss_w_per_k", "efficiency"):
        assert all_.loc[name, "middle"] == pytest.approx(truth[name], rel=0.12)  # own: meters are off by 2 and 4 %
    assert all_.loc["mass", "spread_left"] < one.loc["mass", "spread_left"]


def test_the_emulator_stands_for_the_simulation_within_its_stated_error() -> None:
    case = flagship()
    start, end = (pd.Timestamp(day, tz="Europe/Dublin").tz_convert("UTC") for day in FORTY_DAYS)
    window = window_of(case, start, end, weather=usual_weather(case, start, end, 60))
    unknowns = parameters_of(case)

    def simulate(scores: np.ndarray) -> np.ndarray:
        values = np.column_stack([one.value(scores[:, j]) for j, one in enumerate(unknowns)])
        return metered(window, unknowns, values, ["import_kwh"])["import_kwh"]

    count = len(unknowns)
    made = emulate(simulate, np.zeros(count), 0.5 * np.eye(count), count=512, width=1.2, seed=3)
    fresh = np.random.default_rng(8).normal(0, 0.5, (64, count)).clip(-1.2, 1.2)
    apart = np.sqrt(np.mean((made.at(fresh) - simulate(fresh)) ** 2, axis=0))
    assert np.mean(apart) < 1.3 * np.mean(made.error)
    assert np.mean(apart) < 0.02 * simulate(fresh).mean()  # a day's reheat may fall on either side of midnight


def test_draws_start_from_their_seed_and_progress_is_told() -> None:
    made, told = twin(), []
    again = [
        fit(flagship(), days_of(made.readings, 0, 15), weather=made.weather, draws=640, seed=5, progress=lambda what, share: told.append(share))
        for _ in range(2)
    ]  # fmt: skip
    pd.testing.assert_frame_equal(again[0].draws, again[1].draws)
    assert len(again[0].draws) == 640
    assert told[0] < 0.1
    assert max(told) > 0.9


def test_readings_over_new_year_and_by_odd_dates_are_fitted_too() -> None:
    case = flagship()
    made = invent(case, 5, "2024-12-05", "2025-02-20")
    frame = made.readings.frame
    cuts = [0, 480, 1000, 1500, 1900, 2400, 2900, 3300, len(frame)]
    rows = pd.DataFrame(
        {
            "end": [frame["end"].iloc[b - 1] for b in cuts[1:]],
            "import_kwh": [frame["import_kwh"].iloc[a:b].sum() for a, b in pairwise(cuts)],
        },
        index=frame.index[cuts[:-1]],
    )
    found = fit(case, readings_from(rows, zone=made.readings.zone, name="odd dates"), weather=made.weather, draws=2000)
    assert len(found.residuals) == 8
    truth, table = made.truth, found.table
    ratio = found.draws["loss_w_per_k"] / found.draws["efficiency"]
    assert np.quantile(ratio, 0.01) < truth["loss_w_per_k"] / truth["efficiency"] < np.quantile(ratio, 0.99)
    assert table.loc["base_kwh", "spread_left"] < 1.1


def test_weather_from_a_sensor_or_from_degree_days_says_what_it_is() -> None:
    case, made = flagship(), twin()
    outdoor = made.weather.years[2025].frame["outdoor_c"]
    then = from_temperatures(case, outdoor["2025-01-01":"2025-02-25"].resample("60min").mean(), 30, source="unit")
    inside = slice("2025-01-10", "2025-02-18")
    np.testing.assert_allclose(
        then.years[2025].frame["outdoor_c"][inside].resample("60min").mean(), outdoor[inside].resample("60min").mean(), atol=1e-9
    )  # fmt: skip
    assert "which is often 0.5 K off" in then.notes[1]
    by_days = from_degree_days(case, {"2025-01": 330.0, "2025-02": 250.0}, 15.5, 60)
    daily = by_days.years[2025].frame["outdoor_c"].resample("1D").mean()
    assert np.maximum(15.5 - daily["2025-01"], 0).sum() == pytest.approx(330.0, abs=0.5)
    assert "single days are not known" in by_days.notes[0]
    with pytest.raises(DataError, match="are too few to stand for the weather"):
        from_temperatures(case, outdoor["2025-01-01":"2025-06-25"].resample("60min").mean().iloc[::200], 30)


def test_too_few_days_and_the_wrong_machine_are_refused() -> None:
    case, made = flagship(), twin()
    with pytest.raises(DataError) as refused:
        fit(case, days_of(made.readings, 0, 3), weather=made.weather)
    assert str(refused.value) == (
        "readings: whole days or spans: 3 of import_kwh are too few to fit: 6 are needed. "
        "Read on, or mend the gaps: days that lack more than a fiftieth of their readings are left out."
    )
    from simkit.case.build import options_of

    boiler = options_of(case)[0]
    with pytest.raises(CaseError, match="has no heat pump, and the readings are of one"):
        fit(boiler, forty(4, ALL), weather=twin(4, ALL).weather)
    with pytest.raises(DataError, match="comes from two files"):
        fit(case, [made.readings, made.readings], weather=made.weather)


def test_the_fitted_home_is_a_case_again() -> None:
    home = fitted().fitted_case()
    assert home.home.loss.fuel_amount is None
    assert home.home.loss.w_per_k == pytest.approx(fitted().draws["loss_w_per_k"].median(), abs=0.06)
    assert home.heat_pump is not None
    described = flagship().heat_pump
    assert described is not None
    scale = described.efficiency_scale * fitted().draws["efficiency"].median()
    assert home.heat_pump.efficiency_scale == pytest.approx(scale, abs=1e-3)


def test_rooms_of_a_fitted_home_lose_together_what_was_found() -> None:
    case = vary(read_case(sample_file("estuary_bungalow").with_name("rooms.toml")), {"option": None, "baseline": None})
    for loss in (150.0, 310.0):
        made = with_unknowns(case, {"loss_w_per_k": loss, "base_kwh": 3000.0, "efficiency": 1.0})
        kept = [1000.0 * room.design_loss_kw / (room.needed_c or 20.0) for room in case.room or ()]
        now = [1000.0 * room.design_loss_kw / (room.needed_c or 20.0) for room in made.room or ()]
        assert room_set(made, loss).scale == pytest.approx(1.0, abs=1e-3)
        assert np.array(now) / now[0] == pytest.approx(np.array(kept) / kept[0], rel=1e-3)


def _summed(readings: Readings, step: str) -> Readings:
    """The same energies by hours or local days."""
    frame = readings.frame.tz_convert(readings.zone)
    summed = frame["import_kwh"].resample(step).sum()
    starts = pd.DatetimeIndex(summed.index)
    ends = starts + (pd.DateOffset(days=1) if step == "1D" else pd.Timedelta(step))
    made = pd.DataFrame(
        {"end": ends.tz_convert("UTC"), "import_kwh": summed.to_numpy()}, index=starts.tz_convert("UTC")
    )
    return readings_from(made, zone=readings.zone, name=step)


def test_hours_and_days_give_the_loss_that_half_hours_give() -> None:
    """Own: a fit looks at whole days, whose sums are the same however finely they were read."""
    case, half = flagship(), forty()
    outdoor = twin().weather.years[2025].frame["outdoor_c"].reindex(half.frame.index).resample("60min").mean()
    logged = pd.DataFrame({"end": outdoor.index + pd.Timedelta(hours=1), "outdoor_c": outdoor})
    logger = readings_from(logged, zone=half.zone, name="logger")
    found = [fit(case, [one, logger], draws=2000) for one in (half, _summed(half, "60min"), _summed(half, "1D"))]
    loss = [one.table.loc["loss_w_per_k", "middle"] for one in found]
    assert loss[1:] == pytest.approx([loss[0]] * 2, abs=1.0)
    # own: people scatter by a fifth of a day, and the sun of those days is not known in a home with twice the windows
    assert max(one.metrics["import_kwh"].cv_rmse for one in found) < 0.35
    assert "Temperatures are as logged" in found[1].notes[0]
    assert "They come from a logger" in found[1].notes[1]


def test_typed_degree_days_give_one_loss_whatever_the_readings_step() -> None:
    """Own: months are held against degree-days, and months have the same sums however finely they were read."""
    case = flagship()
    made = invent(case, 11, "2025-01-01", "2025-08-01")
    short = (
        15.5 - made.weather.years[2025].frame["outdoor_c"].tz_convert(made.readings.zone).resample("1D").mean()
    ).clip(lower=0)
    sums = short.groupby(short.index.strftime("%Y-%m")).sum()
    typed = {str(month): float(value) for month, value in sums.items() if month < "2025-08"}
    loss = []
    for one in (made.readings, _summed(made.readings, "1D")):
        weather = from_degree_days(case, typed, 15.5, step_for(case, [one]))
        found = fit(case, by_month(one), weather=weather, draws=2000)
        assert len(found.residuals) == 7
        loss.append(found.table.loc["loss_w_per_k", "middle"])
    assert loss[1] == pytest.approx(loss[0], abs=1.0)


@pytest.mark.parametrize("step", [60, 30])
def test_a_window_after_june_runs_on_the_weather_of_its_own_hours(step: int) -> None:
    case = flagship()
    start, end = (pd.Timestamp(day, tz="Europe/Dublin").tz_convert("UTC") for day in ("2025-09-01", "2025-09-20"))
    then = usual_weather(case, start, end, step)
    window = window_of(case, start, end, weather=then)
    outdoor = then.years[2025].frame["outdoor_c"].reindex(window.starts)
    np.testing.assert_array_equal(window.series["outdoor_c"][window.run_in :], outdoor)
    assert window.hours == step / 60


def test_weather_of_other_steps_can_t_be_joined() -> None:
    hourly, halves = setting_for(flagship(), 60), setting_for(flagship(), 30)
    with pytest.raises(DataError) as refused:
        Setting(halves.axis, hourly.weather, halves.signal, halves.folder)
    assert str(refused.value) == (
        "weather: 8,760 steps of 60 minutes can't be joined with a year of 17,520 steps of 30 minutes. "
        "Make the weather on the axis of the run."
    )
