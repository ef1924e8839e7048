"""A figure in; what it becomes when one input is moved alone, the strongest first, out: a lane of the kernel each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from simkit.assemble.home import AS_STATED, Adjustment, home_inputs
from simkit.billing.price_signal import price_signal
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError
from simkit.explaining.chain import Figure, Moved
from simkit.kept.memory import memo_of_last
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.year.year import Year

TENTH = 1.1
TENTH_MORE = "a tenth more"


@dataclass(frozen=True)
class Input:
    """An input that is moved.

    Attributes
    ----------
    name, how
        What it is, and how far it is moved.
    adjusted
        How the home differs, where it is not the case that is changed.
    changes
        Makes the changes of a case by dotted key; None where the case doesn't have it.
    colder_k
        By how much every hour of the weather is colder [K].
    """

    name: str
    how: str
    adjusted: Adjustment = AS_STATED
    changes: Callable[[Case], dict[str, Any] | None] = lambda _: {}
    colder_k: float = 0.0


def _prices(case: Case) -> dict[str, Any] | None:
    """Every stated price of a bought kilowatt-hour a tenth higher; None where a file gives them."""
    tariff = case.tariff
    if any(terms.series is not None for terms in tariff.versions) or tariff.version:
        return None
    lists = {name: getattr(tariff, name) or () for name in ("band", "tier")}
    return {
        f"tariff.{name}.{place}.price_per_kwh": TENTH * one.price_per_kwh
        for name, rows in lists.items() for place, one in enumerate(rows)
    } or None  # fmt: skip


def _design_flow(case: Case) -> dict[str, Any] | None:
    runs = case.heat_pump is not None and case.heat_source != "boiler" and case.controls.flow != "least"
    flow = case.controls.design_flow_c
    return {"controls.design_flow_c": flow - 5.0} if runs and flow is not None else None


def _fuel_price(case: Case) -> dict[str, Any] | None:
    burns = case.fuel is not None and case.heat_source != "heat_pump" and case.fuel.price_per_unit
    return {"fuel.price_per_unit": TENTH * case.fuel.price_per_unit} if burns and case.fuel else None


def _household(case: Case) -> dict[str, Any] | None:
    stated = case.household.file is None and case.household.annual_kwh
    return {"household.annual_kwh": TENTH * case.household.annual_kwh} if stated else None


def _panels(case: Case) -> dict[str, Any] | None:
    if case.solar is None or not case.solar.array:
        return None
    return {f"solar.array.{place}.kwp": TENTH * one.kwp for place, one in enumerate(case.solar.array)}


def _battery(case: Case) -> dict[str, Any] | None:
    return None if case.battery is None else {"battery.usable_kwh": TENTH * case.battery.usable_kwh}


def _machine_runs(case: Case) -> dict[str, Any] | None:
    return {} if case.heat_pump is not None and case.heat_source != "boiler" else None


def _boiler_runs(case: Case) -> dict[str, Any] | None:
    return {} if case.boiler is not None and case.heat_source != "heat_pump" else None


INPUTS = (
    Input("room temperature held", "1 K warmer", Adjustment(set_point_k=1.0)),
    Input("heat loss", TENTH_MORE, Adjustment(loss=TENTH)),
    Input("efficiency of the heat pump", "a tenth better", Adjustment(efficiency=TENTH), _machine_runs),
    Input("efficiency of the boiler", "a tenth better", Adjustment(boiler=TENTH), _boiler_runs),
    Input("hot water drawn", TENTH_MORE, Adjustment(draws=TENTH)),
    Input("design flow", "5 K cooler", changes=_design_flow),
    Input("weather", "1 K colder in every hour", colder_k=1.0),
    Input("household electricity", TENTH_MORE, changes=_household),
    Input("price of electricity", TENTH_MORE, changes=_prices),
    Input("price of fuel", TENTH_MORE, changes=_fuel_price),
    Input("panels", TENTH_MORE, changes=_panels),
    Input("battery", TENTH_MORE, changes=_battery),
)


def moves(figure: Figure) -> tuple[Moved, ...]:
    """What a figure becomes with each input moved alone, the strongest first; what moves nothing is left out."""
    now, found = figure.amount, []
    for one in INPUTS:
        years = [_moved(year, one) for year in figure.years]
        if all(year is None for year in years):
            continue
        value = figure.value([moved or year for moved, year in zip(years, figure.years, strict=True)])
        if np.isfinite(value) and figure.written(value) != figure.written(now):
            found.append(Moved(one.name, one.how, float(value)))
    return tuple(sorted(found, key=lambda moved: -abs(moved.value - now)))


@memo_of_last(24)  # each input of a home and of one option beside it: a year takes some 6 MB
def _moved(year: Year, one: Input) -> Year | None:
    """The year run again with an input moved, its heat loss as it was found; None where it doesn't have it."""
    changes = one.changes(year.case)
    if changes is None:
        return None
    try:
        case = vary(year.case, changes) if changes else year.case
    except CaseError:
        return None
    setting = year.setting
    if case.tariff is not year.case.tariff:
        setting = replace(setting, signal=price_signal(case.tariff, year.axis, country=case.site.country))
    if one.colder_k:
        frame = setting.weather.frame.assign(outdoor_c=setting.weather.frame["outdoor_c"] - one.colder_k)
        setting = replace(setting, weather=replace(setting.weather, frame=frame))
    inputs = home_inputs(case, setting, year.loss_w_per_k, one.adjusted)
    run = year.run if _alike(inputs, year.inputs) else run_home(inputs, setting.axis.steps, setting.axis.hours)
    return Year(case, setting.axis, year.loss_w_per_k * one.adjusted.loss, setting, inputs, run)


def _alike(inputs: HomeInputs, others: HomeInputs) -> bool:
    """Whether a home is the same to the kernel, as where only a price moved that nothing in it listens to."""
    same = inputs.home == others.home and inputs.series.keys() == others.series.keys()
    return same and all(np.array_equal(series, others.series[name]) for name, series in inputs.series.items())
