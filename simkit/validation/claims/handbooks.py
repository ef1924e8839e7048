"""Worked examples, tables and formulas of textbooks, handbooks and papers, and what the kit gives for them."""

from __future__ import annotations

from functools import cache, partial
from math import isnan, log
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.power.solar import Losses
from simkit.case.shipped import default_table
from simkit.clock import TimeAxis
from simkit.finance.cash import even_amount, periods_to_repay, present_value, return_rate
from simkit.physics.emitters import emitter_kw
from simkit.physics.heat_pump import carnot
from simkit.profiles.household import dynamic_factor
from simkit.solar.sun import Sun, combined_loss, split_beam_diffuse, sun_at
from simkit.validation.claim import HANDBOOKS, Claim, Naive
from simkit.validation.homes import by_regression, cop
from simkit.validation.published import column, published
from simkit.weather import degree_days as dd
from simkit.weather.damp import vapour_hpa
from simkit.weather.months import month_days
from simkit.weather.sky import Heaven, estimated_kwh_m2, heaven

EN442 = "EN 442 characteristic, n = 1.3, as a building-services index prints it (entry 136540)"
STAFFELL = "Staffell, Brett, Brandon and Hawkes 2012, Energy Environ. Sci. 5, 9291"
RUHNAU = "Ruhnau, Hirth and Praktiknjo 2019, Scientific Data 6:189, the authors' revised file"
FAO = "Allen, Pereira, Raes and Smith 1998, FAO Irrigation and Drainage Paper 56"
GITMAN = "Gitman 2003, Principles of Managerial Finance, as numpy-financial documents it"
DOBOS = "Dobos 2014, PVWatts Version 5 Manual (NREL/TP-6A20-62641)"
UK_RULE = "UK degree-day rule for the day's extremes, as two energy-management pages print it"
LIFTS = (20.0, 30.0, 40.0, 45.0, 50.0, 60.0)
MJ_PER_KWH = 3.6
REGRESSIONS = (  # name in the kit, rows of the published table, who says so, and what the kit takes off for the field
    ("staffell2012_air", "Staffell2012", "air", STAFFELL, 1.0),
    ("staffell2012_ground", "Staffell2012", "ground", STAFFELL, 1.0),
    ("ruhnau2019_air", "When2Heat_dataset_revised_csv", "air", RUHNAU, 0.85),
    ("ruhnau2019_ground", "When2Heat_dataset_revised_csv", "ground", RUHNAU, 0.85),
    ("ruhnau2019_groundwater", "When2Heat_dataset_revised_csv", "groundwater", RUHNAU, 0.85),
)


def _factors(excess: Floats, exponent: float = 1.3) -> list[float]:
    return [emitter_kw(1.0, exponent, k) for k in excess.tolist()]


def _printed_cops(source: str, heat_source: str, field: float) -> list[float]:
    return [
        field * column("cop_regressions", f"COP_at_{k:g}K", source=source, heat_source=heat_source)[0] for k in LIFTS
    ]


def _regression(name: str, row: str, kind: str, source: str, field: float) -> Claim:
    printed = partial(_printed_cops, row, kind, field)
    return Claim(
        HANDBOOKS, f"COP by lift, {name}, 20 to 60 K [-]", f"{source}; × {field:g}", printed, 1e-4, "four decimals",
        lambda: [cop(by_regression(name), 35.0 - k, 35.0) for k in LIFTS],
        Naive("the share of Carnot at 30 K held",
              lambda: [printed()[1] * carnot(35.0, k) / carnot(35.0, 30.0) for k in LIFTS]),
    )  # fmt: skip


def _example(name: str) -> tuple[list[float], float]:
    row = next(row for row in published("finance_examples")[1] if row["id"] == name)
    flows = [float(part) for part in row["cash_flows"].split(";")] if ";" in row["cash_flows"] else []
    return flows, float(row["value"])


def _rate(name: str) -> float:
    flows, value = _example(name)
    found = return_rate(flows)
    return min(found.roots, key=lambda rate: abs(rate - value)) if isnan(found.rate) else found.rate


@cache
def _sky(zone: str, *place: float) -> tuple[TimeAxis, Heaven]:
    axis = TimeAxis(zone, 2025, 60)
    return axis, heaven(axis, *place)


def _per_day_mj(zone: str, month: int, place: tuple[float, ...], **known: Any) -> float:
    axis, above = _sky(zone, *place)
    days = month_days(axis)
    given = {key: np.asarray(value) * (days if key == "sunshine_hours" else 1.0) for key, value in known.items()}
    return float(estimated_kwh_m2(axis, above, **given)[month - 1] / days[month - 1] * MJ_PER_KWH)


def _beyond_air_mj() -> float:
    beyond = _sky("Africa/Harare", -20.0, 30.0, 0.0)[1].beyond_w_m2
    return float(beyond.reshape(-1, 24)[246 - 1].sum() * MJ_PER_KWH / 1000.0)


def _golden() -> list[float]:
    when = pd.DatetimeIndex(["2003-10-17 12:30:30"], tz="Etc/GMT+7")
    sun = sun_at(when, 39.742476, -105.1786, 1830.14)
    return [float(sun.zenith_deg[0]), float(sun.azimuth_deg[0])]


def _diffuse_shares(*clearness: float) -> list[float]:
    beyond = sun_at(pd.DatetimeIndex(["2025-01-04 12:00"], tz="UTC"), 50.0, 0.0, 0.0).beyond_air_w_m2
    sun = Sun(np.array([60.0]), np.array([180.0]), beyond, np.array([4], dtype=np.int64))
    level = 0.5 * float(beyond[0])
    return [float(split_beam_diffuse(np.array([k * level]), sun)[1][0] / (k * level)) for k in clearness]


def _log_mean(flow: float, back: float, room: float) -> float:
    return (flow - back) / log((flow - room) / (back - room))


def _extremes(rule: bool) -> Floats:
    high, low, base = (column("uk_daily_hdd_maxmin_DERIVED", name) for name in ("Tmax", "Tmin", "base"))
    by_rule = [float(dd.from_extremes(h, t, b)) for h, t, b in zip(high, low, base, strict=True)]
    return np.array(by_rule) if rule else np.maximum(base - (high + low) / 2.0, 0.0)


PAIRS = ((55.0, 45.0), (50.0, 40.0), (45.0, 35.0))

CLAIMS = (
    Claim(HANDBOOKS, "Share of a radiator's rated output at 5 to 75 K [-]", EN442,
          lambda: column("en442_correction_factors", "published_factor"), 5.1e-4, "three decimals",
          lambda: _factors(column("en442_correction_factors", "excess_temperature_K")),
          Naive("in proportion to the excess", lambda: column("en442_correction_factors",
          "excess_temperature_K") / 50)),
    Claim(HANDBOOKS, "The same at 55/45, 50/40 and 45/35 in a room of 20 °C [-]", EN442, (0.515, 0.406, 0.304), 5e-4,
          "three decimals", lambda: _factors(np.array([0.5 * sum(pair) - 20.0 for pair in PAIRS])),
          Naive("by the logarithmic mean, over 50 K",
                lambda: _factors(np.array([_log_mean(*pair, 20.0) for pair in PAIRS])))),
    *(_regression(*row) for row in REGRESSIONS),
    Claim(HANDBOOKS, "Saturated vapour at 15, 24.5 and 14.8 °C [hPa]", f"{FAO}, examples 3 and 20", (17.05, 30.75,
          16.8),
          (0.052, 0.093, 0.051), "another fit of the same curve: 0.3 %",
          lambda: vapour_hpa(np.array([15.0, 24.5, 14.8]))),
    Claim(HANDBOOKS, "Radiation outside the air, 20° S, 3 September [MJ/m² a day]", f"{FAO}, example 8", 32.2, 0.3,
          "1 %: hours instead of an integral, another sun", _beyond_air_mj),
    Claim(HANDBOOKS, "Hours of daylight, 20° S, 3 September [h]", f"{FAO}, example 9", 11.7, 0.1, "printed to a tenth",
          lambda: _sky("Africa/Harare", -20.0, 30.0, 0.0)[1].daylight_h[246 - 1]),
    Claim(HANDBOOKS, "Radiation from 7.1 h of sunshine, 22°54' S, May [MJ/m² a day]", f"{FAO}, example 10", 14.5, 0.3,
          "2 %: a whole month, not its middle day",
          lambda: _per_day_mj("America/Sao_Paulo", 5, (-22.9, -43.2, 0.0), sunshine_hours=np.full(12, 7.1))),
    Claim(HANDBOOKS, "Radiation from a range of 11.8 K, 45°43' N, July [MJ/m² a day]", f"{FAO}, example 15", 22.3, 0.45,
          "2 %: a whole month, not its middle day",
          lambda: _per_day_mj("Europe/Paris", 7, (45.72, 5.0, 200.0), daily_range_k=np.full(12, 26.6 - 14.8))),
    Claim(HANDBOOKS, "Zenith and azimuth of the sun, Golden, 17 October 2003, 12:30:30 [°]",
          "Reda and Andreas 2004, NREL/TP-560-34302, appendix", (50.11162, 194.34024), (0.01, 0.001),
          "air pressure from height instead of 820 hPa", _golden),
    Claim(HANDBOOKS, "Diffuse share at a clearness of 0.2, 0.5 and 0.85 [-]",
          "Erbs, Klein and Duffie 1982, Solar Energy 28, 293, equation 1, worked by hand", (0.982, 0.6592, 0.165), 5e-4,
          "four decimals by hand", lambda: _diffuse_shares(0.2, 0.5, 0.85)),
    Claim(HANDBOOKS, "Losses of a solar plant in four groups [%]", f"{DOBOS}: default losses 14.0757 %", 14.0757, 0.02,
          "seven losses in four rounded groups",
          lambda: 100.0 * combined_loss(Losses.model_validate(default_table()["solar"]["losses"])), Naive("added up",
          lambda: 2.0 + 3.0 + 2.0 + 2.0 + 0.5 + 1.5 + 1.0 + 3.0)),
    Claim(HANDBOOKS, "Net present value, example NF1", GITMAN, lambda: _example("NF1")[1], 1e-5, "digits printed",
          lambda: present_value(0.08, _example("NF1")[0]),
          Naive("amounts added up", lambda: sum(_example("NF1")[0]))),
    Claim(HANDBOOKS, "Rates of return, examples NF2 to NF7 [-]", GITMAN,
          lambda: [_example(f"NF{k}")[1] for k in range(2, 8)], (5e-6, 5e-5, 5e-5, 5e-6, 5e-5, 1e-9), "digits printed",
          lambda: [_rate(f"NF{k}") for k in range(2, 8)]),
    Claim(HANDBOOKS, "Monthly payment of a loan over 15 years, example NF8", GITMAN, lambda: _example("NF8")[1], 1e-9,
          "digits printed", lambda: -even_amount(0.075 / 12, 180, 200_000),
          Naive("principal and interest on half of it", lambda: -200_000 * (1 / 180 + 0.075 / 24))),
    Claim(HANDBOOKS, "Months until a loan is repaid, example NF10", GITMAN, lambda: _example("NF10")[1], 5e-6,
          "digits printed", lambda: periods_to_repay(0.07 / 12, 150, 8000), Naive("without interest",
          lambda: 8000 / 150)),
    Claim(HANDBOOKS, "Interest over the life of a loan, example NF11", GITMAN, lambda: _example("NF11")[1], 5e-3,
          "digits printed", lambda: 12 * even_amount(0.0824 / 12, 12, 2500) - 2500),
    Claim(HANDBOOKS, "Degree-days of a day from its extremes [K·d]", UK_RULE,
          lambda: column("uk_daily_hdd_maxmin_DERIVED", "HDD"), 1e-9, "the printed rule, worked by hand",
          lambda: _extremes(True), Naive("middle of the extremes", lambda: _extremes(False))),
    Claim(HANDBOOKS, "Factor of the dynamic household profile, 1 January and 19 July [-]",
          "VDEW M-05/2000, polynomial of the fourth degree, worked by hand", (1.24203012, 0.7848), 1e-8,
          "eight decimals",
          lambda: dynamic_factor(np.array(["2023-01-01", "2023-07-19"], dtype="datetime64[D]"))),
)  # fmt: skip
