"""Household, panels, battery and prices in; the electric series and the battery's constants out."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.billing.signal import PriceSignal
from simkit.case.home.household import Household
from simkit.case.home.site import Site
from simkit.case.power.battery import Battery
from simkit.case.power.car import Car
from simkit.case.power.solar import Solar
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.profiles.absence import people_at_home, used_kw
from simkit.profiles.car import car_kw
from simkit.profiles.household import household_kw
from simkit.profiles.one_home import COARSE_MINUTES, Course, course_on, most_usual
from simkit.solar.sun import INVERTER_EFFICIENCY, array_and_clipped_kw
from simkit.weather.record import Weather

NO_LIMIT_KW = 1e6


def household_series(household: Household, axis: TimeAxis, folder: Path, site: Site, seed: int = 0) -> Floats:
    """Electricity of the household, mean over each step, (steps,) [kW].

    `seed` is the number of the household where it is drawn as one home; 0 takes its own, or the most usual of them.
    """
    if household.one:
        return _one_kw(household, axis, folder, site, seed or usual_home(axis, site, household))
    return _mean_kw(household, axis, folder, site)


@memo
def _one_kw(household: Household, axis: TimeAxis, folder: Path, site: Site, number: int) -> Floats:
    """The load of one home, without the peaks within its steps, which only a fuse asks for, (steps,) [kW]."""
    return one_course(household, axis, folder, site, number).mean_kw


def one_course(household: Household, axis: TimeAxis, folder: Path, site: Site, seed: int) -> Course:
    """The course of one home on an axis, with the highest five minutes of each step."""
    number = seed or usual_home(axis, site, household)
    return course_on(_mean_kw(household, _quarters(axis.zone, axis.year), folder, site), number, axis)


@memo
def _quarters(zone: str, year: int) -> TimeAxis:
    return TimeAxis(zone, year, COARSE_MINUTES)


def usual_home(axis: TimeAxis, site: Site, household: Household) -> int:
    """Number of the home that a household is drawn as: as stated, or the most usual of those that it may be.

    That is one for all options of a case: it is found at a usual use without absence, so that no option that uses more
    or less, or goes away, meets another.
    """
    return household.home_number or most_usual(axis.zone, axis.year, site.country, site.latitude_deg < 0.0)


@memo
def _mean_kw(household: Household, axis: TimeAxis, folder: Path, site: Site) -> Floats:
    """The household's load as the mean of many like it, or from its file, (steps,) [kW]."""
    southern = site.latitude_deg < 0.0
    usual = household_kw(axis, household, folder=folder, country=site.country, southern=southern)
    same = household.file is not None or household.usual
    return np.ascontiguousarray(usual if same else used_kw(usual, household, axis))


@memo
def gains_kw(household: Household, axis: TimeAxis, folder: Path, site: Site, seed: int = 0) -> Floats:
    """Heat of people and of the household's own electricity, (steps,) [kW]: thrift costs heat."""
    people = household.people if household.usual else people_at_home(household, axis)
    return household_series(household, axis, folder, site, seed) * household.heat_share + (
        people * household.heat_per_person_w / 1000.0
    )


@memo
def car_series(car: Car, axis: TimeAxis, signal: PriceSignal) -> Floats:
    """Electricity of the car, mean over each step, (steps,) [kW]."""
    return car_kw(axis, car, signal.import_per_kwh)


@memo
def panels_kw(solar: Solar, site: Site, weather: Weather) -> tuple[Floats, Floats]:
    """Electricity of the panels after the inverter, and what its limit cuts away of it, (steps,) each [kW]."""
    given, cut = array_and_clipped_kw(weather, site, solar)
    return np.ascontiguousarray(given), np.ascontiguousarray(cut)


def through_inverter(battery: Battery) -> float:
    """Share that the inverter between battery and home leaves where the battery's own efficiencies leave it out [-]."""
    return INVERTER_EFFICIENCY if battery.coupling == "dc" else 1.0


@memo
def battery_series(battery: Battery | None, signal: PriceSignal) -> dict[str, Floats]:
    """When the battery fills from the grid, may serve the home, and sells, (steps,).

    A filled kWh is given back only where the price passes price_low/(η_c·η_d) + wear, so that no spread below losses
    and wear is chased, both ways through the panels' inverter among them where the battery sits behind it; charge from
    surplus has cost what its export would have earned.
    """
    price = signal.import_per_kwh
    nothing = np.zeros(len(price))
    if battery is None:
        return {"charge_to": nothing, "release": nothing, "sell": nothing}
    both = battery.charge_efficiency * battery.discharge_efficiency * through_inverter(battery) ** 2
    cheap = cheap_steps(battery, signal)
    low = float(price[cheap].mean()) if cheap.any() else float(np.mean(signal.export_per_kwh))
    release = (price > low / both + battery.wear_per_kwh) & ~cheap
    sell = nothing
    # a store that fills from the grid holds energy of both kinds: it sells only where the contract lets it sell either
    if battery.sell_above_price is not None and (signal.sells_grid_energy or not cheap.any()):
        sell = (signal.export_per_kwh > battery.sell_above_price).astype(float)
    return {"charge_to": cheap * battery.charge_to, "release": release.astype(float), "sell": sell}


def cheap_steps(battery: Battery, signal: PriceSignal) -> Bools:
    """Steps in which the battery is filled from the grid, (steps,)."""
    if battery.fill_below_price is None:
        return np.zeros(len(signal.import_per_kwh), dtype=bool)
    return signal.import_per_kwh < battery.fill_below_price


def battery_constants(battery: Battery | None, solar: Solar | None = None) -> dict[str, float]:
    """The battery's constants by the kernel's names; an absent battery holds nothing.

    What it gives passes the panels' inverter where it sits behind it: `discharge_kw` and `discharge_efficiency` are
    those after it.
    """
    grid_side = {"inverter_efficiency": 1.0, "per_inverter_efficiency": 1.0, "shared_inverter_kw": NO_LIMIT_KW}
    if battery is None:
        return (
            grid_side
            | dict.fromkeys(
                ("usable_kwh", "reserve_kwh", "charge_kw", "discharge_kw", "battery_idle_kw", "store_surplus"), 0.0
            )
            | dict.fromkeys(
                ("charge_efficiency", "per_charge_efficiency", "discharge_efficiency", "per_discharge_efficiency"), 1.0
            )
        )
    usable, through = battery.usable_kwh * battery.health, through_inverter(battery)
    shared = grid_side
    if battery.coupling == "dc" and solar is not None:
        shared = {
            "inverter_efficiency": through, "per_inverter_efficiency": 1.0 / through,
            "shared_inverter_kw": solar.inverter_kw,
        }  # fmt: skip
    return shared | {
        "usable_kwh": usable,
        "reserve_kwh": battery.reserve_share * usable,
        "charge_kw": battery.charge_kw,
        "discharge_kw": battery.discharge_kw * through,
        "charge_efficiency": battery.charge_efficiency,
        "per_charge_efficiency": 1.0 / battery.charge_efficiency,
        "discharge_efficiency": battery.discharge_efficiency * through,
        "per_discharge_efficiency": 1.0 / (battery.discharge_efficiency * through),
        "battery_idle_kw": battery.idle_w / 1000.0,
        "store_surplus": float(battery.store_surplus),
    }
