"""A year as a whole: balances, prices, what must never get better by getting worse, and one day looked at."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pandas as pd
import pytest
from homes import NAMES, changed, inputs, sample, setting
from real_weather import GREENSBORO, in_package
from references import Reference

from simkit.assemble.emitters import design_load_kw
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import step_of
from simkit.kernel.run import run_homes
from simkit.physics.heat_pump import reference_cops
from simkit.physics.running import lift_of
from simkit.tariff.tariff import Tariff
from simkit.validation.published import published
from simkit.year.simulate import simulate
from simkit.year.year import Year

FIELD, TRIALS = published("spf_field_trials")
BALANCE_KWH = 1e-6
OPTIONS = [(name, option) for name in NAMES for option, _, _ in sample(name).options()]


@cache
def year(name: str, option: str | None = None, minutes: int | None = None, **_: Any) -> Year:
    return simulate(sample(name, option), step_minutes=minutes)


def varied(changes: dict[str, Any], name: str = "estuary_bungalow", minutes: int = 60) -> Year:
    return simulate(changed(name, changes), step_minutes=minutes)


@pytest.mark.parametrize(("name", "option"), OPTIONS)
def test_every_balance_of_every_sample_closes(name: str, option: str) -> None:
    for what, left in year(name, option).balance().items():
        Reference(0.0, f"own: energy in is energy out, {what}", BALANCE_KWH, "rounding of a year").check(left)


def test_balance_can_fail() -> None:
    """Heat that leaks unnoticed shows: the flows are integrals of their own, not differences."""
    whole = year("harbour_flat")
    leaking = whole.run.totals._replace(envelope_loss=whole.run.totals.envelope_loss * 1.0001)
    assert abs(replace(whole, run=replace(whole.run, totals=leaking)).balance()["building"]) > 0.1


def test_a_flat_tariff_is_energy_times_price() -> None:
    bands = range(len(sample("harbour_flat").tariff.band))
    prices = {f"tariff.band.{n}.price_per_kwh": 2.5 for n in bands}
    case = changed("harbour_flat", {"tariff.standing_per_day": 0.0, **prices})
    found = simulate(case)
    taxed = 1.0 if case.tariff.prices_include_tax else 1.0 + case.tariff.tax
    by_hand = found.totals["import"] * 2.5 * taxed
    lines = len(found.bill.lines)
    Reference(
        by_hand, "own: kWh × price", 0.005 * 12 * lines + 1e-6, "each line of each month is rounded to the cent"
    ).check(found.bill.total)


def test_more_insulation_never_costs_more_heat() -> None:
    """Thirty-two losses of each home, emitters sized for each: heat and electricity rise with the loss."""
    for name in NAMES:
        case = changed(name)
        losses = np.linspace(40.0, 500.0, 32)
        around = setting(case)
        made = run_homes(
            [home_inputs(case, around, float(loss)) for loss in losses], around.axis.steps, around.axis.hours
        )
        assert np.all(np.diff(made.totals.space_heat) > 0.0), name
        assert np.all(np.diff(made.totals.grid_import) > 0.0), name


def test_bigger_emitters_never_raise_the_least_flow() -> None:
    load = design_load_kw(changed("estuary_bungalow"), 250.0)
    previous: Year | None = None
    for rated in (1.3, 1.7, 2.2, 3.0, 5.0):
        found = varied({"controls.flow": "least", "emitters.sized_for_flow_c": None, "emitters.rated_kw": rated * load})
        if previous is not None:
            heated = (found.hourly["space_heat_kw"] > 0.1) & (previous.hourly["space_heat_kw"] > 0.1)
            lower = previous.hourly.loc[heated, "flow_c"] - found.hourly.loc[heated, "flow_c"]
            assert (lower * found.hourly.loc[heated, "space_heat_kw"]).sum() > 0.0
            # hour by hour too, but for a few in which the better-heated home asks for more
            assert (lower > -0.2).mean() > 0.99
            assert float(found.spf.space_h4 or 0.0) > float(previous.spf.space_h4 or 0.0)
        previous = found


def test_the_least_flow_is_never_above_the_curve_of_the_emitters() -> None:
    least = varied({"controls.flow": "least", "controls.recovery_lift_k": 0.0})
    curve = varied({"controls.recovery_lift_k": 0.0})
    heated = (least.hourly["space_heat_kw"] > 0) & (curve.hourly["space_heat_kw"] > 0)
    assert (least.hourly.loc[heated, "flow_c"] <= curve.hourly.loc[heated, "flow_c"] + 1e-9).all()
    assert least.spf.space_h4 > curve.spf.space_h4


def test_lower_flow_never_lowers_performance() -> None:
    found = [
        varied({"controls.design_flow_c": f, "emitters.sized_for_flow_c": f}).spf.space_h4
        for f in (58.0, 55.0, 50.0, 45.0, 40.0, 35.0)
    ]
    assert np.all(np.diff([float(f or 0.0) for f in found]) > 0.0)


def test_slopes_per_kelvin_of_flow(capsys: pytest.CaptureFixture[str]) -> None:
    """Electricity per heat by a kelvin of actual flow (fixed) and by a kelvin of design flow (compensated)."""

    def slope(flow: str, hot: float, cool: float) -> float:
        used = []
        for at in (hot, cool):
            t = varied(
                {"controls.flow": flow, "controls.design_flow_c": at, "emitters.sized_for_flow_c": cool}
            ).run.totals
            used.append(t.heat_pump_space / t.heat_pump_space_heat)
        return 100.0 * float(np.log(used[0] / used[1])) / (hot - cool)

    actual, design = slope("fixed", 50.0, 45.0), slope("compensated", 55.0, 47.0)
    with capsys.disabled():
        print(f"\nper kelvin of actual flow {actual:.2f} % (rule: 2 to 3 %, common practice); "
              f"of design flow {design:.2f} % (rule: about 1.2 %, own)")  # fmt: skip
    Reference(2.5, "common practice: 2 to 3 % a kelvin of actual flow", 0.6, "machines differ").check(actual)
    Reference(
        1.3, "own: about 1.2 % a kelvin of design flow on a compensated curve", 0.5, "machines and climates differ"
    ).check(design)
    assert design < 0.75 * actual


def test_performance_of_a_typical_retrofit_is_in_the_band() -> None:
    named = ", ".join(
        f"{row['trial']}: {row['statistic']} {row['value']}" for row in TRIALS if row["heat_source"] == "air"
    )
    for flow, low, high in ((55.0, 2.2, 3.0), (40.0, 3.0, 4.2), (35.0, 3.0, 4.2)):
        found = varied({"controls.design_flow_c": flow, "emitters.sized_for_flow_c": flow}).spf.h4
        band = Reference(
            0.5 * (low + high), f"own band for {flow:g} °C; field results {named} ({FIELD})", 0.5 * (high - low),
            "field figures leave boundary and flow temperature open: a band, no test of one home",
        )  # fmt: skip
        band.check(float(found or 0.0))


def test_turning_it_down_shows_as_missing_comfort() -> None:
    """Cheaper, and counted against what the people need, not against its own set-point."""
    warm = varied({})
    cool = varied({"controls.periods": [{"from": "05:00", "to": "22:30", "c": 18.0}], "controls.setback_c": 17.0})
    assert cool.bill.total < warm.bill.total
    assert warm.comfort.held
    assert cool.comfort.degree_hours_below > 20.0 * max(warm.comfort.degree_hours_below, 10.0)
    needed = cool.case.comfort
    missing = np.maximum(cool.inputs.series["needed_c"] - cool.hourly["air_c"].to_numpy() - needed.tolerance_k, 0.0)
    Reference(missing.sum() * cool.axis.hours, "own: K·h under the needed profile, by hand", 1e-6, "a sum").check(
        cool.comfort.degree_hours_below
    )
    np.testing.assert_array_equal(cool.inputs.series["needed_c"], warm.inputs.series["needed_c"])


def test_cop_is_taken_at_the_commanded_flow_lift_included() -> None:
    """Steady part of the load, hours without water: electricity follows from the flow that was sent, not that needed."""
    changes = {
        "controls.setback_c": 17.0,
        "hot_water.litres_per_day_at_40": 0.0,
        "hot_water.tapping": None,
        "hot_water.hygiene.every": "never",
    }
    lifted, plain = (
        varied({**changes, "controls.recovery_lift_k": 10.0}),
        varied({**changes, "controls.recovery_lift_k": 0.0}),
    )
    hours, home = lifted.hourly, lifted.inputs.home
    dry = (hours["space_heat_kw"] > 0.1) & (hours["water_share"] == 0) & (hours["backup_heater_kw"] == 0)
    rows = hours[dry]
    series = {name: values[dry.to_numpy()] for name, values in lifted.inputs.series.items()}
    flow = rows["flow_c"].to_numpy()
    between = np.clip((flow - 35.0) / 20.0, 0.0, 1.0)
    efficiency = series["efficiency_0"] + between * (series["efficiency_1"] - series["efficiency_0"])
    share = rows["space_heat_kw"].to_numpy() / rows["capacity_kw"].to_numpy()
    least = rows["least_output_kw"].to_numpy() / rows["capacity_kw"].to_numpy()
    part = 1.0 + home.part_load_gain * (1.0 - np.clip(share, least, 1.0))
    reference = reference_cops(flow, series["source_c"], lift_of(home))
    ratio = np.minimum(share / least, 1.0)
    by_hand = (
        efficiency
        * home.efficiency_scale
        * part
        * reference
        * ratio
        / (home.cycling_degradation * ratio + 1 - home.cycling_degradation)
    )
    np.testing.assert_allclose(rows["cop"], by_hand, rtol=1e-9)
    morning = (lifted.axis.minute_of_day == 5 * 60) & (lifted.axis.month == 1)
    risen = lifted.hourly.loc[morning, "flow_c"].to_numpy() - plain.hourly.loc[morning, "flow_c"].to_numpy()
    assert np.median(risen) > 5.0
    dearer, usual = lifted.run.totals, plain.run.totals
    assert dearer.heat_pump_space / dearer.space_heat > 1.02 * usual.heat_pump_space / usual.space_heat


def test_points_that_leave_defrosting_out_cost_a_damp_season_a_few_per_cent() -> None:
    held = varied({"home.loss": {"w_per_k": 250.0}}).run.totals
    bare = varied({"home.loss": {"w_per_k": 250.0}, "heat_pump.points_hold": ["fan"]}).run.totals
    more = bare.heat_pump_space / held.heat_pump_space - 1.0
    Reference(0.045, "own: 2 to 7 % of a damp season, milder places less", 0.025, "one small model").check(more)


def test_a_small_coil_asks_for_hotter_water_and_more_time() -> None:
    small, big = (varied({"hot_water.coil_area_m2": area, "hot_water.reheat_minutes": None}) for area in (0.5, 3.0))
    assert small.spf.water_h4 < big.spf.water_h4
    assert small.hourly["water_flow_c"].max() >= big.hourly["water_flow_c"].max()
    assert small.run.totals.water_share > big.run.totals.water_share, "and takes more hours of the machine"


def test_one_day_shows_draws_reheat_the_coils_limit_and_the_time_it_takes() -> None:
    """The flagship's old cylinder on a cold Sunday, its hygiene cycle at one o'clock."""
    found = year("estuary_bungalow", "Heat pump, as installed")
    sundays = found.hourly_local[found.axis.weekday == 6]
    h = found.axis.hours
    by_day = sundays.groupby(pd.DatetimeIndex(sundays.index).date)
    drawn_kwh = by_day["tap_water_kw"].sum() * h
    outdoor_c = by_day["outdoor_c"].mean()[drawn_kwh > 5.0]  # tapping profile M is 5.8 kWh a day on average
    day = sundays[pd.DatetimeIndex(sundays.index).date == outdoor_c.idxmin()]
    drawn = day[day["tap_water_kw"] > 1.0]
    assert (drawn["cylinder_hot_share"] < 0.9).any()  # cold water came in below
    reheat = day[day["water_share"] > 0.0]
    assert reheat["hot_water_kw"].sum() * h > 3.0
    assert reheat.index.hour.isin([4, 5, 6, 13, 14, 15]).all()
    limited = reheat["water_flow_c"] > found.inputs.home.water_highest_flow_c - 0.1
    assert limited.any(), "the small coil should ask for the hottest flow"
    assert (
        reheat.loc[limited, "water_flow_c"].min() > day["flow_c"].max() - 3.0
    )  # hotter than the rooms nearly ever ask
    whole = day[day["water_share"] > 0.99]
    assert len(whole)
    assert (whole["space_heat_kw"] < 0.05).all()  # water takes the whole time
    shared = day[(day["water_share"] > 0.02) & (day["water_share"] < 0.98)]
    assert (shared["space_heat_kw"] > 0.5).any()  # or a share of it
    assert day["immersion_kw"].sum() * h > 0.2
    assert day["cylinder_hot_c"].max() == pytest.approx(60.0, abs=1e-6)
    # the room gives way while the machine is at the water, by a kelvin or so and not more
    assert 0.2 < day["air_c"].loc[day.index.hour == 12].mean() - day["air_c"].min() < 2.5


def night_tariff(like: Tariff) -> Tariff:
    """0.08 a kWh from half past midnight to half past four on the wall clock, 0.32 else."""
    first, kind = like.band[0].model_dump(by_alias=True, exclude_none=True), type(like.band[0])
    times = (("night", "00:30", "04:30", 0.08), ("day", "04:30", "00:30", 0.32))
    bands = [
        kind.model_validate({**first, "name": name, "from": start, "to": end, "price_per_kwh": price})
        for name, start, end, price in times
    ]
    return like.model_copy(update={"clock": "local", "meter_offset_minutes": 0, "band": tuple(bands)})


def test_a_load_that_follows_a_half_hour_window_costs_the_same_on_finer_steps() -> None:
    """Hot water at 00:30 to 04:30 where the night rate is 00:30 to 04:30: every kWh at the night rate."""
    water = {
        "hot_water.windows": [{"from": "00:30", "to": "04:30"}], "hot_water.hygiene.every": "never",
        "hot_water.volume_l": 300.0,
    }  # fmt: skip
    case = changed("moor_cottage", {**water, "tariff": night_tariff(sample("moor_cottage").tariff)})
    step, notes = step_of(case, 60)
    assert step == step_of(case)[0] == case.step_minutes == 30
    assert "shortened from 60 to 30 minutes" in notes[0]
    paid = {}
    for minutes in (60, 30, 15):
        found = simulate(case, step_minutes=minutes)
        used = found.run.flow("heat_pump_water")
        paid[minutes] = float((used * found.setting.signal.import_per_kwh).sum() / used.sum())
    night = 0.08 * (1.0 if case.tariff.prices_include_tax else 1.0 + case.tariff.tax)
    for minutes in (30, 15):
        Reference(night, "own: every kWh falls in the window", 1e-9, "edges fall on steps").check(paid[minutes])
    assert paid[60] > 1.05 * night, "an hourly step splits the edge: it is shortened unless forced"
    bills = [simulate(case, step_minutes=minutes).bill.total for minutes in (30, 15)]
    assert bills[0] == pytest.approx(bills[1], rel=0.005)
    assert simulate(case).axis.step_minutes == 30


@pytest.mark.parametrize("name", NAMES)
def test_the_length_of_the_step_decides_little(name: str) -> None:
    """Own: what a step lumps together is worth under one and a half per cent of the heat and of the performance."""
    found = [simulate(changed(name), step_minutes=minutes) for minutes in (60, 30, 15)]
    for coarse in found[:2]:
        assert coarse.totals["space_heat"] == pytest.approx(found[2].totals["space_heat"], rel=0.012)
        assert coarse.spf.h4 == pytest.approx(found[2].spf.h4, rel=0.012)
        assert coarse.spf.water_h4 == pytest.approx(found[2].spf.water_h4, rel=0.025)


def test_a_year_on_real_weather() -> None:
    """A measured typical year (TMY3, Greensboro, from pvlib's own package): heat is what degree-hours less gains ask for."""
    path = in_package(*GREENSBORO)
    place = {"site.zone": "America/New_York", "site.country": "US", "site.latitude_deg": 36.1, "site.longitude_deg": -79.95,
             "site.altitude_m": 273.0, "site.design_outdoor_c": -8.0}  # fmt: skip
    found = varied({**place, "weather": {"file": str(path), "format": "tmy3"}}, name="harbour_flat")
    assert all(abs(left) < BALANCE_KWH for left in found.balance().values())
    outdoor = found.hourly["outdoor_c"].to_numpy()
    Reference(14.4, "723170TYA.CSV: mean of its dry-bulb column", 0.4, "rounded; leap day and clock").check(
        float(outdoor.mean())
    )
    held = found.hourly["air_c"].to_numpy()
    lost = 0.092 * np.maximum(held - outdoor, 0.0).sum()
    gains = found.run.totals.solar_gain + found.run.totals.internal_gain + found.run.totals.cylinder_to_rooms
    assert max(lost - gains, 0.0) < found.totals["space_heat"] < lost
    assert 2.0 < float(found.spf.h4 or 0.0) < 5.0
    coldest = int(np.argmin(pd.Series(outdoor).rolling(24).mean()))
    assert (
        found.hourly["flow_c"].iloc[max(coldest - 23, 0) : coldest + 1].max()
        > found.hourly["flow_c"].replace(0, np.nan).mean()
    )


def test_a_peak_and_a_coldest_hour_are_of_the_year_not_of_the_run_in() -> None:
    found = year("canal_terrace")
    assert found.run.after.peak_import_kw == pytest.approx(found.hourly["import_kw"].max())
    assert found.comfort.min_room_c == pytest.approx(found.hourly["air_c"].min())
    assert inputs(changed("canal_terrace")).start.coldest_room_c == np.inf
