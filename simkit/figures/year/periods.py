"""The steps of a year in; aligned strips of its coldest week, and the sentence that says them, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import coldest_week, given, in_zone, need, step_hours
from simkit.figures.year import strips
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NEEDED = ("outdoor_c", "air_c")


def cold_week(
    hourly: pd.DataFrame, *, zone: str | None = None, notation: Notation = PLAIN, figure: Figure | None = None
) -> list[Axes]:
    """Draw the coldest week: temperatures, heat against capacity, electricity by use, price.

    Parameters
    ----------
    hourly
        Steps of a year in the names of the nomenclature, indexed by their starts; columns that are absent or nothing
        but zero are left out, save `outdoor_c` and `air_c`.
    zone
        Clock whose civil days are meant; None keeps the clock of the index.
    notation
        How numbers and amounts are written.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        The strips, top to bottom.
    """
    need(hourly, NEEDED, "coldest week")
    week = coldest_week(in_zone(hourly, zone))
    wanted: list[tuple[float, strips.Strip]] = [(1.55, strips.temperatures)]
    if given(week, ("space_heat_kw", "hot_water_kw", "capacity_kw")) is not None:
        wanted.append((1.35, strips.heat))
    if any(given(week, columns) is not None for _, columns, _ in strips.ELECTRICITY):
        wanted.append((1.35, strips.electricity))
    if "import_price_per_kwh" in week.columns:
        wanted.append((0.75, lambda ax, part: strips.price(ax, part, notation)))
    axes = style.Sheet().axes([height for height, _ in wanted], figure=figure)
    for ax, (_, draw) in zip(axes, wanted, strict=True):
        draw(ax, week)
    strips.day_ticks(axes, week, notation)
    style.title(axes[0], "The coldest week", f"{_outdoors(week, notation)} outdoors on average")
    return axes


def cold_week_sentence(hourly: pd.DataFrame, *, zone: str | None = None, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `cold_week` shows."""
    need(hourly, NEEDED, "coldest week")
    week = coldest_week(in_zone(hourly, zone))
    index = pd.DatetimeIndex(week.index)
    span = f"{index[0].day} {index[0]:%B} to {index[-1].day} {index[-1]:%B}"
    told = f"{_outdoors(week, notation)} outdoors on average{_held(week, notation)}{_worked(week, notation)}"
    return f"In the coldest week, {span}, it was {told}."


def _outdoors(frame: pd.DataFrame, notation: Notation) -> str:
    return f"{notation.number(float(frame['outdoor_c'].mean()), 1)} °C"


def _held(frame: pd.DataFrame, notation: Notation) -> str:
    if "needed_c" not in frame.columns:
        return f", the rooms fell to {notation.number(float(frame['air_c'].min()), 1)} °C"
    short = float((frame["needed_c"] - frame["air_c"]).max())
    if short < 0.05:
        return ", the rooms were always as warm as needed"
    return f", the rooms were at most {notation.number(short, 1)} K colder than needed"


def _worked(frame: pd.DataFrame, notation: Notation) -> str:
    parts = []
    if "load_ratio" in frame.columns and given(frame, ("load_ratio",)) is not None:
        busiest = float(np.nanmax(frame["load_ratio"].to_numpy(dtype=np.float64)))
        machine = "boiler" if "boiler" in strips.capacity_words(frame).lower() else "heat pump"
        parts.append(f"the {machine} worked at up to {notation.share(busiest)} of its capacity")
    direct = given(frame, ("backup_heater_kw", "immersion_kw"))
    if direct is not None:
        parts.append(f"direct heaters used {notation.number(float(direct.sum()) * step_hours(frame), 1)} kWh")
    elif "backup_heater_kw" in frame.columns:
        parts.append("no direct heater ran")
    return "".join(f", {part}" for part in parts[:-1]) + (f" and {parts[-1]}" if parts else "")
