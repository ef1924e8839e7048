"""A simulated year in; its seasonal performance by boundary, beside the standard and the field, in one table, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from simkit.answered import Answered
from simkit.assemble.rooms import design_flow_c
from simkit.errors import CaseError, Fault
from simkit.performance.en14825 import Application, StandardSeason, standard_season
from simkit.performance.en14825_climates import CLIMATES
from simkit.performance.field_trials import Band, field_band

if TYPE_CHECKING:
    from simkit.year.year import Year

APPLICATIONS: tuple[Application, ...] = (35, 55)
BOUNDARIES = {
    "h1": "compressor alone",
    "h2": "with the source fan",
    "h3": "with back-up heater and immersion",
    "h4": "with circulation pumps and standby",
    "space_h4": "heating only",
    "water_h4": "hot water only",
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


@dataclass(frozen=True, eq=False, repr=False)
class Seasonal(Answered):
    """Every seasonal figure of a machine.

    Attributes
    ----------
    table
        Index `figure`; `spf` [-] (empty where not available), `low` and `high` [-] of the field band, `boundary` (what
        it holds) and `source`. Figures of one boundary may be compared, of different ones not.
    band
        What is sensible at its design flow.
    year
        The year.
    """

    table: pd.DataFrame
    band: Band
    year: Year
    answered_by = "simkit.answers.performance:performance_answer"

    def __repr__(self) -> str:
        return self.year.case.notation.frame(self.table)


def seasonal_of(year: Year) -> Seasonal:
    """Set a year's performance by boundary beside the field band, then the reference seasons of the standard."""
    rows: list[dict[str, object]] = []
    for key, boundary in BOUNDARIES.items():
        value = getattr(year.spf, key)
        source = "not available: the share of the fan isn't stated" if value is None else "simulated year"
        rows.append({"figure": f"this year, {boundary}", "spf": value, "boundary": key[-2:].upper(), "source": source})
    band = field_band(design_flow_c(year.case, year.loss_w_per_k))
    rows.append(
        {
            "figure": f"field band at {band.design_flow_c:.0f} °C design flow", "low": band.low, "high": band.high,
            "boundary": "H4", "source": band.source,
        }
    )  # fmt: skip
    for season in standard_seasons(year):
        name = f"reference season, {season.climate.name} climate, {season.application_c} °C"
        rows.append({"figure": name, "spf": season.scop, "boundary": STANDARD, "source": "EN 14825"})
    table = pd.DataFrame(rows, columns=["figure", "spf", "low", "high", "boundary", "source"]).set_index("figure")
    return Seasonal(table, band, year)
