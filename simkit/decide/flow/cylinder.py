"""A home with its cylinder in; what its coil allows, and what a new cylinder would change, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.assemble.water import coil_w_per_k
from simkit.case.build import Case, vary
from simkit.physics.hot_water import APPROACH_K
from simkit.year.simulate import Range, Year, simulate

SAFE_STORE_C = 60.0  # HSE HSG274 part 2: hot water stored at 60 °C or more


@dataclass(frozen=True, eq=False, repr=False)
class Coil:
    """What a cylinder's coil does in a year.

    Attributes
    ----------
    ua_w_per_k
        Heat it passes per kelvin [W/K].
    reach_c
        Cylinder temperature that the machine reaches by itself [°C].
    mean_flow_c
        Flow that heating the water asked for, mean over the heat given [°C].
    immersion_share
        Share of the cylinder's heat that the immersion heater gave [-].
    immersion_kwh, unmet_kwh
        Electricity of the immersion heater; warm water that was wanted and not there [kWh].
    cop
        Heat over electricity of the machine while it heats water [-].
    spf_h4
        Seasonal performance of hot water with immersion, pumps and standby [-]; None where no heat pump heats it.
    """

    ua_w_per_k: float
    reach_c: float
    mean_flow_c: float
    immersion_share: float
    immersion_kwh: float
    unmet_kwh: float
    cop: float
    spf_h4: float | None


def coil_of(year: Year) -> Coil:
    """Look at the coil of a year's cylinder."""
    case, home, totals = year.case, year.inputs.home, year.run.totals
    hourly = year.hourly
    heat = hourly["hot_water_kw"] - hourly["immersion_kw"]
    runs = (heat > 1e-6) & (hourly["water_flow_c"] > 0)
    flow = float(np.average(hourly.loc[runs, "water_flow_c"], weights=heat[runs])) if runs.any() else float("nan")
    used = totals.heat_pump_water
    return Coil(
        coil_w_per_k(case.hot_water, home.highest_flow_c, home.water_difference_k),
        min(case.hot_water.hygiene.target_c, home.water_highest_flow_c - 0.5 * home.water_difference_k - APPROACH_K),
        flow,
        totals.immersion / max(totals.hot_water, 1e-9),
        totals.immersion,
        totals.tap_water_unmet,
        totals.heat_pump_water_heat / used if used > 0 else float("nan"),
        year.spf.water_h4,
    )


def new_cylinder(case: Case, changes: Mapping[str, object], *, ranges: bool = True) -> pd.DataFrame:
    """Set the cylinder as it is beside a new one.

    Parameters
    ----------
    case
        The home.
    changes
        What is new, by key of [hot_water]: ``{"coil_area_m2": 3.0, "standing_loss_w": 48.0}``. The hygiene cycle stays
        as it is: water is stored no cooler than the published minimum for want of a better coil.
    ranges
        Whether the saving's range is sampled.

    Returns
    -------
    DataFrame
        Rows "as it is" and "new"; `ua_w_per_k`, `reach_c`, `mean_flow_c`, `immersion_kwh`, `immersion_share`,
        `unmet_kwh`, `cop`, `spf_h4`, `year_cost`, `saving` with `saving_low` and `saving_high` [currency].
    """
    years = {"as it is": simulate(case), "new": simulate(vary(case, {f"hot_water.{k}": v for k, v in changes.items()}))}
    base = years["as it is"]
    rows = []
    for year in years.values():
        coil = coil_of(year)
        row: dict[str, float | None] = {
            "ua_w_per_k": coil.ua_w_per_k, "reach_c": coil.reach_c, "mean_flow_c": coil.mean_flow_c,
            "immersion_kwh": coil.immersion_kwh, "immersion_share": coil.immersion_share, "unmet_kwh": coil.unmet_kwh,
            "cop": coil.cop, "spf_h4": coil.spf_h4, "year_cost": year.bill.total,
            "saving": base.bill.total - year.bill.total,
        }  # fmt: skip
        if ranges:
            saved = Range.of(base.samples.total - year.samples.total)
            row |= {"saving_low": saved.low, "saving_high": saved.high}
        rows.append(row)
    return pd.DataFrame(rows, index=pd.Index(years, name="cylinder"))


def coil_words(year: Year) -> str:
    """What the coil forces, in a sentence."""
    coil = coil_of(year)
    hygiene = year.case.hot_water.hygiene
    text = (
        f"The coil passes {coil.ua_w_per_k:.0f} W/K and asks for water at {coil.mean_flow_c:.0f} °C on the mean (COP "
        f"{coil.cop:.2f}); the immersion heater gives {coil.immersion_share:.0%} of the cylinder's heat"
    )
    if hygiene.every != "never" and coil.reach_c < hygiene.target_c - 0.05:
        text += f", because the machine alone reaches {coil.reach_c:.0f} °C of the {hygiene.target_c:.0f} °C cycle"
    return f"{text}."
