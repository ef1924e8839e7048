"""Field results and what the trade says without a source: bands, and what must never happen, in simulated years."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import ventilation_w_per_k
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.series import DEFROST_DEPTH
from simkit.case.build import vary
from simkit.decide.flow.worth import flow_worth
from simkit.finance.breakeven import HeatPrices, break_evens
from simkit.physics.heat_pump import carnot, defrost_factor
from simkit.solar.sun import plane_w_m2
from simkit.validation.claim import FIELD, OWN, PRACTICE, Claim, Naive
from simkit.validation.claims.handbooks import REGRESSIONS
from simkit.validation.homes import NAMES, by_regression, home, year
from simkit.weather.degree_days import monthly_degree_days
from simkit.weather.hours import weather_on
from simkit.year.simulate import simulate
from simkit.year.year import Year

TRIALS = "a band: field figures leave boundary and flow temperature open"
GB = "Electrification of Heat demonstration, Great Britain 2020 to 2024, 742 homes"
GERMANY = "Fraunhofer ISE, WP-QS im Bestand, 77 machines, 2025"
PLANTS = "Schardt and te Heesen, rooftop plants of 2015 to 2019"
FLOWS = (35.0, 40.0, 45.0, 50.0, 55.0, 60.0)
RATED = ((-7.0, 35.0), (2.0, 35.0), (7.0, 35.0), (2.0, 55.0), (7.0, 55.0))
ROOF = {"array": ({"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 180.0},), "inverter_kw": 4.0}
COLD_DAY_C = -3.0
FLOOR, WALLS = "ground floor", "front and back walls"
# Upper edges of the classes A+ to G [kWh/m²]: GEG, annex 10, as an engineers' dictionary prints it; and the area that
# is counted for each square metre of floor, common practice.
CLASS_EDGES, COUNTED_AREA = (30.0, 50.0, 75.0, 100.0, 130.0, 160.0, 200.0, 250.0), 1.2
WENIGER = "Weniger, Tjaden and Quaschning 2014, Energy Procedia 46, 78, as Quoilin and others 2016 quote it"


def _at_flow(flow: float) -> Any:
    """The estuary home with emitters sized for this flow."""
    return year(NAMES[0], ("controls.design_flow_c", flow), ("emitters.sized_for_flow_c", flow))


def _spf() -> Floats:
    return np.array([year(name).spf.h4 for name in NAMES], dtype=float)


def _of_days(name: str) -> tuple[Floats, Floats, Floats]:
    """Mean outdoor temperature, heat and electricity of the machine, by whole days of a home's year."""
    rows = year(name).hourly[["outdoor_c", "heat_pump_heat_kw", "heat_pump_kw"]]
    days = rows.to_numpy()[: 24 * (len(rows) // 24)].reshape(-1, 24, 3).mean(axis=1)
    return days[:, 0], days[:, 1], days[:, 2]


def _cold_days() -> float:
    """Heat over electricity of the coldest days of all sample homes."""
    parts = [(heat[air < COLD_DAY_C].sum(), used[air < COLD_DAY_C].sum()) for air, heat, used in map(_of_days, NAMES)]
    heat, used = np.sum(parts, axis=0)
    return float(heat / used)


def _days_below_one() -> int:
    return sum(int(np.sum((used > 0.01) & (heat < used))) for _, heat, used in map(_of_days, NAMES))


def _falls(values: list[float]) -> int:
    """How often a row that should rise falls."""
    return int(np.sum(np.diff(values) < 0.0))


def _shares_at_minus_10() -> list[float]:
    made = [by_regression(name) for name, *_ in REGRESSIONS if name.endswith("air")]
    return [one.at(one.capacity_kw, -10.0, 35.0) / one.at(one.capacity_kw, 7.0, 35.0) for one in made]


def _efficiencies() -> list[float]:
    """Second-law efficiency of every full-load test point of the sample machines."""
    machines = [home(name).heat_pump for name in NAMES]
    points = [point for one in machines if one is not None for point in one.point or () if point.part_load is None]
    return [point.cop / carnot(point.flow_c, point.flow_c - point.source_c) for point in points]


@cache
def _frost() -> list[float]:
    """Electricity by degree-hours with frosting over that without, less one, in each climate."""
    lost = []
    for name in NAMES:
        rows = year(name).hourly[["outdoor_c", "humidity"]].to_numpy()
        load = np.maximum(15.5 - rows[:, 0], 0.0)
        factor = np.array([defrost_factor(t, h, DEFROST_DEPTH) for t, h in rows.tolist()])
        lost.append(float((load / factor).sum() / load.sum() - 1.0))
    return lost


def _by_degree_days(base: float) -> float:
    """Heat of a year of all homes by 24 h × W/K × degree-days [kWh]."""
    made = [(year(name), loss_w_per_k(home(name))) for name in NAMES]
    return sum(
        0.024 * loss * float(monthly_degree_days(one.axis, one.hourly["outdoor_c"].to_numpy(), base).sum())
        for one, loss in made
    )


def _floor_saves() -> float:
    """What a year costs less when the canal home's floor loses 0.2 instead of 0.5 W/m²K."""
    better = _with("canal_terrace", {"home.loss.element": _elements(FLOOR, 0.2)})
    return year("canal_terrace").bill.total - better.bill.total


def _elements(name: str, u_w_per_m2k: float) -> tuple[dict[str, Any], ...]:
    """The canal home's elements, one of them with another U-value."""
    kept = home("canal_terrace").home.loss.element or ()
    rows = [one.model_dump(by_alias=True, exclude_none=True) for one in kept]
    return tuple(row | ({"u_w_per_m2k": u_w_per_m2k} if row["name"] == name else {}) for row in rows)


def _with(name: str, changes: dict[str, Any], minutes: int = 60) -> Year:
    """Year of a home with some lines changed; not kept, as a list can't name what is kept."""
    return simulate(vary(home(name), changes), step_minutes=minutes)


def _class_of(wall_w_per_m2k: float) -> float:
    """Place among the classes of a certificate of the canal home on its boiler, by fuel over the area it counts [-]."""
    elements = _elements(WALLS, wall_w_per_m2k)
    made = _with("canal_terrace", {"heat_source": "boiler", "home.loss.element": elements})
    burnt = sum(made.fuel_kwh.values())
    return float(np.searchsorted(CLASS_EDGES, burnt / (COUNTED_AREA * made.case.home.floor_area_m2)))


def _own_supply(minutes: int, profile: str) -> float:
    """Share of 5 MWh that 5 kWp and a battery of 5 kWh supply, the home heated by its boiler [-]."""
    roof = {"array": ({"kwp": 5.0, "tilt_deg": 35.0, "azimuth_deg": 180.0},), "inverter_kw": 5.0}
    battery = {"usable_kwh": 5.0, "charge_kw": 5.0, "discharge_kw": 5.0, "idle_w": 0.0, "reserve_share": 0.0}
    changes: dict[str, Any] = {"heat_source": "boiler", "solar": roof, "battery": battery}
    changes |= {"household.annual_kwh": 5000.0, "household.profile": profile}
    totals = _with("canal_terrace", changes, minutes).totals
    return 1.0 - totals["import"] / (totals["import"] + totals["solar"] - totals["export"])


@cache
def _stock() -> Floats:
    """SPF at H4 of a small stock: the four homes, sized for and run at 45 and 55 °C."""
    flows = ("controls.design_flow_c", "emitters.sized_for_flow_c")
    made = (year(name, *((key, flow) for key in flows)) for name in NAMES for flow in (45.0, 55.0))
    return np.array([one.spf.h4 for one in made], dtype=float)


@cache
def _roof() -> tuple[float, float]:
    """Yield of a roof of the canal home [kWh/kWp], and that over what falls on it [-]."""
    case = vary(home("canal_terrace"), {"solar": ROOF})
    made = simulate(case, step_minutes=60)
    falls = plane_w_m2(weather_on(case.site, case.weather, made.axis), case.site, 35.0, 180.0).sum() / 1000.0
    found = made.totals["solar"] / 4.0
    return found, found / float(falls)


def _cylinder(target: float) -> float:
    """Electricity of a year with the cylinder this hot [kWh]; its cost hangs on the hours of the tariff as well."""
    return float(year("canal_terrace", ("hot_water.target_c", target)).totals["import"])


CLAIMS = (
    Claim(FIELD, "SPF at H4 of the four sample homes, mean, beside the British median [-]", f"{GB}: median 2.80", 2.80,
          0.5, TRIALS, lambda: np.mean(_spf()), Naive("COP of the sheet at A7/W35", lambda: 4.5)),
    Claim(FIELD, "The same beside the British mean [-]", f"{GB}: mean 2.93", 2.93, 0.5, TRIALS,
          lambda: np.mean(_spf())),
    Claim(FIELD, "The same beside the metered British subsidy [-]", "Ofgem data of 1,431 machines: mean 2.65", 2.65,
          0.5,
          TRIALS, lambda: np.mean(_spf())),
    Claim(FIELD, "SPF at H4 of the estuary home at a flow of 40 °C [-]", f"{GERMANY}: mean 3.4", 3.4, 0.6, TRIALS,
          lambda: _at_flow(40.0).spf.h4),
    Claim(FIELD, "SPF at H4 of each sample home [-]", f"{GERMANY}: 2.6 to 5.4", (4.0,) * 4, 1.4,
          "what machines of the trial reached; no test of one home", _spf, held=False),
    Claim(FIELD, "Heat per electricity on days below −3 °C [-]", f"{GB}: coldest days, to about −6 °C, 2.44", 2.44, 0.5,
          TRIALS, _cold_days),
    Claim(FIELD, "Second-law efficiency of the sample machines' test points [-]",
          "ranges of test points: WPsmart im Bestand (heizungsjournal.de) and topten.ch, selection lists",
          lambda: np.full(len(_efficiencies()), 0.425), 0.125, "0.30 to 0.55 at rating points", _efficiencies),
    Claim(FIELD, "A kWp facing south in the canal home's climate [kWh a year]", f"{PLANTS}: Belgium 959", 959.0, 145.0,
          "15 %: roofs of all directions and ages there", lambda: _roof()[0]),
    Claim(FIELD, "That over what falls on the panels [-]", f"{PLANTS}: 0.73", 0.73, 0.1,
          "aged plants with their failures there, a new one here", lambda: _roof()[1],
          Naive("no losses", lambda: 1.0)),
    Claim(FIELD, "Share of 5 MWh that 5 kWp with a battery of 5 kWh supply [-]", f"{WENIGER}: about 54 %", 0.54, 0.08,
          "another household, another sky and quarter-hours for minutes",
          lambda: _own_supply(15, "one_home"),
          Naive("the mean of many homes, by the hour", lambda: _own_supply(60, "mean"))),
    Claim(FIELD, "SPF at H4 of a small stock, the middle one beside the British median [-]", f"{GB}: median 2.80", 2.80,
          0.5, TRIALS, lambda: np.median(_stock()), Naive("COP of the sheet at A7/W35", lambda: 4.5)),
    Claim(FIELD, "Machines of that stock at 3.0 or more [share]", "metered British subsidy: nearly 30 % of 1,431", 0.3,
          0.35, "eight machines, newer than those", lambda: np.mean(_stock() >= 3.0), held=False),
    Claim(PRACTICE, "A kelvin of actual flow [share of electricity]", "the trade: 2 to 3 %", 0.025, 0.008,
          "a rule of thumb",
          lambda: flow_worth(home("estuary_bungalow")).per_actual_k),
    Claim(PRACTICE, "Capacity left at −10 °C of that at 7 °C [-]", "the trade: 60 to 75 %", (0.675,) * 2, 0.075,
          "a band",
          _shares_at_minus_10, Naive("the rated capacity", lambda: (1.0, 1.0))),
    Claim(PRACTICE, "What frosting costs a damp season [-]", "the trade: about 5 %", 0.05, 0.008, "a round figure",
          lambda: np.mean(_frost()), Naive("no frosting", lambda: 0.0)),
    Claim(PRACTICE, "Heat lost with the air of the canal home [W/K]", "the trade: a third of changes an hour times m³",
          0.55 * 262.5 / 3.0, 1e-9, "exact for air of 1.2 kJ/m³K",
          lambda: ventilation_w_per_k(home("canal_terrace").home)),
    Claim(PRACTICE, "Days on which the machine gives less heat than it takes electricity",
          "the trade: above 1 all year", 0.0, 0.0, "none in four homes", _days_below_one),
    Claim(PRACTICE, "Steps from 35 to 60 °C of design flow that make a year cheaper",
          "the trade: a hotter flow is never cheaper to run", 0.0, 0.0, "none",
          lambda: _falls([_at_flow(flow).bill.total for flow in FLOWS])),
    Claim(PRACTICE, "Steps from 60 to 35 °C of design flow that lower the SPF", "the trade: cooler water, higher SPF",
          0.0,
          0.0, "none", lambda: _falls([_at_flow(flow).spf.h4 for flow in FLOWS[::-1]])),
    Claim(PRACTICE, "Steps from 45 to 60 °C of cylinder that take less electricity",
          "the trade: hotter water takes more", 0.0, 0.0, "none",
          lambda: _falls([_cylinder(target) for target in (45.0, 50.0, 55.0, 60.0)])),
    Claim(PRACTICE, "What an insulated floor saves the canal home a year [EUR]", "the trade: tens a year", 55.0, 45.0,
          "10 to 100; prices are invented", _floor_saves, held=False),
    Claim(PRACTICE, "Classes of a certificate that insulating its bare walls moves the canal home",
          "the trade: about two", 2.0, 1.0, "1 to 3: by how much wall there is",
          lambda: _class_of(1.7) - _class_of(0.25)),
    Claim(PRACTICE, "Heat of a year of the four homes together [kWh]", "the trade: 24 h × W/K × degree-days to 15.5 °C",
          lambda: _by_degree_days(15.5), lambda: 0.25 * _by_degree_days(15.5), "25 %: gains and set-backs differ",
          lambda: sum(year(name).totals["space_heat"] for name in NAMES),
          Naive("degree-days to 20 °C", lambda: _by_degree_days(20.0))),
    Claim(PRACTICE, "SPF at which electricity at four times the price of fuel costs the same [-]",
          "the trade: price ratio times boiler efficiency", 3.4, 1e-12, "exact",
          lambda: break_evens(HeatPrices(0.28, 0.07, 0.85, 12_000.0, 120.0, 180.0, 3.4)).marginal,
          Naive("the price ratio alone", lambda: 4.0)),
    Claim(OWN, "Cost of the canal home's year by the hour, over that by the quarter-hour [-]",
          "the same year on finer steps", 1.0, 0.01, "1 %: edges of windows and of prices fall inside hours",
          lambda: year("canal_terrace").bill.total / _with("canal_terrace", {}, 15).bill.total),
    Claim(OWN, "Energy that a year's accounts leave over in four homes [kWh]", "energy in is energy out", 0.0, 1e-6,
          "rounding of a year", lambda: max(abs(left) for name in NAMES for left in year(name).balance().values())),
)  # fmt: skip
