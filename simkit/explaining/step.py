"""A year and a step of it in; the same laws called in plain Python, and the chain from the weather to the cost, out.

The kernel and this module call the very same functions of `simkit.physics`. The state before the step is the kernel's
own; what the step makes of it is worked out here and must be what the kernel recorded.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from simkit.explaining.chain import MONEY, PRICE, DisagreementError, Figure, Link, Links, differs
from simkit.kernel.run import run_home
from simkit.notation import Notation
from simkit.physics.emitters import compensated_flow_c, emitter_limit_kw, recovery_lift_k, room_influence_k
from simkit.physics.heat_pump import cycling_quotient, heat_and_work, held_efficiency, part_load_factor, worked_flow_c
from simkit.physics.hot_water import TINY
from simkit.physics.records import Flows, Home, Levels, Now, State
from simkit.physics.running import efficiency_at, fuel_kw, lift_of, places_at
from simkit.physics.space_step import emit, heat_space, most_fed_kw, wanted_heat
from simkit.physics.step import Stages, closed, to_rooms_kw, used_for_heat
from simkit.physics.water_step import heat_water, stand_water
from simkit.year.year import Year


class Step(NamedTuple):
    """One step of one home, worked out in plain Python and found to be the kernel's."""

    year: Year
    place: int
    home: Home
    state: State
    now: Now
    did: Stages
    flows: Flows
    levels: Levels

    @property
    def hours(self) -> float:
        """Its length [h]."""
        return self.year.axis.hours


def worked_step(year: Year, place: int) -> Step:
    """Work a step out again in plain Python.

    Parameters
    ----------
    year
        The simulated year.
    place
        Number of the step, from 0.

    Raises
    ------
    DisagreementError
        Where the kernel recorded anything else.
    """
    home, hours, state = year.inputs.home, year.axis.hours, _state_before(year, place)
    now = Now(*(float(year.inputs.series[name][place]) for name in Now._fields))
    stood = stand_water(home, state, now, hours)
    water = heat_water(home, now, stood, hours)
    wish = wanted_heat(home, state, now, to_rooms_kw(home, stood, hours), water.share)
    did = Stages(stood, water, wish, emit(home, heat_space(home, now, wish, state.emitter_k), state.emitter_k))
    _, flows, levels = closed(home, state, now, did, hours)
    for name, value in (flows._asdict() | levels._asdict()).items():
        recorded = float(year.flow(name)[place])
        if differs(float(value), recorded):
            raise DisagreementError(f"{name} of step {place} is {value!r} by the laws and {recorded!r} by the kernel")
    return Step(year, place, home, state, now, did, flows, levels)


def _state_before(year: Year, place: int) -> State:
    """The kernel's state before a step."""
    if place == 0:
        return year.run.before
    cut = {name: series[:place] for name, series in year.inputs.series.items()}
    started = replace(year.inputs, start=year.run.before, series=cut)
    return run_home(started, place, year.axis.hours, run_in=False).after


def step_cost(year: Year, place: int) -> float:
    """What a step costs by the price that control sees: bought less sold, and fuel [currency]."""
    signal, hours, fuel = year.setting.signal, year.axis.hours, year.case.fuel
    bought = year.flow("grid_import")[place] * signal.import_per_kwh[place]
    sold = year.flow("grid_export")[place] * signal.export_per_kwh[place]
    burnt = (
        year.flow("fuel")[place] * (fuel.cost_per_unit / fuel.kwh_per_unit)
        if year.flow("fuel")[place] and fuel
        else 0.0
    )
    return float((bought - sold + burnt) * hours)


def step_figure(year: Year, place: int) -> Figure:
    """What a step costs, as a figure that can be asked for."""
    stamp = f"{year.axis.local[place]:%Y-%m-%d %H:%M}"
    label = f"cost of the {year.axis.step_minutes} minutes from {stamp}"
    return Figure(
        stamp, label, "step_cost", (year,), lambda years: step_cost(years[-1], place), partial(step_links, year, place)
    )


def step_links(year: Year, place: int) -> Links:
    """The chain of a step: rooms, flow, machine, hot water, electricity, cost."""
    made = worked_step(year, place)
    notation = year.case.notation
    return [
        *_rooms(made, notation), *_flow(made, notation), *_given(made, notation), *_emitted(made, notation),
        *_machine(made, notation),
        *_water(made, notation), *_burnt(made, notation), *_bought(made, notation), *_cost(made, notation),
    ]  # fmt: skip


def _rooms(made: Step, notation: Notation) -> Iterator[Link]:
    """The weather, the rooms before, and what they would come to without heating."""
    home, state, now, wish, n = made.home, made.state, made.now, made.did.wish, notation.number
    to_rooms = to_rooms_kw(home, made.did.stood, made.hours)
    air = home.internal_to_air * now.internal_gain_kw + home.solar_to_air * now.solar_gain_kw + to_rooms
    fabric = now.internal_gain_kw + now.solar_gain_kw + to_rooms - air
    yield Link("Outdoors", "", now.outdoor_c, "°C", 1, "weather of the case")
    yield Link("Room at the beginning", "", state.air_c, "°C", 2, "the step before")
    yield Link("Walls and floors at the beginning", "", state.fabric_c, "°C", 2, "the step before")
    worked = (
        f"{n(home.end_aa, 4)} × {n(state.air_c, 2)} + {n(home.end_af, 4)} × {n(state.fabric_c, 2)} + "
        f"{n(home.end_ao, 4)} × {n(now.outdoor_c, 2)} °C + {n(home.end_aqa, 4)} × {n(air, 3)} + "
        f"{n(home.end_aqf, 4)} × {n(fabric, 3)} kW of people, sun and cylinder"
    )
    source = "law free_course: exact response of two nodes (EN ISO 13790 couplings)"
    yield Link("Room at the end, unheated", worked, wish.end_air_c, "°C", 2, source)
    set_point = now.set_point_c + home.set_point_shift_k
    yield Link("Set-point", "", set_point, "°C", 1, "[controls]")
    if now.heating_season < 0.5:
        yield Link(
            "Heat wanted", "outdoors above the heating limit", wish.rate_kw, "kW", 2, "[controls] heating_limit_c"
        )
        return
    worked = f"({n(set_point, 2)} − {n(wish.end_air_c, 2)} °C) × {n(home.per_end_by_emitter, 3)} kW/K"
    if wish.time_left < 1.0:
        worked += f" ÷ {n(wish.time_left, 3)} of the time, the rest on hot water"
    yield Link("Heat wanted", f"{worked}, not below 0", wish.rate_kw, "kW", 2, "law wanted_heat")


def _flow(made: Step, notation: Notation) -> Iterator[Link]:
    """The flow that the controller asks for."""
    home, state, now, n = made.home, made.state, made.now, notation.number
    if made.did.given.heat_kw <= TINY:
        return
    if now.by_boiler > 0.5 or home.flow_fixed > 0.5:
        key = "[boiler] flow_c" if now.by_boiler > 0.5 else "[controls] design_flow_c"
        yield Link("Flow commanded", "fixed", made.did.wish.flow_c, "°C", 1, key)
        return
    set_point = now.set_point_c + home.set_point_shift_k
    curve = compensated_flow_c(
        now.curve_share, now.curve_shape, set_point, home.design_excess_k, home.water_difference_k
    )
    worked = (
        f"{n(set_point, 1)} °C + {n(home.design_excess_k, 2)} K × {n(now.curve_shape, 3)} + "
        f"½ × {n(home.water_difference_k, 1)} K × {n(now.curve_share, 3)}"
    )
    yield Link("Flow on the curve", worked, curve, "°C", 1, "law compensated_flow_c; [controls] design_flow_c")
    missing = set_point - state.air_c
    lift = recovery_lift_k(missing, home.recovery_lift_k) + room_influence_k(missing, home.room_influence)
    worked = f"{n(curve, 1)} °C + {n(lift, 2)} K lift, held between {n(home.floor_c, 1)} and {n(home.ceiling_c, 1)} °C"
    if home.flow_least > 0.5:
        worked += ", and no more than the load needs"
    yield Link("Flow commanded", worked, made.did.wish.flow_c, "°C", 1, "law commanded_flow_c")


def _given(made: Step, notation: Notation) -> Iterator[Link]:
    """What emitters and machine can give, and what the rooms get."""
    home, wish, given, n = made.home, made.did.wish, made.did.given, notation.number
    if given.heat_kw <= TINY:
        yield Link(
            "Heat to the rooms", "none is wanted, or none can be given", given.heat_kw, "kW", 2, "law heat_space"
        )
        return
    excess = wish.flow_c - wish.mean_air_c
    most = emitter_limit_kw(home.rated_kw, home.exponent, excess, wish.kelvin_per_kw, home.first_share)
    worked = (
        f"{n(home.rated_kw, 2)} kW × (x ÷ 50 K)^{n(home.exponent, 2)}, x = {n(excess, 1)} K − "
        f"{n(wish.kelvin_per_kw, 2)} K/kW × heat"
    )
    yield Link("Most that the emitters give", worked, most, "kW", 2, "law emitter_limit_kw (EN 442-2)")
    held = made.state.emitter_k
    if home.emitter_kwh_per_k > 0.0:
        warm = excess - wish.kelvin_per_kw * most
        worked = f"{n(most, 2)} kW + {n(home.emitter_fill_kw_per_k, 3)} kW/K × ({n(warm, 1)} − {n(held, 1)} K held)"
        most = most_fed_kw(home, excess, wish.kelvin_per_kw, held)
        yield Link("Most that the emitters take", worked, most, "kW", 2, "law fed_limit_kw")
    maker = "[boiler] capacity_kw" if made.now.by_boiler > 0.5 else "test points; law capacity_at"
    yield Link("Most that the heat source gives", "at that flow", wish.capacity_kw, "kW", 2, maker)
    worked = f"the least of {n(wish.rate_kw, 2)} wanted, {n(most, 2)} and {n(wish.capacity_kw, 2)} kW"
    if given.heat_kw > given.machine_kw + TINY:
        worked += f" with {n(given.heat_kw - given.machine_kw, 2)} kW of the back-up heater"
    if wish.time_left < 1.0:
        worked += f", × {n(wish.time_left, 3)} of the time"
    yield Link("Heat to the rooms", worked, given.heat_kw, "kW", 2, "law give_heat")


def _emitted(made: Step, notation: Notation) -> Iterator[Link]:
    """What the emitters pass on to the rooms of what they are fed and hold."""
    home, given, n = made.home, made.did.given, notation.number
    if home.emitter_kwh_per_k > 0.0:
        worked = (
            f"{n(given.heat_kw, 2)} kW fed, {n(home.emitter_kwh_per_k, 3)} kWh/K held, {n(made.state.emitter_k, 1)} K "
            f"over the room before and {n(given.emitter_k, 1)} K after"
        )
        yield Link("Heat into the rooms", worked, given.emitted_kw, "kW", 2, "law passed_on")


def _machine(made: Step, notation: Notation) -> Iterator[Link]:
    """From the test points to the electricity for the rooms."""
    home, now, wish, given, n = made.home, made.now, made.did.wish, made.did.given, notation.number
    if given.electric_kw <= 0.0:
        return
    made_at = wish.flow_c + home.mixing_penalty_k
    part = part_load_factor(given.load_share, wish.minimum_modulation, home.part_load_gain)
    found = efficiency_at(now, places_at(home, worked_flow_c(made_at, now.source_c, home.least_lift_k)))
    held = held_efficiency(found, home.efficiency_scale, part)
    worked = f"{n(found, 4)} of the points × {n(home.efficiency_scale, 3)} × {n(part, 4)} for part load"
    yield Link("Second-law efficiency", worked, held, "–", 4, "test points; laws efficiency_at, held_efficiency")
    heat, work = heat_and_work(made_at, now.source_c, lift_of(home))
    load, spread = cycling_quotient(given.load_share, wish.minimum_modulation, home.cycling_degradation)
    cop = held * heat / work * load / spread
    worked = f"{n(held, 4)} × {n(heat, 1)} K ÷ {n(work, 1)} K lift × {n(load / spread, 4)} for cycling"
    yield Link("COP", worked, cop, "–", 2, "laws heat_and_work (Carnot), cycling_quotient (EN 14825)")
    electric = given.machine_kw / cop
    if differs(electric, given.electric_kw):
        raise DisagreementError(
            f"electricity of step {made.place} is {electric!r} by COP and {given.electric_kw!r} by the step"
        )
    worked = f"{n(given.machine_kw, 3)} kW ÷ {n(cop, 3)}"
    yield Link("Heat pump, rooms", worked, electric, "kW", 3, "law electricity_at")


def _water(made: Step, notation: Notation) -> Iterator[Link]:
    """Hot water: what was drawn, whether the cylinder is heated, and by what."""
    stood, water, n, hours = made.did.stood, made.did.water, notation.number, made.hours
    if stood.wanted_kwh > 0:
        worked = f"{n(made.home.draw_scale, 2)} × {n(made.now.draw_kw, 3)} kW × {n(hours, 2)} h"
        yield Link("Hot water wanted at the taps", worked, stood.wanted_kwh, "kWh", 3, "[hot_water] tapping")
    if stood.called < 0.5:
        return
    worked = f"{n(water.share, 3)} of the time, flow {n(water.flow_c, 1)} °C"
    yield Link("Heat into the cylinder", worked, water.heat_kwh / hours, "kW", 3, "law reheat")
    if water.electric_kwh > 0:
        worked = f"{n(water.heat_kwh / hours, 3)} kW ÷ {n(water.heat_kwh / water.electric_kwh, 3)} (COP)"
        yield Link("Heat pump, hot water", worked, water.electric_kwh / hours, "kW", 3, "law electricity_at")
    if water.immersion_kwh > 0:
        yield Link("Immersion heater", "", water.immersion_kwh / hours, "kW", 3, "[hot_water] immersion_kw")


def _burnt(made: Step, notation: Notation) -> Iterator[Link]:
    """Fuel of a boiler."""
    flows, home, n = made.flows, made.home, notation.number
    if flows.fuel <= 0:
        return
    space, water = flows.boiler_space_heat, flows.boiler_water_heat
    worked = (
        f"{n(space, 3)} kW ÷ {n(1 / home.per_space_efficiency, 3)} + {n(water, 3)} kW ÷ "
        f"{n(1 / home.per_water_efficiency, 3)}"
    )
    value = fuel_kw(space, water, home.per_space_efficiency, home.per_water_efficiency)
    yield Link("Fuel burnt, gross", worked, value, "kW", 3, "law fuel_kw; [boiler]")


def _bought(made: Step, notation: Notation) -> Iterator[Link]:
    """What runs in the step, what panels and battery give, and what is bought and sold."""
    flows, n = made.flows, notation.number
    use = used_for_heat(made.home, made.now, made.did.water, made.did.given, made.hours)
    parts = {
        "heat pump": flows.heat_pump_space + flows.heat_pump_water, "heaters": flows.backup_heater + flows.immersion,
        "pumps": use.pumps_space + use.pumps_water, "standby": use.standby, "boiler": use.boiler,
        "household": flows.household, "car": flows.car, "battery’s own": flows.battery_idle,
        "into the battery": flows.battery_charge,
    }  # fmt: skip
    given = {"sun": flows.solar - flows.curtailed, "battery": flows.battery_discharge}
    worked = " + ".join(f"{n(kw, 3)} {name}" for name, kw in parts.items() if kw > 0) or "nothing"
    worked += "".join(f" − {n(kw, 3)} {name}" for name, kw in given.items() if kw > 0)
    yield Link("Bought", f"{worked}, not below 0", flows.grid_import, "kW", 3, "law settle")
    if flows.grid_export > 0:
        yield Link("Sold", "what is left over", flows.grid_export, "kW", 3, "law settle")


def _cost(made: Step, notation: Notation) -> Iterator[Link]:
    """The price of the step and what it comes to."""
    year, place, n = made.year, made.place, notation.number
    price, sold = year.setting.signal.import_per_kwh[place], year.setting.signal.export_per_kwh[place]
    yield Link("Price", "", float(price), PRICE, 4, f"tariff {year.case.tariff.name}")
    worked = f"{n(made.flows.grid_import, 3)} kW × {n(made.hours, 2)} h × {notation.price(float(price))}"
    if made.flows.grid_export > 0:
        worked += f" − {n(made.flows.grid_export, 3)} kW × {n(made.hours, 2)} h × {notation.price(float(sold))}"
    if made.flows.fuel > 0 and year.case.fuel is not None:
        per_kwh = year.case.fuel.cost_per_unit / year.case.fuel.kwh_per_unit
        worked += f" + {n(made.flows.fuel, 3)} kW × {n(made.hours, 2)} h × {notation.price(per_kwh)} for fuel"
    yield Link("Cost of the step", worked, step_cost(year, place), MONEY, 4, "billing, standing charges left out")
