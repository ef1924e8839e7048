"""The steps of a year in; COP against outdoor temperature, and the sentence that says it, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import by_outdoor, need
from simkit.figures.style import EndLabel
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

USES = {"space heat": (style.ROOM, "-", "o"), "hot water": (style.OUTDOOR, "--", "s")}


def cop_by_outdoor(
    hourly: pd.DataFrame, *, width_k: float = 2.0, notation: Notation = PLAIN, ax: Axes | None = None
) -> Axes:
    """Draw the COP of the heat pump against outdoor temperature: median of each bin, and the band that holds 80 %.

    Parameters
    ----------
    hourly
        Steps of a year with `outdoor_c`, `cop` and `heat_pump_kw`; with `water_share` hot water is told apart.
    width_k
        Width of a bin [K].
    notation
        How numbers are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    table = by_outdoor(hourly, width_k=width_k)
    if ax is None:
        ax = style.Sheet().axes([2.9])[0]
    labels = []
    for use, (colour, dash, marker) in USES.items():
        rows = table[table["use"] == use]
        if rows.empty:
            continue
        x = rows["outdoor_c"].to_numpy()
        ax.fill_between(x, rows["low"], rows["high"], color=colour, alpha=0.16, linewidth=0, label=f"{use}, 80 %")
        ax.plot(x, rows["cop"], color=colour, linewidth=1.8, linestyle=dash, marker=marker, markersize=3.6, label=use)
        labels.append(EndLabel(float(rows["cop"].iloc[-1]), use.capitalize(), colour))
    if not table.empty:
        ax.set_xlim(table["outdoor_c"].min() - width_k / 2, table["outdoor_c"].max() + width_k / 2)
        ax.set_ylim(0, float(table["high"].max()) * 1.08)
    style.dress(ax, notation, grid="both")
    style.head(ax, notation.axis("cop"))
    style.foot(ax, notation.axis("outdoor_c"))
    note = f"line: median of each {notation.brief(width_k)} K, band: 10th to 90th percentile"
    style.title(ax, "COP against the weather", note)
    style.label_ends(ax, labels)
    return ax


def cop_by_outdoor_sentence(hourly: pd.DataFrame, *, width_k: float = 2.0, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `cop_by_outdoor` shows; the year's figure is a ratio of sums, not a mean of ratios."""
    table = by_outdoor(hourly, width_k=width_k)
    need(hourly, ["heat_pump_heat_kw"], "COP by outdoor temperature")
    if table.empty:
        return "The heat pump ran too little for a curve of COP against outdoor temperature."
    texts = []
    for use in USES:
        rows = table[table["use"] == use]
        if len(rows) == 0:
            continue
        cold, mild = rows.iloc[0], rows.iloc[-1]
        low, high = notation.number(cold["cop"], 1), notation.number(mild["cop"], 1)
        ends = f"from {low} at {notation.number(cold['outdoor_c'])} °C to {high} at "
        texts.append(f"{ends}{notation.number(mild['outdoor_c'])} °C for {use}")
    year = float(hourly["heat_pump_heat_kw"].sum() / hourly["heat_pump_kw"].sum())
    return (
        f"The median COP goes {' and '.join(texts)}; all heat over all electricity of the heat pump is "
        f"{notation.number(year, 2)}."
    )
