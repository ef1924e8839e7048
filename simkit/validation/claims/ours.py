"""What is only remembered of published figures, and what was derived here: shown beside the rest, and counted apart."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.finance.cash import payback_years
from simkit.meter.account.metrics import metrics_of
from simkit.performance.en14825 import energies
from simkit.performance.en14825_climates import CLIMATES, OFF_HOURS, outlet_c
from simkit.performance.measured import Measured, spf_at_h4
from simkit.physics.building import response
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.heat_pump import carnot, cycling_factor
from simkit.physics.hot_water import content_kwh, draw
from simkit.validation.claim import MEMORY, OWN, Claim, Naive
from simkit.validation.published import column, published
from simkit.weather.degree_days import from_monthly_mean

OUTLETS = [
    row for row in published("en14825_outlet_temperatures_FROM_MEMORY")[1] if row["application_C"] in ("35", "55")
]
OFF = [row for row in published("en14825_offmode_hours_FROM_MEMORY")[1] if row["unit_type"] == "heating_only"]
RATIOS = np.array([1.0, 0.5, 0.2, 0.1])
MEDIUM_KWH_PER_K = 165_000.0 * 100.0 / 3.6e6
SLOW_H = MEDIUM_KWH_PER_K / 0.2


def _litres_at_40(stored_c: float, mixed: bool) -> float:
    """Water of 40 °C that 150 litres give, drawn a little at a time from 10 °C [l]."""
    per_k = KWH_PER_LITRE_K * 150.0
    hot, cold, share, total, served = stored_c, stored_c, 1.0, 0.0, 0.01
    while served > 0.01 - 1e-12:
        hot, cold, share, served = draw(hot, cold, share, 0.01, 10.0, 40.0, per_k)
        if mixed:
            hot = cold = content_kwh(hot, cold, share, per_k) / per_k
            share = 1.0
        total += served
    return total / (KWH_PER_LITRE_K * 30.0)


def _constant_cop(climate: str) -> float:
    season = CLIMATES[climate]
    load = 7.0 * season.part_load(season.outdoor_c)
    found = energies(season.hours, load, np.full(len(load), 20.0), np.full(len(load), 3.2))
    return float(found["heat_kwh"].sum() / found["machine_kwh"].sum())


def _cooled() -> Floats:
    """A home of one node after 8 hours at 0 °C from 20 °C, and its mean [°C]."""
    r = response(0.1, 1e5, 0.1, 0.01 * MEDIUM_KWH_PER_K, 0.99 * MEDIUM_KWH_PER_K, 8.0)
    return 20.0 * np.array([r.end_aa + r.end_af, r.mean_aa + r.mean_af])


def _h4_over_h2() -> float:
    return float(spf_at_h4(Measured("unit meter", "heat meter", 10500.0, 3000.0, meter_class=2)).h4 or 0.0) / 3.5


def _scatter() -> list[float]:
    found = metrics_of(np.array([10.0, 20.0, 30.0]), np.array([11.0, 19.0, 33.0]))
    return [100.0 * one for one in (found.nmbe, found.nmbe_less_one, found.cv_rmse, found.cv_rmse_less_one)]


CLAIMS = (
    Claim(MEMORY, "Water leaving the machine by outdoor temperature [°C]", "EN 14825, tables for air and water",
          lambda: [float(row["outlet_C"]) for row in OUTLETS], 0.0, "whole degrees",
          lambda: [outlet_c(row["climate"], int(row["application_C"]),
          np.array([float(row["Tj_C"])])) for row in OUTLETS],
          held=False),
    Claim(MEMORY, "Hours with the thermostat off, crankcase heater on, and off [h]", "EN 14825; 2014/C 207/02",
          lambda: [[float(row[key]) for key in ("H_TO", "H_CK", "H_OFF")] for row in OFF], 0.0, "whole hours",
          lambda: [[OFF_HOURS[row["climate"]][k] for k in (0, 2, 3)] for row in OFF], held=False),
    Claim(MEMORY, "COP of a cycling machine, of its full one [-]", "EN 14825, units on water: CR/(0.9·CR + 0.1)",
          tuple(RATIOS / (0.9 * RATIOS + 0.1)), 1e-12, "arithmetic", lambda: [cycling_factor(ratio,
          0.9) for ratio in RATIOS],
          Naive("no loss", lambda: np.ones(4)), held=False),
    Claim(MEMORY, "Degree-days of a month from its mean [K·d]", "CIBSE TM41:2006, formula of Hitchin, k = 0.71",
          lambda: column("hitchin_DERIVED", "HDD_31d"), 1e-3, "four decimals",
          lambda: from_monthly_mean(column("hitchin_DERIVED", "Tm_C"), 15.5, 31.0),
          Naive("base less the mean", lambda: 31.0 * np.maximum(15.5 - column("hitchin_DERIVED", "Tm_C"), 0.0)),
          held=False),
    Claim(MEMORY, "SPF at H4 of that at H2 [-]", "British trial of 2011 to 2014: 2.44 over 2.65", 2.44 / 2.65, 0.02,
          "a usual share", _h4_over_h2, held=False),
    Claim(OWN, "A constant COP returns itself from every reference season [-]", "identity of a ratio of sums",
          (3.2,) * 3,
          1e-12, "rounding", lambda: [_constant_cop(name) for name in CLIMATES]),
    Claim(OWN, "A home of one node after 8 h at 0 °C from 20 °C, and its mean [°C]", "20·exp(−8/22.917), by hand",
          (20.0 * np.exp(-8.0 / SLOW_H), 20.0 * SLOW_H / 8.0 * (1.0 - np.exp(-8.0 / SLOW_H))), 1e-3,
          "the tie between its nodes is strong, not without end", _cooled,
          Naive("a constant loss", lambda: (20.0 - 8.0 / SLOW_H * 20.0, 20.0 - 4.0 / SLOW_H * 20.0))),
    Claim(OWN, "COP of Carnot at the rating points [-]", "(Tw + 273.15)/(Tw − Ts), by hand",
          lambda: column("carnot_en14511_points_DERIVED", "COP_carnot"), 5.1e-5, "four decimals",
          lambda: [carnot(w, w - s) for s, w in zip(column("carnot_en14511_points_DERIVED", "Ts_C"),
                                                    column("carnot_en14511_points_DERIVED", "Tw_C"), strict=True)]),
    Claim(OWN, "What a layered cylinder gives over what a stirred one gives, at 50, 55 and 60 °C [-]",
          "(T − 10)/(T − 40), by hand", (4.0, 3.0, 2.5), 0.02, "drawn by 10 Wh",
          lambda: [_litres_at_40(t, False) / _litres_at_40(t, True) for t in (50.0, 55.0, 60.0)]),
    Claim(OWN, "Bias and scatter of 11, 19, 33 about 10, 20, 30, over N and N − 1 [%]", "by hand",
          (5.0, 7.5, 9.5743, 11.7260), 5e-5, "four decimals", _scatter),
    Claim(OWN, "Discounted payback of 10,000 by 2,600 a year at 10 % [years]",
          "5 + (10000 − 2600·3.790787)/(2600/1.1⁶), by hand", 5.098, 5e-4, "three decimals",
          lambda: payback_years([-10_000, *[2600] * 6], 0.1), Naive("without discounting", lambda: 10_000 / 2600)),
)  # fmt: skip
