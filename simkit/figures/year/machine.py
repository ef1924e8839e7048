"""The steps of a year in; how well the machine does by outdoor temperature, and the cold it is needed in, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import by_outdoor, need, step_hours
from simkit.figures.style import EndLabel
from simkit.figures.year.performance import USES
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BASE_C = 15.5  # the base of UK tables of degree-days
WIDTH_K = 2.0


def machine_and_weather(
    hourly: pd.DataFrame, *, base_c: float = BASE_C, notation: Notation = PLAIN, figure: Figure | None = None
) -> list[Axes]:
    """Draw COP against outdoor temperature, and below it the degree-days of the same temperatures.

    Parameters
    ----------
    hourly
        Steps of a year with `outdoor_c`, `cop`, `heat_pump_kw` and `water_share`.
    base_c
        Base temperature of the degree-days [°C].
    notation
        How numbers are written.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        COP, degree-days.
    """
    table, cold = by_outdoor(hourly, width_k=WIDTH_K), degree_days_by_outdoor(hourly, base_c)
    above, below = style.Sheet(gap=0.55).axes([1.7, 1.0], figure=figure)
    ends = []
    for use, (colour, dash, marker) in USES.items():
        rows = table[table["use"] == use]
        if not rows.empty:
            x = rows["outdoor_c"].to_numpy()
            above.plot(x, rows["cop"], color=colour, linewidth=1.8, linestyle=dash, marker=marker, markersize=3.6)
            ends.append(EndLabel(float(rows["cop"].iloc[-1]), use.capitalize(), colour))
    below.bar(cold.index, cold, width=0.8 * WIDTH_K, color=style.OUTDOOR, edgecolor=style.INK, linewidth=0.5)
    reach = (
        min(cold.index.min(), table["outdoor_c"].min()) - 1.0,
        max(cold.index.max(), table["outdoor_c"].max()) + 1.0,
    )
    for ax in (above, below):
        ax.set_xlim(*reach)
        style.dress(ax, notation, grid="both")
    above.set_ylim(0, 1.08 * float(table["cop"].max()) if len(table) else 1.0)
    style.head(above, "COP, median of each 2 K [-]")
    style.head(
        below, f"Degree-days below {notation.brief(base_c)} °C [K·d]: {notation.number(float(cold.sum()), 0)} a year"
    )
    style.foot(below, notation.axis("outdoor_c"))
    style.title(above, "The machine and the weather")
    style.label_ends(above, ends)
    return [above, below]


def degree_days_by_outdoor(hourly: pd.DataFrame, base_c: float = BASE_C) -> pd.Series:
    """Degree-days of a year's hours by outdoor temperature, in bins of 2 K [K·d]."""
    need(hourly, ["outdoor_c"], "degree-days by outdoor temperature")
    outdoor = hourly["outdoor_c"].to_numpy(dtype=np.float64)
    short = np.maximum(base_c - outdoor, 0.0) * step_hours(hourly) / 24.0
    found = pd.Series(short).groupby((outdoor / WIDTH_K).round() * WIDTH_K).sum()
    return found[found > 0]


def machine_sentence(hourly: pd.DataFrame, *, base_c: float = BASE_C, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `machine_and_weather` shows."""
    table, total = by_outdoor(hourly, width_k=WIDTH_K), float(degree_days_by_outdoor(hourly, base_c).sum())
    space = table[table["use"] == "space heat"]
    weather = f"The weather has {notation.number(total, 0)} degree-days a year below {notation.brief(base_c)} °C"
    if len(space) < 2:
        return f"{weather}."
    first, last = space.iloc[0], space.iloc[-1]
    low, high = (f"{notation.number(row['cop'], 1)} at {notation.brief(row['outdoor_c'])} °C" for row in (first, last))
    return f"{weather}; heating the rooms the machine gives {low} outdoors and {high} for each kWh of electricity."
