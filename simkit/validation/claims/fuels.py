"""Heating values and carbon of fuels by chemistry and by governments, and what the kit holds and reckons with."""

from __future__ import annotations

import numpy as np

from simkit.case.heating.boiler import USUAL_KWH, kwh_of_volume
from simkit.case.shipped import default_table
from simkit.physics.constants import KELVIN, KWH_PER_LITRE_K, MJ_PER_KWH
from simkit.physics.hot_water import content_kwh
from simkit.validation.claim import HANDBOOKS, OPEN_DATA, STANDARDS, Claim, Naive
from simkit.validation.published import published

UK = "UK government conversion factors 2023, as a public copy of their table prints them"
MORAN = "Moran and Shapiro, Fundamentals of Engineering Thermodynamics, Table A-25"
NEW_ZEALAND = "New Zealand Ministry for the Environment, guidance of April 2008, Table 1"
ROWS = published("uk_fuel_factors_2023")[1]
NAMES = {"natural gas": "gas", "burning oil": "oil", "LPG": "lpg"}
UNITS = {"litre": 1.0, "kg": 1e-3, "m3": 1.0}
CARBON_DIOXIDE = 44.01  # kg/kmol, as printed there
METHANE, PROPANE = (16.04, 55_510.0, 50_020.0, 1), (44.09, 50_350.0, 46_360.0, 3)  # kg/kmol, kJ/kg, carbon atoms
MOLAR_M3 = 22.414 * (KELVIN + 15.0) / KELVIN  # of an ideal gas at 15 °C and 1 atm [m³/kmol]


def _carbon(kind: str) -> float:
    """Carbon that the kit takes where a case states none [g/kWh gross]."""
    return float(default_table()["by_kind"]["fuel"][kind]["carbon_g_per_kwh"])


def _by_burning(molar: float, gross: float, _: float, atoms: int) -> float:
    """Carbon dioxide of a kWh, gross, of a fuel that burns wholly [g/kWh]."""
    return 1000.0 * atoms * CARBON_DIOXIDE / molar / (gross / 3600.0)


def _net(molar: float, _: float, net: float, atoms: int) -> float:
    return _by_burning(molar, net, net, atoms)


def _printed_carbon(value: str = "gross") -> list[float]:
    return [1000.0 * float(row[f"kg_per_kwh_{value}"]) for row in ROWS if row["per"] == "kWh"]


def _printed_energy() -> list[float]:
    """Gross energy of a unit, from two factors of the table: kg a unit over kg a kWh [kWh]."""
    return [float(row["kg_per_unit"]) / float(row["kg_per_kwh_gross"]) for row in ROWS if row["per"] in UNITS]


def _held_energy() -> list[float]:
    return [USUAL_KWH[NAMES[row["fuel"]], row["per"]] for row in ROWS if row["per"] in UNITS]


def _litre_warmed_kj() -> float:
    """Heat that a litre takes for a kelvin [kJ]."""
    warm, cool = (content_kwh(t, t, 1.0, KWH_PER_LITRE_K) for t in (41.0, 40.0))
    return 1000.0 * MJ_PER_KWH * (warm - cool)


CLAIMS = (
    Claim(OPEN_DATA, "Carbon of gas, kerosene and LPG, gross [g/kWh]", UK, _printed_carbon, 0.6, "whole grams are held",
          lambda: [_carbon(NAMES[row["fuel"]]) for row in ROWS if row["per"] == "kWh"],
          Naive("by net value", lambda: _printed_carbon("net"))),
    Claim(OPEN_DATA, "Gross energy of a litre, a kilogram and a cubic metre of them [kWh]",
          f"{UK}: two columns divided", _printed_energy, lambda: 0.04 * np.array(_printed_energy()),
          "4 %: usual values, that are proposed and never assumed", _held_energy),
    Claim(HANDBOOKS, "Carbon of methane as it burns, beside natural gas [g/kWh]", f"{MORAN}, and the sum of its atoms",
          lambda: _by_burning(*METHANE), 6.0, "3 %: natural gas holds ethane and propane as well",
          lambda: _carbon("gas"), Naive("by net value", lambda: _net(*METHANE))),
    Claim(HANDBOOKS, "Carbon of propane as it burns, beside LPG [g/kWh]", f"{MORAN}, and the sum of its atoms",
          lambda: _by_burning(*PROPANE), 2.0, "1 %: LPG holds butane as well", lambda: _carbon("lpg"),
          Naive("by net value", lambda: _net(*PROPANE))),
    Claim(HANDBOOKS, "Energy of a kilogram of propane, beside LPG [kWh]", f"{MORAN}: 50,350 kJ/kg", PROPANE[1] / 3600.0,
          0.2, "1.5 %: LPG holds butane as well", lambda: USUAL_KWH["lpg", "kg"],
          Naive("net", lambda: PROPANE[2] / 3600.0)),
    Claim(HANDBOOKS, "Energy of a cubic metre of propane at 15 °C, beside LPG [kWh]", f"{MORAN}, as an ideal gas",
          PROPANE[0] * PROPANE[1] / 3600.0 / MOLAR_M3, 0.6, "2.5 %: propane is no ideal gas",
          lambda: USUAL_KWH["lpg", "m3"],
          Naive("at 0 °C", lambda: PROPANE[0] * PROPANE[1] / 3600.0 / 22.414)),
    Claim(STANDARDS, "Carbon of distributed gas, by gross value [g/kWh]", f"{NEW_ZEALAND}: 0.187 kg/kWh, carbon alone",
          187.0, 6.0, "3 %: gas of other fields", lambda: _carbon("gas")),
    Claim(STANDARDS, "Carbon of a kilogram of LPG [kg]", f"{NEW_ZEALAND}: 2.96 kg/kg", 2.96, 0.06,
          "2 %: another mixture", lambda: USUAL_KWH["lpg", "kg"] * _carbon("lpg") / 1000.0),
    Claim(HANDBOOKS, "145 hundred cubic feet of gas at 39.7 MJ/m³ [kWh]", "a worked bill of a consumers' guide (eHow)",
          4627.69, 0.5, "rounded on the way", lambda: 145.0 * float(kwh_of_volume("ft3_100", 39.7, 1.02264) or 0.0),
          Naive("31.6 a unit", lambda: 145.0 * 31.6)),
    Claim(STANDARDS, "Efficiency taken of a stove and of a pellet stove, their age unknown [-]",
          "EN 13240: 50 % at least, as SoliFTec tells it; HETAS: 65 and 70 % asked of new ones in Great Britain, gross",
          (0.575, 0.6), (0.075, 0.1), "between what any had to reach and what new ones must",
          lambda: [default_table()["by_kind"]["stove"][kind]["efficiency"] for kind in ("stove", "pellet stove")]),
    Claim(STANDARDS, "A litre of water warmed by a kelvin [kJ]", "BS 350:2004, Table 38: the kilocalorie IT, 4.1868 kJ",
          4.1868, 1e-9, "a litre is taken as a kilogram", _litre_warmed_kj),
)  # fmt: skip
