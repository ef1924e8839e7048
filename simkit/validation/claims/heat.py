"""Buildings, emitters, cylinders and readings: what standards print and general solvers give, and the kit beside it."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from typing import get_args

import numpy as np
import pandas as pd
from scipy.integrate import solve_ivp

from simkit.arrays import Floats
from simkit.assemble.building import shell, ventilation_w_per_k
from simkit.meter.account.metrics import metrics_of
from simkit.meter.account.signature import Signature, energy_signature
from simkit.performance.en14825 import standard_season
from simkit.performance.en14825_climates import CLIMATES, ClimateName
from simkit.performance.measured import heat_meter_error
from simkit.physics.building import coupling_kw_per_k
from simkit.physics.constants import J_PER_KWH
from simkit.physics.emitter_store import FILM_W_PER_M2K, Store, passed_on
from simkit.physics.emitters import emitter_kw
from simkit.physics.hot_water import coil_power_kw
from simkit.physics.rooms import unsafe
from simkit.physics.running import Places, along_segment, between_knots
from simkit.validation.claim import LIBRARIES, STANDARDS, Claim, Naive
from simkit.validation.homes import home
from simkit.validation.published import column, published

ISO13790 = "EN ISO 13790:2008"
BUILDINGS = "as the Modelica Buildings library quotes it (Zone5R1C, hInt, hSur, ratSur)"
EN1434 = "EN 1434-1, class 2, as the technical description of a heat meter prints it"
HOURS_OF_LOAD = (2066.0, 2465.0, 1336.0)
DIFFERENCES_K = (3.0, 5.0, 10.0, 20.0)
RADIATORS = {"rated": 10.0, "n": 1.3, "kwh_per_k": 0.142, "design_k": 27.0}
FLOOR = {"rated": 26.0, "n": 1.1, "kwh_per_k": 2.9, "design_k": 12.0}
FED_KW = (0.0, 1.5, 3.0)
KNOTS_C, EFFICIENCIES = (25.0, 35.0, 42.0, 48.0, 55.0), (0.38, 0.43, 0.45, 0.44, 0.41)
FLOWS_C = np.linspace(20.0, 60.0, 81)
COIL_KW_PER_K, TANK_KWH_PER_K, COLD_C, HOT_C = 0.3, 0.2, 20.0, 57.0
HELD_H = (0.1, 0.5, 1.0)


def _capacities() -> list[float]:
    """Heat that a house of 100 m² takes for a kelvin, by class [kWh/K]."""
    plain = home("canal_terrace").home.model_copy(update={"floor_area_m2": 100.0})
    made = [plain.model_copy(update={"thermal_mass": name}) for name in _classes()]
    shells = [shell(one, 150.0, 0.3, 0.5) for one in made]
    air = 10_000.0 * 100.0 / J_PER_KWH  # of air and furnishings, which the standard's classes leave out
    return [one.air_kwh_per_k + one.fabric_kwh_per_k - air for one in shells]


def _classes() -> list[str]:
    return [row["class"] for row in published("iso13790_thermal_capacity")[1]]


def _reference_heat() -> list[float]:
    """Heat of each reference season at a design load of 10 kW [kWh]."""
    machine = home("canal_terrace").heat_pump
    if machine is None:
        raise ValueError("the canal home has a heat pump")
    seasons = (standard_season(machine, name, design_kw=10.0) for name in get_args(ClimateName))
    return [float(one.account["heat_kwh"].sum()) for one in seasons]


def _store(of: dict[str, float]) -> Store:
    """Emitters that hold something, on a step of half an hour."""
    gives = of["rated"] * (of["design_k"] / 50.0) ** of["n"]
    return Store(of["rated"], of["design_k"] / gives, of["n"], 2.0 * of["kwh_per_k"], 0.5 / of["kwh_per_k"])


def _given(of: dict[str, float], exact: bool) -> list[float]:
    """Heat that emitters at their design excess give in half an hour, fed so much [kW]."""
    if not exact:
        return [passed_on(fed, of["design_k"], _store(of)).heat_kw for fed in FED_KW]

    def course(fed: float) -> Callable[[float, Floats], list[float]]:
        def rates(_: float, y: Floats) -> list[float]:
            gives = of["rated"] * (max(float(y[0]), 0.0) / 50.0) ** of["n"]
            return [(fed - gives) / of["kwh_per_k"], gives]

        return rates

    start = [of["design_k"], 0.0]
    return [float(solve_ivp(course(fed), (0.0, 0.5), start, rtol=1e-9, atol=1e-12).y[1, -1]) / 0.5 for fed in FED_KW]


def _warmed(exact: bool) -> list[float]:
    """Mean power of a coil held at 57 °C in a cylinder of 172 litres at 20 °C [kW]."""
    if not exact:
        end = 54.0
        fits = TANK_KWH_PER_K * (end - COLD_C)
        return [coil_power_kw(COLD_C, end, fits, COIL_KW_PER_K, HOT_C, hours) for hours in HELD_H]

    def rates(_: float, y: Floats) -> list[float]:
        return [COIL_KW_PER_K * (HOT_C - float(y[0])) / TANK_KWH_PER_K]

    ends = [solve_ivp(rates, (0.0, hours), [COLD_C], rtol=1e-11, atol=1e-12).y[0, -1] for hours in HELD_H]
    return [TANK_KWH_PER_K * float(end - COLD_C) / hours for end, hours in zip(ends, HELD_H, strict=True)]


def _between(flow_c: float) -> float:
    """The kit's piecewise line at a flow."""
    places = (along_segment(flow_c, a, 1.0 / (b - a)) for a, b in pairwise(KNOTS_C))
    return between_knots(Places(*places), *EFFICIENCIES)


@cache
def _days() -> tuple[pd.Series, pd.Series]:
    """Energy and temperature of 200 invented days: 8 kWh, and 2.1 more for each kelvin under 15.2 °C."""
    draws = np.random.default_rng(5)
    outdoor = draws.uniform(-4.0, 22.0, 200)
    used = 8.0 + 2.1 * np.maximum(15.2 - outdoor, 0.0) + draws.normal(0.0, 1.5, 200)
    index = pd.date_range("2025-01-01", periods=200, freq="D")
    return pd.Series(used, index), pd.Series(outdoor, index)


@cache
def _signature() -> Signature:
    return energy_signature(*_days())


def _fitted() -> Floats:
    """Base, slope and change-point by a general least-squares solver."""
    from scipy.optimize import curve_fit

    used, outdoor = (series.to_numpy() for series in _days())

    def bent(x: Floats, base: float, slope: float, change: float) -> Floats:
        return np.asarray(base + slope * np.maximum(change - x, 0.0))

    return np.asarray(curve_fit(bent, outdoor, used, p0=(10.0, 1.0, 14.0))[0])


def _at_usual_base() -> list[float]:
    used, outdoor = (series.to_numpy() for series in _days())
    cold = np.column_stack([np.ones(len(used)), np.maximum(15.5 - outdoor, 0.0)])
    return [*np.linalg.lstsq(cold, used, rcond=None)[0].tolist(), 15.5]


def _scatter(ours: bool) -> list[float]:
    """Bias and scatter of the signature's days, over N [-]."""
    measured, predicted = (_signature().days[name].to_numpy() for name in ("measured_kwh", "predicted_kwh"))
    off = predicted - measured + 0.3
    if ours:
        found = metrics_of(measured, measured + off)
        return [found.nmbe, found.cv_rmse]
    return [float(np.mean(off) / np.mean(measured)), float(np.linalg.norm(off) / np.sqrt(len(off)) / np.mean(measured))]


def _edge(test: Callable[[float], bool], low: float, high: float) -> float:
    """Where a test turns from true to false."""
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if test(middle) else (low, middle)
    return low


CLAIMS = (
    Claim(STANDARDS, "Heat that a house of 100 m² holds for a kelvin, by class [kWh/K]",
          f"{ISO13790}, Table 12, as three public transcriptions print it",
          lambda: 100.0 * column("iso13790_thermal_capacity", "Cm_J_per_K_m2") / J_PER_KWH, 1e-9, "exact", _capacities,
          Naive("air alone", lambda: [1.2 * 250.0 / 3600.0] * len(_classes()))),
    Claim(STANDARDS, "Air coupled to fabric, 100 m² of medium mass [kW/K]",
          f"{ISO13790}: 3.45 and 9.1 W/m²K, ratio 4.5, {BUILDINGS}",
          1e-3 / (1 / (3.45 * 450.0) + 1 / (9.1 * 250.0)), 1e-12, "in series", lambda: coupling_kw_per_k(100.0, 2.5),
          Naive("the film alone", lambda: 3.45e-3 * 450.0)),
    Claim(STANDARDS, "Heat carried out by half a change an hour of 250 m³ [W/K]",
          "air of 1.2 kg/m³ and 1,005 J/kgK, as the same library has it", 1005.0 * 1.2 / 3600.0 * 125.0, 0.25,
          "0.5 %: 1.2 kJ/m³K here", lambda: ventilation_w_per_k(home("canal_terrace").home.model_copy(
              update={"volume_m3": 250.0, "loss": home("canal_terrace").home.loss.model_copy(
                  update={"air_changes_per_hour": 0.5})}))),
    Claim(STANDARDS, "A floor 15 K warmer than the room, over one 9 K warmer [-]",
          "EN 1264: 175 and 100 W/m², as a trade school prints it", 1.75, 0.01, "whole watts per square metre",
          lambda: emitter_kw(1.0, 1.1, 15.0) / emitter_kw(1.0, 1.1, 9.0), Naive("in proportion", lambda: 15.0 / 9.0)),
    Claim(STANDARDS, "Heat of a floor 5 and 9 K warmer than its room [W/m²]",
          "EN 1264-2 and ISO 11855-2: 8.92·ΔT^1.1, as open code quotes it; 100 at 9 K, a trade school prints",
          tuple(8.92 * k**1.1 for k in (5.0, 9.0)), 3.0, "one film for both",
          lambda: [FILM_W_PER_M2K * k for k in (5.0, 9.0)]),
    Claim(STANDARDS, "Greatest error of a heat meter at 3, 5, 10 and 20 K [-]",
          f"{EN1434}: flow 2 + 0.02 qp/q, pair 0.5 + 3 Δmin/Δ, calculator 0.5 + Δmin/Δ [%]",
          [0.01 * (2.0 + 1.0 + 4.0 * 3.0 / k) for k in DIFFERENCES_K], 2.1e-4, "flow at qp adds 0.02 %",
          lambda: [heat_meter_error(2, k) for k in DIFFERENCES_K], Naive("the class alone", lambda: [0.02] * 4)),
    Claim(STANDARDS, "Heat of the three reference seasons at 10 kW [kWh]",
          "Regulation (EU) 811/2013, point 4(c): design load times 2,066, 2,465 and 1,336 h",
          tuple(10.0 * h for h in HOURS_OF_LOAD), 5.0, "printed as whole hours", _reference_heat,
          Naive("half load over all bin hours", lambda: [5.0 * one.hours.sum() for one in CLIMATES.values()])),
    Claim(STANDARDS, "Temperature under which a heated room counts as unsafe [°C]",
          "WHO Housing and Health Guidelines 2018: 18 °C as a safe minimum", 18.0, 1e-9, "printed",
          lambda: _edge(lambda air: unsafe(air, 20.0) > 0.0, 10.0, 25.0)),
    Claim(LIBRARIES, "What radiators that hold heat give in half an hour [kW]", "scipy.integrate.solve_ivp",
          lambda: _given(RADIATORS, True), 0.2, "4 % of the design heat: one straight line for a bent law",
          lambda: _given(RADIATORS, False),
          Naive("what they are fed", lambda: FED_KW)),
    Claim(LIBRARIES, "What a heated floor gives in half an hour [kW]", "scipy.integrate.solve_ivp",
          lambda: _given(FLOOR, True), 0.02, "0.4 % of the design heat: the same", lambda: _given(FLOOR, False),
          Naive("what it is fed", lambda: FED_KW)),
    Claim(LIBRARIES, "Mean power of a coil over 0.1, 0.5 and 1 h [kW]", "scipy.integrate.solve_ivp",
          lambda: _warmed(True), 1e-6, "the solver's own tolerance", lambda: _warmed(False),
          Naive("the power at the start", lambda: [COIL_KW_PER_K * (HOT_C - COLD_C)] * 3)),
    Claim(LIBRARIES, "Efficiency between the knots of a machine, 20 to 60 °C [-]", "numpy.interp",
          lambda: np.interp(FLOWS_C, KNOTS_C, EFFICIENCIES), 1e-12, "rounding",
          lambda: [_between(flow) for flow in FLOWS_C.tolist()],
          Naive("the mean of the points", lambda: np.full(len(FLOWS_C), np.mean(EFFICIENCIES)))),
    Claim(LIBRARIES, "Base, slope and change-point of 200 days [kWh, kWh/K, °C]",
          "scipy.optimize.curve_fit (Levenberg and Marquardt)", _fitted, (0.05, 0.02, 0.11),
          "the change-point is looked for in steps of a tenth",
          lambda: [_signature().base_kwh.middle, _signature().slope_kwh_per_k.middle, _signature().change_c.middle],
          Naive("15.5 °C taken for the change-point", _at_usual_base)),
    Claim(LIBRARIES, "Bias and scatter of those days, moved by 0.3 kWh [-]", "numpy.mean and numpy.linalg.norm",
          lambda: _scatter(False), 1e-12, "rounding", lambda: _scatter(True)),
)  # fmt: skip
