"""Prices of a year on its time axis in; the day as a strip by the wall clock, and the sentence that says it, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from simkit.arrays import Floats
from simkit.clock import DAY_MINUTES, TimeAxis, time_of
from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.quantities import column_label

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Run = tuple[int, int, float]  # from, to [min since midnight], price
WEDNESDAY = 2
NEAREST_MINUTES = 75  # two times written nearer than this would touch


def clock_strip(
    price_per_kwh: Floats,
    axis: TimeAxis,
    *,
    dates: Sequence[str | dt.date] | None = None,
    currency: str | None = None,
    figure: Figure | None = None,
) -> list[Axes]:
    """Draw what a kWh costs through the day, by the clock on the wall; the dearer, the darker.

    Parameters
    ----------
    price_per_kwh : array, shape (steps,)
        Price of each step of `axis` [currency/kWh].
    axis
        The time axis.
    dates
        Civil dates to show; None shows a Wednesday in mid-January and one in mid-July.
    currency
        ISO 4217 code.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        One strip for each date.
    """
    days = [_runs(price_per_kwh, axis, date) for date in _chosen(axis, dates)]
    shades = _shades([run[2] for _, runs in days for run in runs])
    sheet = style.Sheet(left=0.35, right=0.35, gap=0.72, top=0.85, bottom=0.35)
    axes = sheet.axes([0.42] * len(days), figure=figure)
    for ax, (date, runs) in zip(axes, days, strict=True):
        _strip(ax, runs, shades)
        style.head(ax, f"{date:%A} {date.day} {date:%B}")
    unit = column_label("import_price_per_kwh", currency=currency)
    style.title(axes[0], "When electricity is cheap", f"{unit}, wall time in {axis.zone}")
    return axes


def clock_strip_sentence(
    price_per_kwh: Floats, axis: TimeAxis, date: str | dt.date, *, currency: str | None = None
) -> str:
    """Say in one sentence what a strip of `clock_strip` shows."""
    day, runs = _runs(price_per_kwh, axis, date)
    unit = f" {currency}" if currency else ""
    low, high = min(run[2] for run in runs), max(run[2] for run in runs)
    when = f"On {day:%A} {day.day} {day:%B}"
    if low == high:
        return f"{when} a kWh costs {style.number(low, 3)}{unit} all day."
    return (
        f"{when} a kWh costs least, {style.number(low, 3)}{unit}, {_spans(runs, low)} "
        f"and most, {style.number(high, 3)}{unit}, {_spans(runs, high)}."
    )


def _spans(runs: Sequence[Run], price: float) -> str:
    return " and ".join(f"from {time_of(start)} to {time_of(end)}" for start, end, found in runs if found == price)


def _chosen(axis: TimeAxis, dates: Sequence[str | dt.date] | None) -> list[str | dt.date]:
    if dates is not None:
        return list(dates)
    middles = [dt.date(axis.year, month, 15) for month in (1, 7)]
    return [day + dt.timedelta(days=(WEDNESDAY - day.weekday()) % 7) for day in middles]


def _runs(price_per_kwh: Floats, axis: TimeAxis, date: str | dt.date) -> tuple[dt.date, list[Run]]:
    """Cut one civil date into stretches of one price, by the wall clock."""
    wanted = np.datetime64(date, "D")
    steps = np.flatnonzero(axis.dates[axis.day] == wanted)
    if not len(steps):
        allowed = f"is not a date of {axis.year}"
        raise CaseError(Fault("date", str(date), allowed, "Choose a date of the year that was run"))
    minutes, prices = axis.minute_of_day[steps], np.round(np.asarray(price_per_kwh)[steps], 6)
    starts = np.flatnonzero(np.append(True, np.diff(prices) != 0))
    ends = [*minutes[starts[1:]].tolist(), DAY_MINUTES]
    runs = [(int(minutes[k]), int(end), float(prices[k])) for k, end in zip(starts, ends, strict=True)]
    return wanted.astype(dt.date), [run for run in runs if run[1] > run[0]]


def _shades(prices: Sequence[float]) -> dict[float, str]:
    """Give each price a shade, the dearest the darkest; more prices than shades share them by rank."""
    ranked = sorted(set(prices))
    steps = len(style.CHEAP_TO_DEAR) - 1
    top = max(len(ranked) - 1, 1)
    return {price: style.CHEAP_TO_DEAR[round(rank * steps / top)] for rank, price in enumerate(ranked)}


def _strip(ax: Axes, runs: Sequence[Run], shades: dict[float, str]) -> None:
    ax.set_xlim(0, DAY_MINUTES)
    ax.set_ylim(0, 1)
    for start, end, price in runs:
        fill = shades[price]
        ax.barh(0.5, end - start, left=start, height=1, color=fill, edgecolor=style.INK, linewidth=0.5)
        if end - start >= 60:  # an hour is as wide as three digits and a point
            look = style.FIGURE | {"color": style.text_on(fill), "ha": "center", "va": "center"}
            ax.text((start + end) / 2, 0.5, f"{price:.3f}".rstrip("0").rstrip("."), gid="price", **look)
    shown = _times([run[0] for run in runs if run[0] > 0])
    ax.set_xticks(shown, labels=[time_of(minute) for minute in shown])
    ax.set_yticks([])
    style.dress(ax, grid="")
    ax.spines["bottom"].set_visible(False)


def _times(changes: Sequence[int]) -> list[int]:
    """Return the times to write below a strip: changes, then midnights, none so near another that they would touch."""
    shown: list[int] = []
    for minute in [*(changes if len(changes) <= 12 else range(0, DAY_MINUTES, 180)), 0, DAY_MINUTES]:
        if all(abs(minute - other) >= NEAREST_MINUTES for other in shown):
            shown.append(minute)
    return sorted(shown)
