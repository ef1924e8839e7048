"""The steps of a year in; the load of the heat pump in order of size, with its capacity and least output, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need, step_hours
from simkit.figures.style import EndLabel
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes


BINS = 60


def load_duration(hourly: pd.DataFrame, *, notation: Notation = PLAIN, ax: Axes | None = None) -> Axes:
    """Draw the heated hours from the greatest load to the least, with what the machine could give and gives at least.

    Parameters
    ----------
    hourly
        Steps of a year with `space_heat_kw`, `capacity_kw` and `least_output_kw`; `water_share` where hot water takes a
        part of the step.
    notation
        How numbers are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    table = by_load(hourly)
    table = pd.concat([table.head(1).assign(hours=0.0), table])
    if ax is None:
        ax = style.Sheet().axes([2.7])[0]
    hours = table["hours"].to_numpy()
    ax.fill_between(hours, table["load_kw"], color=style.HEAT, alpha=0.85, linewidth=0, label="Load")
    below = table["load_kw"] < table["least_kw"]
    ax.fill_between(
        hours, table["load_kw"], table["least_kw"], where=below, color=style.HOUSE, linewidth=0, label="Cycles"
    )
    ax.plot(hours, table["capacity_kw"], color=style.INK, linewidth=1.5, label="Capacity")
    ax.plot(hours, table["least_kw"], color=style.OUTDOOR, linewidth=1.5, linestyle="--", label="Least output")
    ax.set_xlim(0, hours[-1])
    ax.set_ylim(0, float(table["capacity_kw"].max()) * 1.1)
    style.dress(ax, notation, grid="both")
    style.head(ax, "Heat for the rooms [kW]")
    style.foot(ax, "Heated hours of the year, greatest load first [h]")
    style.title(ax, "Load, capacity and least output")
    last = table.iloc[-1]
    labels = [EndLabel(float(last["capacity_kw"]), "Capacity", style.INK)]
    labels.append(EndLabel(float(last["least_kw"]), "Least output", style.OUTDOOR))
    if below.any():
        labels.append(EndLabel(float(last["least_kw"]) * 0.55, "Starts and stops", style.HOUSE, fill=True))
    labels.append(EndLabel(0.0, "Load", style.HEAT, fill=True))
    style.label_ends(ax, labels)
    return ax


def by_load(hourly: pd.DataFrame) -> pd.DataFrame:
    """The heated steps in order of load, in sixty groups: `hours` to the end of each, its `width` [h], means [kW]."""
    need(hourly, ["space_heat_kw", "capacity_kw", "least_output_kw"], "load duration")
    share = hourly["water_share"] if "water_share" in hourly.columns else 0.0
    load = hourly["space_heat_kw"] / np.maximum(1.0 - share, 0.05)
    heated = hourly["space_heat_kw"] > 1e-6
    frame = hourly.loc[heated, ["capacity_kw", "least_output_kw"]].rename(columns={"least_output_kw": "least_kw"})
    frame.insert(0, "load_kw", load[heated])
    frame = frame.sort_values("load_kw", ascending=False, ignore_index=True)
    group = np.minimum(np.arange(len(frame)) * BINS // max(len(frame), 1), BINS - 1)
    found = frame.groupby(group).mean()
    found["width"] = frame.groupby(group).size() * step_hours(hourly)
    found["hours"] = found["width"].cumsum()
    return found
