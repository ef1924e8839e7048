"""A stretch of steps and an Axes in; one strip (temperatures, heat, electricity or price) drawn on it out.

All strips share one x axis: hours since the first step, so that days of 23 and 25 hours are as long as they were. Means
over a step are drawn as steps; temperatures as lines through the middle of the step.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.figures import style
from simkit.figures.selecting import given, step_hours
from simkit.figures.style import EndLabel
from simkit.notation import Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.patches import StepPatch

Part = tuple[str, tuple[str, ...], str]  # label, columns that are added, colour
Line = tuple[str, str, str, str]  # column, label, colour, dash

ELECTRICITY: tuple[Part, ...] = (
    ("Household", ("household_kw",), style.HOUSE),
    ("Heat pump", ("heat_pump_kw",), style.HEAT),
    ("Direct heaters", ("backup_heater_kw", "immersion_kw"), style.DIRECT),
    ("Pumps, standby", ("pumps_kw", "standby_kw", "boiler_kw"), style.AIDS),
    ("Car", ("car_kw",), style.CAR),
)
HEAT: tuple[Part, ...] = (
    ("To the rooms", ("rooms_kw",), style.HEAT),
    ("To the cylinder", ("cylinder_kw",), style.WATER),
    ("By direct heaters", ("backup_heater_kw", "immersion_kw"), style.DIRECT),
)


def edges_of(frame: pd.DataFrame) -> Floats:
    """Step edges as hours since the first step began, shape (steps + 1,) [h]."""
    index = pd.DatetimeIndex(frame.index)
    starts = np.asarray((index - index[0]) / pd.Timedelta(hours=1), dtype=np.float64)
    return np.append(starts, starts[-1] + step_hours(frame))


def steps(ax: Axes, values: Floats, edges: Floats, *, baseline: Any = 0.0, **how: Any) -> StepPatch:
    """Draw values as steps; every strip sets its own limits, and looking for them along each edge takes long."""
    from matplotlib.patches import StepPatch

    drawn = StepPatch(values, edges, baseline=baseline, **{"fill": False} | how)
    ax.add_artist(drawn)
    return drawn


def stack(ax: Axes, frame: pd.DataFrame, parts: Sequence[Part]) -> tuple[list[EndLabel], Floats]:
    """Draw the parts on top of each other, those that are nothing but zero left out.

    Returns
    -------
    labels
        One for each part drawn, at the height of its last middle.
    total
        Upper edge of the stack, shape (steps,).
    """
    labels, total, edges = [], np.zeros(len(frame)), edges_of(frame)
    for name, columns, colour in parts:
        values = given(frame, columns)
        if values is None:
            continue
        upper = total + values
        drawn = steps(ax, upper, edges, baseline=total, fill=True, color=colour, linewidth=0, label=name)
        drawn.set_gid("fill")
        middle = float(total[-1] + values[-1] / 2)
        labels.append(EndLabel(middle, name, colour, fill=True))
        total = upper
    return labels, total


def temperatures(ax: Axes, frame: pd.DataFrame) -> None:
    """Outdoor, room and needed temperature; where the room is colder than needed the gap is shaded."""
    style.head(ax, "Temperature [°C]")
    edges, labels = edges_of(frame), []
    hours = (edges[:-1] + edges[1:]) / 2
    room = frame["air_c"].to_numpy(dtype=np.float64)
    if "needed_c" in frame.columns:
        needed = frame["needed_c"].to_numpy(dtype=np.float64)
        steps(ax, needed, edges, baseline=None, color=style.INK, linewidth=1.0, linestyle="--", label="Needed")
        ax.fill_between(hours, room, needed, where=room < needed - 0.05, color=style.ROOM, alpha=0.25, linewidth=0)
        labels.append(EndLabel(float(needed[-1]), "Needed", style.INK))
    ax.plot(hours, room, color=style.ROOM, linewidth=1.9, label="Room")
    outdoor = frame["outdoor_c"].to_numpy(dtype=np.float64)
    ax.plot(hours, outdoor, color=style.OUTDOOR, linewidth=1.1, label="Outdoor")
    labels += [EndLabel(float(room[-1]), "Room", style.ROOM), EndLabel(float(outdoor[-1]), "Outdoor", style.OUTDOOR)]
    ax.axhline(0, color=style.MUTED, linewidth=0.7)
    ax.set_ylim(min(0.0, outdoor.min()) - 1.5, max(room.max(), 20.0) + 2)
    style.label_ends(ax, labels)


def heat(ax: Axes, frame: pd.DataFrame) -> None:
    """Heat given to rooms and cylinder, the part of direct heaters on top, against what the heat pump could give."""
    style.head(ax, "Heat [kW]")
    zero = pd.Series(0.0, index=frame.index)
    split = {
        "rooms_kw": frame.get("space_heat_kw", zero) - frame.get("backup_heater_kw", zero),
        "cylinder_kw": frame.get("hot_water_kw", zero) - frame.get("immersion_kw", zero),
    }
    stacked(ax, frame.assign(**split), HEAT, (("capacity_kw", capacity_words(frame), style.INK, "-"),))


def capacity_words(frame: pd.DataFrame) -> str:
    """What the capacity of a frame is called: that of the heat pump where one runs in it."""
    return "Heat-pump capacity" if given(frame, ("heat_pump_kw",)) is not None else "Boiler capacity"


def electricity(ax: Axes, frame: pd.DataFrame) -> None:
    """Electricity by use, stacked; what the sun gives as a line over it."""
    style.head(ax, "Electricity by use [kW]")
    stacked(ax, frame, ELECTRICITY, (("solar_kw", "Solar", style.INK, ":"),))


def stacked(ax: Axes, frame: pd.DataFrame, parts: Sequence[Part], lines: Sequence[Line]) -> None:
    """Draw the parts on top of each other and the lines over them, what is nothing but zero left out."""
    labels, total = stack(ax, frame, parts)
    top = float(total.max(initial=0.1))
    for column, name, colour, dash in lines:
        if given(frame, (column,)) is None:
            continue
        values = frame[column].to_numpy(dtype=np.float64)
        line = steps(
            ax, values, edges_of(frame), baseline=None, color=colour, linewidth=1.4, linestyle=dash, label=name
        )
        line.set_gid("line")
        finite = values[np.isfinite(values)]
        labels.append(EndLabel(float(finite[-1]), name, colour))
        top = max(top, float(finite.max()))
    ax.set_ylim(0, top * 1.08)
    style.label_ends(ax, labels)


def price(ax: Axes, frame: pd.DataFrame, notation: Notation) -> None:
    """Price of the next kWh bought, and of one sent out where there is one."""
    style.head(ax, notation.axis("import_price_per_kwh"))
    buy = frame["import_price_per_kwh"].to_numpy(dtype=np.float64)
    edges = edges_of(frame)
    steps(ax, buy, edges, fill=True, color=style.PRICE, alpha=0.18, linewidth=0)
    steps(ax, buy, edges, baseline=None, color=style.PRICE, linewidth=1.6, label="Bought")
    labels = [EndLabel(float(buy[-1]), "Bought", style.PRICE)]
    low, high = min(0.0, float(buy.min())), max(0.0, float(buy.max()))
    if given(frame, ("export_price_per_kwh",)) is not None:
        sell = frame["export_price_per_kwh"].to_numpy(dtype=np.float64)
        steps(ax, sell, edges, baseline=None, color=style.INK, linewidth=1.0, linestyle=":", label="Sent out")
        labels.append(EndLabel(float(sell[-1]), "Sent out", style.INK))
        low, high = min(low, float(sell.min())), max(high, float(sell.max()))
    pad = 0.12 * max(high - low, 0.01)
    ax.set_ylim(low - (pad if low < 0 else 0), high + pad)
    style.label_ends(ax, labels)


def day_ticks(axes: Sequence[Axes], frame: pd.DataFrame, notation: Notation) -> None:
    """Rule the strips at midnights of the frame's own clock and name the days under the last one."""
    index = pd.DatetimeIndex(frame.index)
    starts = np.flatnonzero(index.normalize() != np.roll(index.normalize(), 1))
    starts = starts if len(starts) else np.array([0])
    edges = edges_of(frame)
    ends = np.append(edges[starts[1:]], edges[-1])
    middles, names = (edges[starts] + ends) / 2, style.day_names(index[starts])
    _ticks(axes, frame, edges[starts], middles, names, notation=notation)


def hour_ticks(axes: Sequence[Axes], frame: pd.DataFrame, notation: Notation) -> None:
    """Rule the strips at every third hour of the wall clock and write it under the last one."""
    index = pd.DatetimeIndex(frame.index)
    at = np.flatnonzero((index.hour % 3 == 0) & (index.minute == 0))
    edges = edges_of(frame)
    where, names = np.append(edges[at], edges[-1]), [f"{index[k]:%H:%M}" for k in at] + ["24:00"]
    _ticks(axes, frame, where, where, names, notation=notation)


def _ticks(
    axes: Sequence[Axes],
    frame: pd.DataFrame,
    rules: Floats,
    places: Floats,
    names: Sequence[str],
    *,
    notation: Notation,
) -> None:
    edges = edges_of(frame)
    for ax in axes:
        ax.set_xlim(edges[0], edges[-1])
        ax.xaxis.remove_overlapping_locs = False  # names may stand where a rule is
        ax.set_xticks(rules, labels=[""] * len(rules))
        ax.locator_params(axis="y", nbins=5)
        style.dress(ax, notation, grid="both")
    axes[-1].set_xticks(places, labels=list(names), minor=True)
    for ax in axes[:-1]:
        ax.set_xticks([], minor=True)
    clock = getattr(pd.DatetimeIndex(frame.index).tz, "key", None) or str(pd.DatetimeIndex(frame.index).tz or "")
    axes[-1].set_xlabel(
        f"Wall time, {clock}" if clock else "", fontsize=style.NOTE_POINTS, color=style.MUTED, loc="right"
    )


Strip = Callable[["Axes", pd.DataFrame], None]
