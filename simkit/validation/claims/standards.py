"""What standards and regulations print, and what the kit gives for it."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.water import LOSS_CLASSES, standing_loss_w
from simkit.case.heating.boiler import kwh_of_volume
from simkit.clock import TimeAxis
from simkit.figures.style import contrast
from simkit.finance.cash import discount_factors, even_amount
from simkit.performance.en14825_climates import CLIMATES, Climate
from simkit.profiles.water import draw_kwh, tapping_draws
from simkit.validation.claim import STANDARDS, Claim, Naive
from simkit.validation.homes import home
from simkit.validation.published import column, published

EU811 = "Regulation (EU) 811/2013, Annex VII"
PROFILES = {"S": 2.100, "M": 5.845, "L": 11.655, "XL": 19.07, "XXL": 24.53}
LITRES = (100.0, 150.0, 200.0, 250.0, 300.0, 500.0)
GREEN_BOOK = "HM Treasury Green Book: 3.5 % a year to year 30"
WCAG = "W3C, Web Content Accessibility Guidelines 2.1: contrast ratio"


def _bin_hours(season: Climate) -> Floats:
    ours = dict(zip(season.outdoor_c, season.hours, strict=True))
    return np.array([ours.get(t, 0.0) for t in column("en14825_bin_hours", "Tj_C")])


def _full_load_hours() -> list[float]:
    return [float(np.sum(one.hours * one.part_load(one.outdoor_c))) for one in CLIMATES.values()]


def _part_loads() -> list[float]:
    rows = published("en14825_part_load_ratio")[1]
    return [float(CLIMATES[row["climate"]].part_load(np.array(float(row["Tj_C"])))) for row in rows]


def _standing_losses() -> list[float]:
    classes = [row["class"] for row in published("tank_standing_loss_classes")[1] if row["class"] in LOSS_CLASSES]
    water = home("canal_terrace").hot_water
    keys = [{"volume_l": litres, "loss_class": name, "standing_loss_w": None} for name in classes for litres in LITRES]
    return [standing_loss_w(water.model_copy(update=each)) for each in keys]


def _printed_losses() -> Floats:
    return np.column_stack([column("tank_standing_loss_classes", f"V{litres:g}") for litres in LITRES]).ravel()


def _tapped(profile: str, minutes: int) -> float:
    axis = TimeAxis("Europe/Berlin", 2026, minutes)
    water = home("canal_terrace").hot_water.model_copy(update={"tapping": profile, "litres_per_day_at_40": None})
    return float(draw_kwh(axis, water).sum())


def _years() -> list[int]:
    return [int(number) for number in column("green_book_discounting", "n_years")]


CLAIMS = (
    Claim(STANDARDS, "Bin hours of the three climates [h]", f"{EU811}, Table 12",
          lambda: [column("en14825_bin_hours", f"hours_{name}") for name in CLIMATES], 0.0, "whole hours are printed",
          lambda: [_bin_hours(season) for season in CLIMATES.values()]),
    Claim(STANDARDS, "Full-load hours of the three climates [h]", f"{EU811}, point 4(c)", (2066.0, 2465.0, 1336.0), 0.5,
          "printed as whole hours", _full_load_hours),
    Claim(STANDARDS, "Part-load ratio at the test temperatures [-]", "Regulation (EU) 811/2013, Annex I (24)",
          lambda: column("en14825_part_load_ratio", "pl"), 5e-7, "six decimals", _part_loads),
    Claim(STANDARDS, "Daily sums of the tapping profiles [kWh]", f"{EU811}, Table 15", tuple(PROFILES.values()), 1e-9,
          "a sum of printed draws", lambda: [sum(kwh for _, kwh in tapping_draws(name)) for name in PROFILES]),
    Claim(STANDARDS, "Draws of the tapping profiles, one by one [kWh]", f"{EU811}, Table 15",
          lambda: [float(row["Q_tap_kWh"]) for row in published("tapping_profiles")[1] if row["profile"] in PROFILES],
          1e-9, "three decimals printed", lambda: [kwh for name in PROFILES for _, kwh in tapping_draws(name)]),
    Claim(STANDARDS, "A civil year of profile L, by hour, half and quarter [kWh]", f"{EU811}, Table 15: 11.655 a day",
          (365 * 11.655,) * 3, 1e-6, "365 days, one of 23 and one of 25 hours among them",
          lambda: [_tapped("L", minutes) for minutes in (60, 30, 15)]),
    Claim(STANDARDS, "Standing loss of a cylinder by label class and volume [W]", "Regulation (EU) 812/2013, Annex II",
          _printed_losses, 6e-3, "two decimals", _standing_losses,
          Naive("in proportion to volume", lambda: np.repeat(column("tank_standing_loss_classes", "V200"), len(LITRES))
                * np.tile(np.array(LITRES) / 200.0, len(_printed_losses()) // len(LITRES)))),
    Claim(STANDARDS, "A cubic metre of gas at 39.5 MJ/m³ [kWh]", "SI 1996/439: m³ × 1.02264 × CV / 3.6", 11.2206, 5e-5,
          "four decimals", lambda: kwh_of_volume("m3", 39.5, 1.02264),
          Naive("without volume correction", lambda: 39.5 / 3.6)),
    Claim(STANDARDS, "Value today of 1 in n years at 3.5 % [-]", GREEN_BOOK,
          lambda: column("green_book_discounting", "discount_factor_3.5pct"), 5e-7, "six decimals",
          lambda: [discount_factors(0.035, years)[-1] for years in _years()],
          Naive("simple interest", lambda: [1.0 / (1.0 + 0.035 * years) for years in _years()])),
    Claim(STANDARDS, "Value today of 1 a year for n years at 3.5 % [-]", GREEN_BOOK,
          lambda: column("green_book_discounting", "annuity_factor_3.5pct"), 5e-7, "six decimals",
          lambda: [1.0 / even_amount(0.035, years, 1.0) for years in _years()],
          Naive("years without discounting", _years)),
    Claim(STANDARDS, "Even yearly amount that repays 1 in n years at 3.5 % [-]", GREEN_BOOK,
          lambda: column("green_book_discounting", "capital_recovery_factor_3.5pct"), 5e-7, "six decimals",
          lambda: [even_amount(0.035, years, 1.0) for years in _years()]),
    Claim(STANDARDS, "Contrast of four pairs of colours [-]", WCAG, (21.0, 4.54, 8.59, 2.15), 6e-3,
          "two decimals quoted",
          lambda: [contrast(*pair) for pair in (("#ffffff", "#000000"), ("#767676", "#ffffff"), ("#0000ff", "#ffffff"),
                                                ("#0000ff", "#ff0000"))]),
)  # fmt: skip
