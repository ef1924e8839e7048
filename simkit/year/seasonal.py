"""A simulated year in; its seasonal performance by boundary, beside the standard and the field, in one table, out."""

from __future__ import annotations

import pandas as pd

from simkit.assemble.rooms import design_flow_c
from simkit.errors import CaseError, Fault
from simkit.performance.en14825 import Application, StandardSeason, standard_season
from simkit.performance.en14825_climates import CLIMATES
from simkit.performance.field_trials import WHY_THEY_DIFFER, field_band
from simkit.year.simulate import Year

APPLICATIONS: tuple[Application, ...] = (35, 55)
BOUNDARIES = {
    "h1": "compressor alone",
    "h2": "with the source fan",
    "h3": "with back-up heater and immersion",
    "h4": "with circulation pumps and standby",
    "space_h4": "rooms alone",
    "water_h4": "hot water alone",
}
STANDARD = "SCOP: machine, heater, off-modes; no hot water, no circulation pump"


def standard_seasons(year: Year) -> tuple[StandardSeason, ...]:
    """The machine of a year in the three reference climates, low and medium temperature."""
    machine = year.case.heat_pump
    if machine is None:
        remedy = "Add [heat_pump] with its test points"
        allowed = "needs a heat pump, and the case has none"
        raise CaseError(Fault(year.case.label, "seasonal performance", allowed, remedy))
    return tuple(standard_season(machine, name, application_c=a) for name in CLIMATES for a in APPLICATIONS)  # type: ignore[arg-type]


def seasonal_table(year: Year) -> pd.DataFrame:
    """Every seasonal figure of a machine with its boundary, what it holds and where it comes from.

    Returns
    -------
    DataFrame
        Index `figure`; `spf` [-] (empty where not available), `low` and `high` [-] of the field band, `boundary` and
        `source`. Figures of one boundary may be compared, of different ones not.
    """
    rows: list[dict[str, object]] = []
    for season in standard_seasons(year):
        name = f"reference season, {season.climate.name} climate, {season.application_c} °C"
        rows.append({"figure": name, "spf": season.scop, "boundary": STANDARD, "source": "EN 14825"})
    for key, boundary in BOUNDARIES.items():
        value = getattr(year.spf, key)
        source = "not available: the share of the fan isn't stated" if value is None else "simulated year"
        rows.append({"figure": f"this year, {boundary}", "spf": value, "boundary": key[-2:].upper(), "source": source})
    band = field_band(design_flow_c(year.case, year.loss_w_per_k / 1000.0))
    rows.append(
        {
            "figure": f"field band at {band.design_flow_c:.0f} °C design flow", "low": band.low, "high": band.high,
            "boundary": "H4", "source": band.source,
        }
    )  # fmt: skip
    return pd.DataFrame(rows, columns=["figure", "spf", "low", "high", "boundary", "source"]).set_index("figure")


def seasonal_words(year: Year) -> str:
    """Whether the year's performance is sensible for its flow temperature, and why figures differ, in two sentences."""
    if year.spf.h4 is None:
        return "No heat pump ran in this year."
    verdict = field_band(design_flow_c(year.case, year.loss_w_per_k / 1000.0)).words(year.spf.h4)
    return f"{verdict}. Figures differ by {'; '.join(WHY_THEY_DIFFER)}."
