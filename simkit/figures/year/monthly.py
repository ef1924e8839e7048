"""A frame of months in; cost and energy month by month out."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.figures.selecting import given
from simkit.figures.style import EndLabel
from simkit.figures.year.strips import ELECTRICITY, Part
from simkit.notation import PLAIN, Notation
from simkit.quantities import energy_name

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ENERGY: tuple[Part, ...] = tuple(
    (label, tuple(energy_name(column) for column in columns), colour) for label, columns, colour in ELECTRICITY
)
FUEL: tuple[Part, ...] = (("Fuel", ("fuel_kwh",), style.DIRECT),)
WIDTH = 0.72


def months(monthly: pd.DataFrame, *, notation: Notation = PLAIN, figure: Figure | None = None) -> list[Axes]:
    """Draw each month's cost with its amount, the electricity by use below it, and the fuel where one is burnt.

    Parameters
    ----------
    monthly
        One row for each month, index 1 to 12; any of `month_cost`, the energies of the nomenclature
        (`heat_pump_kwh`, `household_kwh`...) and `fuel_kwh`. What is absent or nothing but zero is left out.
    notation
        How numbers and amounts are written.
    figure
        Figure to draw on instead of a new one; it is cleared.

    Returns
    -------
    list of Axes
        The strips, top to bottom.
    """
    names, strips = _month_names(monthly), _strips(monthly)
    with_cost = "month_cost" in monthly.columns
    axes = style.Sheet(gap=0.62).axes([1.5] * with_cost + [1.7] * len(strips), figure=figure)
    if with_cost:
        _cost(axes[0], monthly["month_cost"].to_numpy(dtype=np.float64), notation)
    for ax, (parts, label) in zip(axes[int(with_cost) :], strips, strict=True):
        _stack(ax, monthly, parts, label)
    for ax in axes:
        ax.set_xlim(-0.6, len(names) - 0.4)
        ax.set_xticks(range(len(names)), labels=names)
        style.dress(ax, notation, grid="y")
        ax.tick_params(axis="x", labelcolor=style.INK)
    style.title(axes[0], "Month by month")
    return axes


def _strips(monthly: pd.DataFrame) -> list[tuple[tuple[Part, ...], str]]:
    """The energies of which the frame says something; a fault where it holds no cost either."""
    known = ((ENERGY, "Electricity by use [kWh]"), (FUEL, "Fuel [kWh]"))
    found = [(parts, label) for parts, label in known if any(given(monthly, part[1]) is not None for part in parts)]
    if not found and "month_cost" not in monthly.columns:
        remedy = "Pass the months of a year, with month_cost or energies in kWh"
        raise CaseError(Fault("months", "a frame", "holds neither cost nor energy", remedy))
    return found


def _month_names(monthly: pd.DataFrame) -> list[str]:
    wrong = [month for month in monthly.index if month not in range(1, 13)]
    if wrong or monthly.index.has_duplicates:
        given_index = str(wrong[0]) if wrong else "a month that comes twice"
        allowed = "is not a month from 1 to 12, each once"
        raise CaseError(Fault("months", given_index, allowed, "Give the frame an index of month numbers"))
    return [calendar.month_abbr[int(month)] for month in monthly.index]


def _cost(ax: Axes, cost: np.ndarray, notation: Notation) -> None:
    style.head(ax, notation.axis("month_cost"))
    places = np.arange(len(cost))
    ax.bar(places, cost, width=WIDTH, color=style.MONEY, edgecolor=style.INK, linewidth=0.5, label="month_cost")
    low, high = min(0.0, float(cost.min())), max(0.0, float(cost.max()))
    lift = 0.03 * (high - low)
    for place, value in zip(places, cost, strict=True):
        above = max(float(value), 0.0) + lift
        ax.text(float(place), above, notation.number(value), ha="center", va="bottom", gid="amount", **style.FIGURE)
    ax.set_ylim(low - (lift if low < 0 else 0), high + 6 * lift or 1.0)
    ax.locator_params(axis="y", nbins=4)


def _stack(ax: Axes, monthly: pd.DataFrame, parts: tuple[Part, ...], label: str) -> None:
    style.head(ax, label)
    places, base, labels = np.arange(len(monthly)), np.zeros(len(monthly)), []
    for name, columns, colour in parts:
        values = given(monthly, columns)
        if values is None:
            continue
        ax.bar(places, values, bottom=base, width=WIDTH, color=colour, edgecolor=style.INK, linewidth=0.5, label=name)
        labels.append(EndLabel(float(base[-1] + values[-1] / 2), name, colour, fill=True))
        base = base + values
    ax.set_ylim(0, max(float(base.max()), 0.1) * 1.06)
    ax.locator_params(axis="y", nbins=5)
    style.label_ends(ax, labels)
