"""Bills, rates and roundings that others worked, and what the kit charges and counts for them."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any, get_args

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import in_units, rounded
from simkit.billing.charge import charge, charge_fuel
from simkit.case.heating.boiler import Fuel
from simkit.clock import TimeAxis
from simkit.finance.cash import even_amount, payback_years, present_value, return_rate
from simkit.tariff.tariff import Tariff
from simkit.uncertainty.distributions import Distribution, Shape
from simkit.uncertainty.ranges import Range
from simkit.validation.claim import HANDBOOKS, LIBRARIES, OPEN_DATA, STANDARDS, Claim, Naive
from simkit.year.fuse import fuse_kw

ALL_DAY = {"from": "00:00", "to": "24:00", "days": "all"}
TYPICAL_KWH, TYPICAL_GAS_KWH = 2700.0, 11_500.0
CAPS = (  # price and standing charge a day of electricity, the same of gas [GBP], typical year [GBP]
    (0.2236, 0.6012, 0.0548, 0.3141, 1568.0),
    (0.2450, 0.6099, 0.0624, 0.3166, 1717.0),
    (0.2486, 0.6097, 0.0634, 0.3165, 1738.0),
)
IDAHO = ((800.0, 0.088958), (2000.0, 0.098073), (None, 0.108615))
SEYMOUR_WINTER = ((250.0, 0.064), (700.0, 0.049), (None, 0.0446))
SEYMOUR_SUMMER = ((250.0, 0.064), (700.0, 0.049), (1250.0, 0.0475), (None, 0.0446))
PEAKS_KW = (0.632, 4.6, 0.0, 1.028, 3.444, 4.164, 4.564, 6.0, 9.2, 5.0, 4.12, 4.88)
LEAST_KW = 2.5
MINOR = {"AUD": 2, "EUR": 2, "INR": 2, "USD": 2, "GBP": 2, "JPY": 0, "BHD": 3}
HALVES, ROUNDED = (0.005, 0.015, 1.005, 2.675, 0.0149, 1.0049), (1.0, 2.0, 101.0, 268.0, 1.0, 100.0)
INFLOWS = (2800.0, 3700.0, 5100.0, 4300.0)
RETURNS = ((-70_000, 12_000, 15_000, 18_000, 21_000, 26_000), (-700, 750, 900, 600, 850))
SHAPES = get_args(Shape)
QUANTILES = np.linspace(0.02, 0.98, 25)


@cache
def _axis(minutes: int = 60) -> TimeAxis:
    return TimeAxis("UTC", 2025, minutes)


def _tariff(currency: str, **terms: Any) -> Tariff:
    plain = {
        "name": "Quoted", "note": "As quoted.", "currency": currency, "valid_from": dt.date(2020, 1, 1),
        "clock": "local", "tax": 0.0, "prices_include_tax": True, "standing_per_day": 0.0,
    }  # fmt: skip
    return Tariff.model_validate(plain | terms)


def _in_january(kwh: float) -> Floats:
    """So much in January, the rest of the year nothing, (steps,) [kWh]."""
    inside = _axis().month == 1
    return np.where(inside, kwh / inside.sum(), 0.0)


def _tiers(rows: tuple[tuple[float | None, float], ...]) -> tuple[dict[str, Any], ...]:
    return tuple(
        {"name": f"Tier {k}", "price_per_kwh": price} | ({} if upper is None else {"up_to_kwh": upper})
        for k, (upper, price) in enumerate(rows, 1)
    )


def _idaho(kwh: float) -> float:
    return float(charge(_tariff("USD", tier=_tiers(IDAHO)), _axis(), _in_january(kwh)).months[0])


def _seymour(rows: tuple[tuple[float | None, float], ...], kwh: float) -> float:
    """Tiers, power cost, customer charge of a month of 31 days, and a sales tax of 1 %."""
    power = {"name": "Power cost", "price_per_kwh": 0.085, **ALL_DAY}
    terms = {"band": (power,), "tier": _tiers(rows), "standing_per_day": 7.5 / 31.0}
    tariff = _tariff("USD", tax=0.01, prices_include_tax=False, **terms)
    return float(charge(tariff, _axis(), _in_january(kwh)).months[0])


def _capped(prices: tuple[float, ...]) -> float:
    """A typical year of electricity and gas at a cap [GBP]."""
    price, day, gas, gas_day, _ = prices
    axis, even = _axis(), np.full(_axis().steps, 1.0 / _axis().steps)
    band = {"name": "All day", "price_per_kwh": price, **ALL_DAY}
    electricity = charge(_tariff("GBP", band=(band,), standing_per_day=day), axis, TYPICAL_KWH * even)
    fuel = Fuel.model_validate(
        {"kind": "gas", "unit": "kWh", "kwh_per_unit": 1.0, "price_per_unit": gas, "standing_per_day": gas_day,
         "other_use_kwh": 0.0, "carbon_g_per_kwh": 183.0}
    )  # fmt: skip
    burnt = charge_fuel(fuel, axis, TYPICAL_GAS_KWH * even, currency="GBP", keeps_supply=True)
    return electricity.total + burnt.total


def _peak_charge(floor_kw: float | None, peaks: tuple[float, ...]) -> float:
    """December's charge on the mean of twelve months' peaks [EUR]."""
    axis = _axis(15)
    kwh, starts = np.zeros(axis.steps), np.flatnonzero(np.diff(axis.month, prepend=0))
    kwh[starts + 40] = np.array(peaks) * axis.hours
    demand = {"name": "Peak", "price_per_kw_month": 100.0, "interval_minutes": 15, "rolling_months": 12}
    free = {"name": "All day", "price_per_kwh": 0.0, **ALL_DAY}
    least = {} if floor_kw is None else {"floor_kw": floor_kw}
    return float(charge(_tariff("EUR", band=(free,), demand=demand | least), axis, kwh).months[-1])


def _fuse(amps: float, phases: int) -> float:
    from simkit.validation.homes import home

    site = home("canal_terrace").site.model_copy(update={"fuse_a": amps, "volts": 230.0, "phases": phases})
    return float(fuse_kw(site) or 0.0)


def _random_flows() -> list[Floats]:
    """Forty investments: something paid, ten years of receipts."""
    draws = np.random.default_rng(7)
    return [np.concatenate([[-draws.uniform(500, 5000)], draws.uniform(50, 900, 10)]) for _ in range(40)]


def _rates_by_root() -> list[float]:
    from scipy.optimize import brentq

    def worth(rate: float, flows: Floats) -> float:
        return float(np.sum(flows / (1.0 + rate) ** np.arange(len(flows))))

    return [float(brentq(worth, -0.9, 10.0, args=(flows,), xtol=1e-14)) for flows in _random_flows()]


def _paid_back(rate: float) -> float:
    """The payment after which nothing is left, month by month."""
    from scipy.optimize import brentq

    def left(payment: float) -> float:
        debt = 1000.0
        for _ in range(120):
            debt += debt * rate - payment
        return debt

    return float(brentq(left, 1.0, 100.0, xtol=1e-12))


def _quantiles(ours: bool) -> Floats:
    """Quantiles of every shape, centre 3 and spread 0.4, by the kit or by the special functions' closed forms."""
    from scipy.special import ndtri

    if ours:
        made = [Distribution("x", shape, 3.0, 0.4, "", "", "") for shape in SHAPES]
        return np.concatenate([one.at(QUANTILES) for one in made])
    half = np.sqrt(0.5 * np.minimum(QUANTILES, 1.0 - QUANTILES))
    triangular = np.where(QUANTILES < 0.5, 2.6 + 0.8 * half, 3.4 - 0.8 * half)
    bell = ndtri(QUANTILES)
    return np.concatenate([3.0 + 0.4 * bell, 3.0 * np.exp(0.4 * bell), 2.6 + 0.8 * QUANTILES, triangular])


def _samples() -> Floats:
    return np.random.default_rng(3).normal(500.0, 120.0, 64)


def _by_plotting_positions() -> Floats:
    from scipy.stats.mstats import mquantiles

    return np.asarray(mquantiles(_samples(), (0.1, 0.5, 0.9), alphap=1.0, betap=1.0))


def _range() -> list[float]:
    found = Range.of(_samples())
    return [found.low, found.middle, found.high]


CLAIMS = (
    Claim(OPEN_DATA, "Typical year of electricity and gas at three price caps [GBP]",
          "Ofgem, caps of July and October 2024 and January 2025, as price guides quote them",
          tuple(row[-1] for row in CAPS), 1.0, "printed in whole pounds from regional rates",
          lambda: [_capped(row) for row in CAPS],
          Naive("without standing charges", lambda: [TYPICAL_KWH * row[0] + TYPICAL_GAS_KWH * row[2] for row in CAPS])),
    Claim(HANDBOOKS, "Bills in three tiers, 800, 1,050 and 2,225 kWh [USD]", "Idaho Power, three worked bills",
          (71.17, 95.69, 213.30), 0.005, "to the cent", lambda: [_idaho(kwh) for kwh in (800.0, 1050.0, 2225.0)],
          Naive("all at the price of the last kWh",
                lambda: [800.0 * 0.088958, 1050.0 * 0.098073, 2225.0 * 0.108615])),
    Claim(HANDBOOKS, "Bills in tiers with power cost, customer charge and sales tax [USD]",
          "City of Seymour, two worked bills: 1,200 kWh in winter, 2,000 kWh in summer", (171.55, 277.88), 0.005,
          "to the cent", lambda: [_seymour(SEYMOUR_WINTER, 1200.0), _seymour(SEYMOUR_SUMMER, 2000.0)],
          Naive("without tax", lambda: [169.85, 275.13])),
    Claim(HANDBOOKS, "Charge on the mean of twelve peaks, over that of the least peak [-]",
          "Wikibooks, Energietransitie: 1.782 (its 4,546 kW are 4,456)", 1.782, 6e-4, "three decimals",
          lambda: _peak_charge(LEAST_KW, PEAKS_KW) / _peak_charge(LEAST_KW, (0.0,) * 12),
          Naive("months under the least peak counted as they are", lambda: np.mean(PEAKS_KW) / LEAST_KW)),
    Claim(STANDARDS, "Half cents, and a little less [cent]",
          "Regulation (EC) 1103/97, article 5: to the nearest cent, half-way up", ROUNDED, 0.0, "whole cents",
          lambda: rounded(np.array(HALVES), "EUR"),
          Naive("as computers round", lambda: [round(100.0 * amount) for amount in HALVES])),
    Claim(STANDARDS, "Smallest unit of seven currencies [decimals]",
          "ISO 4217, as OPC 10000-3 and an encyclopedia quote it", tuple(MINOR.values()), 0.0, "whole digits",
          lambda: [-np.log10(in_units(np.array([1]), code)[0]) for code in MINOR],
          Naive("two everywhere", lambda: [2.0] * len(MINOR))),
    Claim(HANDBOOKS, "Discounted payback of 5,200 and of 10,400 at 14 % [years]",
          "Ross, Westerfield and Jordan, Fundamentals of Corporate Finance, as solved in a forum", (1.96, 3.65), 6e-3,
          "two decimals", lambda: [payback_years([-price, *INFLOWS], 0.14) for price in (5200.0, 10_400.0)],
          Naive("without discounting", lambda: [payback_years([-price, *INFLOWS]) for price in (5200.0, 10_400.0)])),
    Claim(HANDBOOKS, "Rates of return in the manuals of two spreadsheets [-]", "CellWorks and NExS, manuals of IRR",
          (0.0866, 1.0462142), (6e-5, 5e-8), "digits printed", lambda: [return_rate(flows).rate for flows in RETURNS]),
    Claim(HANDBOOKS, "What a main fuse lets through, 40 A and three of 25 A [kW]",
          "Verkain 2018, electricians' journal: 9.2 and 17.3 kW", (9.2, 17.3), (0.001, 0.06),
          "1.73 × 400 V there, 3 × 230 V here", lambda: [_fuse(40.0, 1), _fuse(25.0, 3)],
          Naive("one phase of three", lambda: [9.2, 25.0 * 0.23])),
    Claim(LIBRARIES, "Rates of return of forty investments [-]", "scipy.optimize.brentq on the net present value",
          _rates_by_root, 1e-9, "roots of a polynomial of degree ten",
          lambda: [return_rate(flows).rate for flows in _random_flows()]),
    Claim(LIBRARIES, "Worth of the same at 3.5 %", "numpy.polynomial: the value of a polynomial in 1/(1 + r)",
          lambda: [np.polynomial.polynomial.polyval(1 / 1.035, flows) for flows in _random_flows()], 1e-9, "rounding",
          lambda: [present_value(0.035, flows) for flows in _random_flows()]),
    Claim(LIBRARIES, "Quantiles of the four shapes of what is not known [-]", "scipy.special.ndtri and closed forms",
          lambda: _quantiles(False), 1e-9, "rounding", lambda: _quantiles(True)),
    Claim(LIBRARIES, "Ten, fifty and ninety of a hundred of 64 samples stay under", "scipy.stats.mstats.mquantiles",
          _by_plotting_positions, 1e-9, "the same definition of a quantile", _range,
          Naive("mean and 1.28 deviations", lambda: np.mean(_samples()) + np.array([-1.2816, 0.0, 1.2816])
                * np.std(_samples()))),
    Claim(LIBRARIES, "Even amounts that repay 1,000 in 120 months [-]",
          "scipy.optimize.brentq on what is left of the loan", lambda: [_paid_back(rate) for rate in (0.002, 0.008)],
          1e-8, "the root's tolerance", lambda: [even_amount(rate, 120, 1000.0) for rate in (0.002, 0.008)],
          Naive("principal and interest on half of it", lambda: [1000 / 120 + 500 * r for r in (0.002, 0.008)])),
)  # fmt: skip
