"""What a form's price, weather, measured performance and offer stand for in, what they change in the case out."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from simkit.assemble.machine import machine_map
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.heating.heat_pump import Point
from simkit.case.heating.other_heat import SOLID_KWH
from simkit.panels.fields import Value
from simkit.panels.form.bare import priced_tariff
from simkit.panels.form.fields import BASE_C, FILE, FLAT, GOES, NO_STOVE, OWN, STAYS
from simkit.schema.hints import bounds_of
from simkit.schema.overlay import parts_of
from simkit.weather.degree_days import monthly_degree_days
from simkit.year.simulate import simulate

Values = Mapping[str, Value | None]
Changes = dict[str, Any]
OFFER, GRANT = "heat pump, fitted", "grant"
TRIES = 3  # own: SPF goes almost as the scale does, and the third leaves no digit that is shown


def price_changes(case: Case, values: Values, moved: set[str], folder: Path) -> Changes:
    """The tariff: a file of the list, its path as seen from the folder, or one or two prices off the bill."""
    if values["price_kind"] == FILE:
        named = str(values["tariff"])
        return {"tariff": os.path.relpath(named, case.folder)} if "tariff" in moved and named != OWN else {}
    if not moved & {"price_kind", "price", "cheap_price", "cheap_from", "cheap_to", "standing"}:
        return {}
    price, cheap, standing = (float(values[name] or 0.0) for name in ("price", "cheap_price", "standing"))
    hours = (str(values["cheap_from"]), str(values["cheap_to"]))
    return {"tariff": priced_tariff(case, price, None if values["price_kind"] == FLAT else cheap, hours, standing)}


def first_stove(case: Case) -> Changes:
    """The stove that a form begins with: whether there is one, its wood [m³ stacked], and what that costs."""
    stove, cubic_metre = case.stove, SOLID_KWH["wood", "m3"][0]
    if stove is None:
        return {"stove": NO_STOVE, "wood": 4.0, "wood_price": 0.0}
    units = stove.fuel_kwh / cubic_metre
    kept = STAYS if stove.goes_on else GOES
    return {"stove": kept, "wood": round(units, 1), "wood_price": round(stove.cost / units, 2)}


def stove_changes(case: Case, values: Values, moved: set[str]) -> Changes:
    """A stove that was taken in, left out, or burns more or less than the case says."""
    if not moved & {"stove", "wood", "wood_price"}:
        return {}
    if values["stove"] == NO_STOVE:
        return {"stove": None} if case.stove is not None else {}
    wood = {"burns": "wood", "unit": "m3", "amount": values["wood"], "price_per_unit": values["wood_price"]}
    made = {"kind": "stove"} | dict(case.stated.get("stove", {})) | {"goes_on": values["stove"] == STAYS}
    if moved & {"wood", "wood_price"} or case.stove is None:
        made = {key: value for key, value in made.items() if key not in ("kwh_per_unit", "carbon_g_per_kwh")} | wood
    return {"stove": made}


def degree_days(case: Case) -> np.ndarray:
    """Degree-days of each month of a case's weather at 15.5 °C, (12,) [K·d]."""
    setting = setting_for(case, priced=False)
    return monthly_degree_days(setting.axis, setting.weather.frame["outdoor_c"].to_numpy(), BASE_C)


def weather_changes(case: Case, values: Values, moved: set[str]) -> Changes:
    """Degree-days of a year that were typed in, spread over the months as those of the place are."""
    if "degree_days" not in moved:
        return {}
    usual = degree_days(case)
    months = np.round(usual * float(values["degree_days"] or 0.0) / usual.sum(), 1)
    kept = {key: value for key, value in case.stated["weather"].items() if key not in ("mean_c", "degree_days")}
    return {
        "weather": {**kept, "degree_days": months.tolist(), "degree_day_base_c": BASE_C, "degree_day_rule": "hours"}
    }


def offer_changes(case: Case, values: Values) -> tuple[Changes, Changes]:
    """What the offer costs, as a ledger of the heat pump's option; and the day from which years are counted."""
    price, grant = float(values["offer"] or 0.0), float(values["grant"] or 0.0)
    if not price:
        return {}, {}
    day = dt.date(case.site.year + 1, 1, 1)
    items: list[dict[str, Any]] = [{"label": OFFER, "amount": price, "date": day, "kind": "quote"}]
    if grant:
        items.append({"label": GRANT, "amount": grant, "date": day, "kind": "grant", "against": OFFER})
    return {"ledger": {"item": items}}, {} if case.money is not None else {"money": {"start": day}}


def alike(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two options are the same home with the same heating, whatever they are called and cost."""
    first, second = (
        {
            **{key: value for key, value in option.items() if key not in ("name", "note", "ledger")},
            "heat_source": option.get("heat_source", "heat_pump"), "as_operated": option.get("as_operated", False),
            "without": [part for part in option.get("without", ()) if part != "ledger"],
        }
        for option in (one, other)
    )  # fmt: skip
    return first == second


def ledger_of(option: Mapping[str, Any]) -> Changes:
    """What an option costs, where it says so."""
    return {key: option[key] for key in ("ledger",) if key in option}


def scaled(case: Case, known: str, figure: float) -> Case:
    """The case with an efficiency that gives the SPF or the COP at 7/35 °C that somebody knows, within its bounds."""
    assert case.heat_pump is not None  # made whole
    low, high = bounds_of(parts_of(type(case.heat_pump))["efficiency_scale"].field) or (0.0, 0.0)
    for _ in range(TRIES):
        assert case.heat_pump is not None
        year = simulate(case)
        found = year.spf.h4 if known == "spf" else cop_at_7_35(case)
        scale = min(max(case.heat_pump.efficiency_scale * figure / float(found or figure), low), high)
        case = vary(case, {"heat_pump.efficiency_scale": round(scale, 4)})
    return case


def cop_at_7_35(case: Case) -> float:
    """COP of the machine with the source at 7 °C and the flow at 35 °C, its scale included [-]."""
    machine = case.heat_pump
    assert machine is not None  # made whole
    rated = Point.model_validate({"source_c": 7.0, "flow_c": 35.0, "capacity_kw": 1.0, "cop": 2.0})
    return machine_map(machine).full_load_cop(rated) * machine.efficiency_scale
