"""A sample home in; a home that holds what the form asks and nothing else of it out.

A form that begins with a sample would otherwise write its ledger, its measures, its windows and its machine into the
file of somebody who never saw them.
"""

from __future__ import annotations

from typing import Any

from simkit.case.build import case_from
from simkit.case.case import Case
from simkit.case.sample_homes import SAMPLE_DATA
from simkit.errors import raise_all
from simkit.panels.fields import Value
from simkit.panels.form.fields import COLD_FEED, CYLINDERS, FUELS, LITRES_EACH, SURVEY_INDOOR_C
from simkit.panels.form.set_points import held, lived
from simkit.schema.messages import checked
from simkit.tariff.tariff import Tariff

NAME = "My home"
REGRESSION = "ruhnau2019_air"
STORED_C = 50.0  # own: with a weekly hour at 60 °C, which every case has unless it says otherwise


def invented(case: Case) -> bool:
    """Whether a case is one of the sample homes, by the folder it lies in."""
    return SAMPLE_DATA in case.folder.resolve().parts


def bare(sample: Case, first: dict[str, Value | None]) -> Case:
    """Keep of a sample what the form asks.

    Parameters
    ----------
    sample
        A sample home, made whole.
    first
        What the form shows for it.
    """
    fuel, kind = sample.fuel, str(first["fuel_kind"])
    assert fuel is not None  # made whole
    _, coil_m2, loss_class, _ = CYLINDERS[str(first["cylinder"])]
    by_fuel = {"fuel_amount": first["fuel_amount"], "fuel_unit": first["fuel_unit"]}
    surveyed = {
        "design_kw": first["survey_kw"], "design_outdoor_c": first["survey_c"], "design_indoor_c": SURVEY_INDOOR_C,
    }  # fmt: skip
    size = float(first["capacity_kw"] or 0.0)
    stated: dict[str, Any] = {
        "name": NAME, "currency": sample.currency, "heat_source": "heat_pump", "tariff": flat_tariff(sample),
        "site": dict(sample.stated["site"]), "weather": dict(sample.stated["weather"]),
        "home": {
            "floor_area_m2": first["floor_area"], "thermal_mass": first["mass"],
            "loss": by_fuel if first["know"] == "fuel" else surveyed,
        },
        **held(first),
        "emitters": {"kind": sample.emitters.kind, "sized_for_flow_c": first["sized_c"]},
        "heat_pump": {
            "name": f"{size:g} kW outdoor unit", "regression": REGRESSION, "capacity_7_35_kw": size,
        },
        "hot_water": {
            "volume_l": first["volume_l"], "target_c": STORED_C, "coil_area_m2": coil_m2, "loss_class": loss_class,
            "litres_per_day_at_40": LITRES_EACH[str(first["draws"])] * float(first["people"] or 0.0),
            **{key: value for key, value in sample.stated["hot_water"].items() if key in COLD_FEED},
        },
        "boiler": {
            "space_efficiency": FUELS[kind].space_efficiency, "water_efficiency": FUELS[kind].water_efficiency,
            "as_operated": lived(first),
        },
        "fuel": {
            "kind": kind, "unit": fuel.unit, "kwh_per_unit": fuel.kwh_per_unit, "price_per_unit": fuel.price_per_unit,
            "standing_per_day": fuel.standing_per_day,
        },
        "household": {"annual_kwh": first["household_kwh"], "people": first["people"]},
    }  # fmt: skip
    stated["controls"]["design_flow_c"] = first["flow_c"]
    return case_from(stated, folder=sample.folder, label=sample.label)


def flat_tariff(case: Case) -> Tariff:
    """One price around the clock, to begin with: that of the first band of a case's own tariff."""
    own = case.tariff
    price = own.band[0].price_per_kwh if own.band else 0.3
    return priced_tariff(case, float(price), None, ("", ""), own.standing_per_day)


def priced_tariff(
    case: Case, price: float, cheap: float | None, hours: tuple[str, str], standing_per_day: float
) -> Tariff:
    """A tariff of one price, or of two: what a bill shows, tax included.

    Parameters
    ----------
    case
        Whose currency it is in.
    price, cheap
        Price and, where there are two, the lower one [currency/kWh].
    hours
        When the lower one holds, "HH:MM" each.
    standing_per_day
        Standing charge [currency/day].
    """
    dear = {"name": "All day", "price_per_kwh": price, "from": "00:00", "to": "24:00", "days": "all"}
    bands = [dear]
    if cheap is not None:
        begins, ends = hours
        bands = [
            dear | {"name": "Dear hours", "from": ends, "to": begins},
            dear | {"name": "Cheap hours", "price_per_kwh": cheap, "from": begins, "to": ends},
        ]
    tariff, faults = checked(
        Tariff,
        {
            "name": "My tariff", "note": "Typed into the home form.",
            "currency": case.currency, "valid_from": f"{case.site.year}-01-01", "tax": 0.0,
            "prices_include_tax": True, "clock": "local", "standing_per_day": standing_per_day, "band": bands,
        },
    )  # fmt: skip
    raise_all(faults)
    assert tariff is not None  # no fault, so there is one
    return tariff
