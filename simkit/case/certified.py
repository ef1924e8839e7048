"""A case with a certificate in; the home as certificates reckon it out."""

from __future__ import annotations

from simkit.case.build import case_from
from simkit.case.case import Case
from simkit.case.home.household import HOURS_OF_YEAR

CERTIFICATE_C = 20.0  # EN ISO 13790:2008 Annex G: set-point of heating in dwellings
CERTIFICATE_GAINS_W_M2 = 5.0  # common practice: people and appliances of a dwelling by floor area, mean of the year


def as_certified(before: Case) -> Case:
    """The home as a certificate reckons it: 20 °C all day, usual gains, the usual weather, no hot water in it.

    Whatever else stands in the case has no part in it: people, schedules, machines, rooms one by one.
    """
    usual = {"periods": [{"from": "00:00", "to": "24:00", "c": CERTIFICATE_C}], "setback_c": CERTIFICATE_C}
    gains_kwh = CERTIFICATE_GAINS_W_M2 * before.home.floor_area_m2 * HOURS_OF_YEAR / 1000.0
    kept = {name: before.stated[name] for name in ("name", "currency", "site", "weather", "home")}
    table = kept | {
        "tariff": before.tariff,
        "heat_source": "boiler",
        "boiler": {"capacity_kw": 200.0, "flow_c": 65.0},
        "fuel": {"kind": "electricity"},
        "comfort": usual,
        "controls": {**usual, "heating_limit_c": before.controls.heating_limit_c},
        "emitters": {"sized_for_flow_c": 50.0},
        "household": {"annual_kwh": min(gains_kwh, 100_000.0), "heat_share": 1.0, "people": 0.0, "profile": "mean"},
    }
    return case_from(table, folder=before.folder, label=before.label)
