"""Readings, a signature, a fit or a projection in; a figure of it, and the sentence that says it, out."""

from __future__ import annotations

import calendar
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.style import EndLabel
from simkit.notation import PLAIN, Ends, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Results of the meter, which stands above this layer: a figure reads their attributes and asks nothing of their kind.
Fit: TypeAlias = Any
Projection: TypeAlias = Any
Readings: TypeAlias = Any
Signature: TypeAlias = Any

MOST_PAIRS = 4
METERS = {
    "import_kwh": "whole home", "export_kwh": "sent out", "heat_pump_kwh": "heat pump", "heat_kwh": "heat",
    "fuel_kwh": "fuel", "room_c": "room", "outdoor_c": "outdoors",
    "net_kwh": "import less export",
}  # fmt: skip
UNKNOWNS = {
    "loss_w_per_k": "Heat loss [W/K]", "efficiency": "Efficiency [share]", "base_kwh": "Household [kWh/a]",
    "held_k": "Held over set-point [K]", "draws": "Hot water [share]",
}  # fmt: skip
WIDE = style.Sheet()


def what_was_read(
    readings: Readings, quantity: str | None = None, *, notation: Notation = PLAIN, figure: Figure | None = None
) -> Axes:
    """Draw readings as a carpet: a column for each day, time of day upwards, gaps left blank and marked."""
    name = quantity or readings.quantities[0]
    local = pd.DatetimeIndex(readings.frame.index).tz_convert(readings.zone).tz_localize(None)
    minutes = max(readings.step_minutes, 1.0)
    grid = pd.DataFrame(
        {
            "day": local.normalize(),
            "slot": (local.hour * 60 + local.minute) / minutes,
            "v": readings.frame[name].to_numpy(),
        }
    )
    table = grid.pivot_table(index="slot", columns="day", values="v", aggfunc="mean", dropna=False)
    ax = WIDE.axes([2.4], figure=figure)[0]
    from matplotlib.colors import LinearSegmentedColormap

    colours = LinearSegmentedColormap.from_list("carpet", ["#f4f1ea", style.HOUSE, style.HEAT, style.DIRECT])
    values = np.ma.masked_invalid(table.to_numpy(dtype=np.float64))
    drawn = ax.pcolormesh(
        np.arange(values.shape[1] + 1), np.arange(values.shape[0] + 1) * minutes / 60.0, values, cmap=colours
    )
    ax.set_facecolor(style.PAPER)
    style.dress(ax, notation, grid="")
    ax.set_facecolor("#cfd6da")
    days = table.columns
    ticks = np.linspace(0, len(days) - 1, min(6, len(days))).round().astype(int)
    ax.set_xticks(ticks + 0.5, labels=[f"{days[k]:%d %b}" for k in ticks])
    ax.set_yticks(range(0, 25, 6), labels=[f"{h:02d}:00" for h in range(0, 25, 6)])
    style.head(ax, "Time of day")
    unit = "°C" if name.endswith("_c") else f"kWh in {notation.number(minutes)} minutes"
    figure_: Any = ax.figure
    bar = figure_.colorbar(drawn, ax=ax, cax=ax.inset_axes((1.03, 0.0, 0.02, 1.0)))
    bar.outline.set_visible(False)
    style.write_ticks(bar.ax.yaxis, notation)
    bar.ax.tick_params(length=0, labelsize=style.NOTE_POINTS, labelcolor=style.MUTED)
    bar.ax.set_title(unit, loc="left", **style.NOTE)
    style.title(ax, f"What was read: {METERS.get(name, name)}", "grey: no reading")
    return ax


def what_was_read_sentence(readings: Readings, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `what_was_read` shows."""
    gaps = sum(gap.steps for gap in readings.report.gaps)
    days = readings.report.days
    what = f"{notation.number(days)} days of {METERS.get(readings.quantities[0])} in wall time"
    return f"{what}, {notation.number(gaps)} intervals without a reading."


def signature_days(signature: Signature, *, notation: Notation = PLAIN, figure: Figure | None = None) -> Axes:
    """Draw days against outdoor temperature with the change-point line."""
    days = signature.days.sort_values("outdoor_c")
    ax = WIDE.axes([2.6], figure=figure)[0]
    ax.plot(days["outdoor_c"], days["measured_kwh"], "o", color=style.OUTDOOR, markersize=3.5, alpha=0.8)
    x = np.linspace(days["outdoor_c"].min(), days["outdoor_c"].max(), 200)
    y = signature.predicted_kwh(x)
    ax.plot(x, y, color=style.INK, linewidth=1.8)
    ax.fill_between(x, y - 1.64 * signature.sd_kwh, y + 1.64 * signature.sd_kwh, color=style.RULE, alpha=0.6, zorder=0)
    if signature.changes:
        ax.axvline(signature.change_c.middle, color=style.MUTED, linewidth=0.8, linestyle=":")
    style.dress(ax, notation, grid="both")
    ax.set_ylim(bottom=0)
    style.head(ax, "Energy of a day [kWh]")
    style.foot(ax, "Mean outdoor temperature of the day [°C]", side="right")
    style.label_ends(ax, [EndLabel(float(y[-1]), "signature,\nnine days in ten", style.INK)])
    style.title(ax, "Energy signature")
    return ax


def signature_days_sentence(signature: Signature, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `signature_days` shows."""
    number = notation.number
    slope = f"{number(signature.slope_kwh_per_k.middle, 2)} kWh more"
    if not signature.changes:
        return f"Each kelvin colder takes {slope} a day."
    return (
        f"A day takes {number(signature.base_kwh.middle, 1)} kWh, and {slope} for each kelvin under "
        f"{number(signature.change_c.middle, 1)} °C."
    )


def fit_over_time(fit: Fit, *, figure: Figure | None = None) -> list[Axes]:
    """Draw measured and predicted days of the first meter, and what is left over time and against temperature."""
    rows = fit.residuals[fit.residuals["meter"] == fit.residuals["meter"].iloc[0]]
    per_day = rows["days"].to_numpy() if rows["meter"].iloc[0] != "room_c" else np.ones(len(rows))
    measured, predicted = rows["measured"].to_numpy() / per_day, rows["predicted"].to_numpy() / per_day
    when = pd.DatetimeIndex(rows["start"]).tz_localize(None)
    unit = "°C" if rows["meter"].iloc[0] == "room_c" else "kWh"
    axes = style.Sheet(gap=0.75).axes([1.9, 1.0, 1.2], figure=figure)
    axes[0].plot(when, measured, "o", color=style.OUTDOOR, markersize=3.5)
    axes[0].plot(when, predicted, color=style.ROOM, linewidth=1.6)
    left = measured - predicted
    axes[1].bar(when, left, width=0.8, color=style.MONEY)
    axes[2].plot(rows["outdoor_c"], left, "o", color=style.MONEY, markersize=3.5)
    for ax in axes:
        style.dress(ax, fit.case.notation, grid="y")
        ax.locator_params(axis="y", nbins=4)
    for ax in axes[:2]:
        style.month_days(ax, len(when))
    axes[0].set_xlim(axes[1].get_xlim())  # the same days under each other
    axes[2].axhline(0, color=style.MUTED, linewidth=0.8)
    style.head(axes[0], f"A day, {METERS.get(rows['meter'].iloc[0])} [{unit}]")
    style.head(axes[1], f"Measured less fitted [{unit}]")
    style.head(axes[2], f"The same against outdoor temperature [{unit}]")
    style.foot(axes[2], "Mean outdoor temperature [°C]", side="right")
    labels = [
        EndLabel(float(measured[-1]), "measured (dots)", style.OUTDOOR),
        EndLabel(float(predicted[-1]), "fitted (line)", style.ROOM),
    ]
    style.label_ends(axes[0], labels)
    style.title(axes[0], "How well the fitted home follows the meter")
    return axes


def fit_over_time_sentence(fit: Fit) -> str:
    """Say in one sentence what `fit_over_time` shows."""
    meter = str(fit.residuals["meter"].iloc[0])
    metric, share = fit.metrics[meter], fit.case.notation.share
    return (
        f"The fitted home is {share(abs(metric.nmbe), 1)} off the {METERS.get(meter)} meter in all, and "
        f"{share(metric.cv_rmse)} on a typical day."
    )


def posterior_pairs(fit: Fit, *, figure: Figure | None = None) -> list[Axes]:
    """Draw the unknowns against each other: what lies along a slope can't be told apart."""
    names = [one.name for one in fit.unknowns if one.name in UNKNOWNS][:MOST_PAIRS]
    rows = np.linspace(0, len(fit.draws) - 1, 1500).astype(int)
    values = fit.draws.iloc[rows]
    count = len(names)
    figure = style.blank(7.6, 7.0, figure)
    grid = figure.add_gridspec(count, count, left=0.14, right=0.97, top=0.9, bottom=0.1, wspace=0.12, hspace=0.12)
    axes = []
    for i in range(count):
        for j in range(i + 1):
            ax = figure.add_subplot(grid[i, j])
            x, y = values[names[j]].to_numpy(), values[names[i]].to_numpy()
            if i == j:
                ax.hist(x, bins=24, color=style.WATER, edgecolor=style.PAPER, linewidth=0.4)
                ax.set_title(UNKNOWNS[names[i]], fontsize=style.TEXT_POINTS, color=style.INK, loc="left")
            else:
                ax.plot(x, y, ".", color=style.OUTDOOR, markersize=1.6, alpha=0.35, rasterized=True)
            style.dress(ax, fit.case.notation, grid="")
            ax.locator_params(nbins=4)
            ax.tick_params(labelbottom=i == count - 1, labelleft=j == 0 and i > 0)
            if i == count - 1:
                ax.set_xlabel(UNKNOWNS[names[j]].replace(" [", "\n["), **style.NOTE)
            if j == 0 and i > 0:
                ax.set_ylabel(UNKNOWNS[names[i]].replace(" [", "\n["), **style.NOTE)
            axes.append(ax)
    figure.text(0.14, 0.955, "What the readings leave open", **style.NAME)
    return axes


def posterior_pairs_sentence(fit: Fit) -> str:
    """Say in one sentence what `posterior_pairs` shows."""
    first, second, r = max(fit.tied(0.0), key=lambda pair: abs(pair[2]))
    apart = "" if fit.tied() else ": no two of them are so tied that they can't be told apart"
    return f"Strongest tie: {first} with {second}, correlation {fit.case.notation.number(r, 2)}{apart}."


def fan_by_month(projection: Projection, *, figure: Figure | None = None) -> Axes:
    """Draw the year's bill month by month: the middle, and the band that eight years in ten stay in."""
    months, notation = projection.months, projection.fit.case.notation
    ax = WIDE.axes([2.6], figure=figure)[0]
    x = np.arange(12)
    low, high, middle = (months[f"month_cost_{how}"].to_numpy() for how in ("low", "high", "middle"))
    ax.bar(x, high - low, bottom=low, width=0.62, color=style.WATER, edgecolor=style.INK, linewidth=0.5)
    ax.hlines(middle, x - 0.31, x + 0.31, color=style.INK, linewidth=2.0)
    for place, value, top in zip(x, middle, high, strict=True):
        ax.text(
            float(place),
            float(top) + 0.02 * float(high.max()),
            notation.number(float(value)),
            ha="center",
            va="bottom",
            gid="amount",
            **style.FIGURE,
        )
    ax.set_xticks(x, labels=[calendar.month_abbr[k + 1] for k in range(12)])
    style.dress(ax, notation, grid="y")
    ax.tick_params(axis="x", labelcolor=style.INK)
    ax.set_ylim(0, float(high.max()) * 1.14)
    style.head(ax, notation.in_money("Cost of a month"))
    labels = [
        EndLabel(float(middle[-1]), "middle", style.INK),
        EndLabel(float(low[-1]), "8 years in 10", style.WATER, fill=True),
    ]
    style.label_ends(ax, labels)
    style.title(ax, "The year of the fitted home", "figures: the middle, at today's prices", note_at=1.0)
    return ax


def fan_by_month_sentence(projection: Projection) -> str:
    """Say in one sentence what `fan_by_month` shows."""
    months = projection.months
    worst = int(months["month_cost_middle"].idxmax())
    found = Ends(*(float(months[f"month_cost_{end}"][worst]) for end in ("low", "high")))
    likely = projection.fit.case.notation.span(found)
    return f"{calendar.month_name[worst]} is likely the most expensive month, at {likely} all in all."
