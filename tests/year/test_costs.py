"""What each use costs: the groups add up to the bill, and each can be found by hand where a home is simple."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from references import Reference

from simkit.case.build import Case, options_of, vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file, sample_names
from simkit.year.costs import GROUPS, electric_uses
from simkit.year.simulate import simulate
from simkit.year.year import Year

SPLIT = "own: by hand from the year's own kWh and prices"
CENT = 0.005


@cache
def sample(name: str) -> Case:
    return read_case(sample_file(name, Path(__file__).parents[1]))


def flat(case: Case, **more: object) -> Case:
    """The same home at one price of 0.30 with tax around the clock and 0.50 a day."""
    prices: dict[str, object] = {"tariff.standing_per_day": 0.5}
    prices |= {f"tariff.band.{n}.price_per_kwh": 0.3 for n in range(len(case.tariff.band))}
    return vary(case, prices | more)


@pytest.mark.parametrize("name", sample_names(Path(__file__).parents[1]))
def test_groups_add_up_to_the_bill_of_every_option_to_the_cent(name: str) -> None:
    case = sample(name)
    for option in options_of(case):
        year = simulate(option)
        groups = year.costs.by_use
        assert tuple(groups) == GROUPS
        assert sum(round(100 * amount) for amount in groups.values()) == round(100 * year.bill.total)
        assert groups["standing_cost"] >= 0
        assert groups["export_cost"] <= 0


@pytest.mark.parametrize("name", sample_names(Path(__file__).parents[1]))
def test_uses_and_battery_make_up_all_electricity_of_each_step(name: str) -> None:
    year = simulate(sample(name))
    hourly = year.hourly
    used = sum(electric_uses(year).values())
    supplied = hourly["import_kw"] + hourly["solar_kw"] - hourly["export_kw"] - hourly["curtailed_kw"]
    assert abs(used - supplied.to_numpy()).max() < 1e-9


def test_at_one_price_each_use_costs_its_kwh_times_the_price() -> None:
    year = simulate(flat(sample("estuary_bungalow")))
    groups, kwh = year.costs.by_use, year.totals
    Reference(0.5 * 365, SPLIT, CENT, "standing charge of every day").check(groups["standing_cost"])
    Reference(0.3 * kwh["household"], SPLIT, 0.15, "rounding of twelve months").check(groups["household_cost"])
    heat = kwh["heat_pump_electricity"] + kwh["backup_heater"] + kwh["immersion"] + kwh["pumps"] + kwh["standby"]
    Reference(0.3 * heat, SPLIT, 0.15, "rounding of twelve months").check(
        groups["heating_cost"] + groups["hot_water_cost"]
    )


def test_fuel_goes_by_what_it_was_burnt_for_and_the_hob_is_household() -> None:
    case = next(option for option in options_of(sample("canal_terrace")) if option.heat_source == "boiler")
    year = simulate(flat(case, **{"boiler.pump_w": 0.0, "boiler.standby_w": 0.0}))
    assert case.boiler is not None
    assert case.fuel is not None
    groups, trace = year.costs.by_use, year.run.totals
    per_kwh = case.fuel.price_per_unit / case.fuel.kwh_per_unit
    reason = "rounding of twelve months"
    space = per_kwh * trace.boiler_space_heat / case.boiler.space_efficiency
    Reference(space, SPLIT, 0.2, reason).check(groups["heating_cost"])
    water = per_kwh * trace.boiler_water_heat / case.boiler.water_efficiency
    Reference(water, SPLIT, 0.2, reason).check(groups["hot_water_cost"])
    household = 0.3 * year.totals["household"] + per_kwh * case.fuel.other_use_kwh
    Reference(household, SPLIT, 0.2, reason).check(groups["household_cost"])


def battery_home() -> Year:
    """The heat-pump terrace with a battery that fills in the cheap band."""
    case = sample("canal_terrace")
    cheap = min(band.price_per_kwh for band in case.tariff.band)
    battery = {"usable_kwh": 6.0, "charge_kw": 3.0, "discharge_kw": 3.0, "fill_below_price": 1.02 * cheap}
    return simulate(vary(case, {f"battery.{key}": value for key, value in battery.items()}))


def test_what_a_battery_buys_is_paid_by_what_it_runs_later() -> None:
    year = battery_home()
    assert year.totals["battery_discharge"] > 500
    groups = year.costs.by_use
    assert sum(round(100 * amount) for amount in groups.values()) == round(100 * year.bill.total)
    bought = year.bill.total - groups["standing_cost"] - groups["export_cost"]
    uses = groups["heating_cost"] + groups["hot_water_cost"] + groups["household_cost"]
    assert uses == pytest.approx(bought, abs=CENT)


def test_a_battery_that_never_works_costs_its_idle_draw_and_nothing_else_more() -> None:
    battery = {"usable_kwh": 6.0, "charge_kw": 3.0, "discharge_kw": 3.0, "idle_w": 60.0}
    year = simulate(flat(sample("estuary_bungalow"), **{f"battery.{key}": value for key, value in battery.items()}))
    groups, kwh = year.costs.by_use, year.totals
    Reference(0.06 * 8760, "own: 60 W all year", 1e-6, "a sum").check(kwh["battery_idle"])
    heat = kwh["heat_pump_electricity"] + kwh["backup_heater"] + kwh["immersion"] + kwh["pumps"] + kwh["standby"]
    reason = "rounding of twelve months"
    Reference(0.3 * heat, SPLIT, 0.15, reason).check(groups["heating_cost"] + groups["hot_water_cost"])
    household = 0.3 * (kwh["household"] + kwh["battery_idle"])
    Reference(household, SPLIT, 0.15, reason).check(groups["household_cost"])


def test_tax_on_top_goes_with_what_it_is_charged_on() -> None:
    case = flat(sample("estuary_bungalow"), **{"tariff.tax": 0.2, "tariff.prices_include_tax": False})
    groups = simulate(case).costs.by_use
    Reference(0.5 * 365 * 1.2, SPLIT, CENT, "standing charge with its tax").check(groups["standing_cost"])


@pytest.mark.parametrize("name", ["estuary_blocks", "estuary_peak_power", "estuary_day_ahead"])
def test_tiers_peaks_and_hourly_prices_are_shared_out_whole(name: str) -> None:
    case = vary(sample("estuary_bungalow"), {"tariff": f"../tariffs/{name}.toml", "home.loss": {"w_per_k": 200.0}})
    year = simulate(case)
    groups, bill = year.costs.by_use, year.bill
    assert sum(round(100 * amount) for amount in groups.values()) == round(100 * bill.total)
    due = sum(line.amount * (1 + line.tax) for line in bill.lines if line.unit in ("days", "kW", "months"))
    Reference(due, SPLIT, 2 * CENT, "lines by day, month and peak with their tax").check(groups["standing_cost"])
    whole = bill.mean_price_per_kwh * year.totals["import"]
    used = sum(groups[use] for use in ("heating_cost", "hot_water_cost", "household_cost", "car_cost"))
    Reference(whole, SPLIT, 0.6, "rounding of each line of twelve months").check(used)
