"""A table of options with their yearly cost in; bars with ranges, and the sentence that says them, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.errors import CaseError, Fault, raise_all
from simkit.figures import style
from simkit.figures.selecting import ends_of, given, need
from simkit.notation import PLAIN, Notation, named
from simkit.quantities import QUANTITIES

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Bill line groups from the axis outward, with their fills.
PARTS = {
    "fuel_cost": style.DIRECT,
    "heating_cost": style.HEAT,
    "energy_cost": style.HEAT,
    "hot_water_cost": style.WATER,
    "other_heat_cost": style.AIDS,
    "car_cost": style.CAR,
    "household_cost": style.HOUSE,
    "standing_cost": style.STANDING,
    "export_cost": style.SUN,
}
ROW_INCHES = 0.82
SHEET = style.Sheet(left=0.3, right=2.4)
BAR, RAIL = 0.15, 0.46  # where bar and range stand in the row of an option: its name is at 0, the next one at 1
BAR_HEIGHT = 0.36
AMOUNT_AT, DIFFERENCE_AT = 1.03, 1.46  # columns to the right, as shares of the width of the axes
PARTS_MAY_MISS = 0.02  # of the currency's unit for each part: rounding of lines to the cent


def year_cost(
    options: pd.DataFrame, *, notation: Notation = PLAIN, baseline: str | None = None, ax: Axes | None = None
) -> Axes:
    """Draw the yearly cost of each option as a bar, with its 10 to 90 range on a rail below and the amounts in print.

    Parameters
    ----------
    options
        One row for each option, named by the index, in the order drawn. Column `year_cost`; where known also
        `year_cost_low` and `year_cost_high` (10th and 90th percentile), `more_cost_low` and `more_cost_high` (the same
        of what it costs more than the baseline), `comfort` (what it lacks in a word or two, empty for nothing), and the
        groups of bill lines
        (`heating_cost`, `hot_water_cost`, `household_cost`, `standing_cost`...), which must add up to `year_cost`.
    notation
        How numbers and amounts are written.
    baseline
        Name of the option that the others are measured against: the difference is printed.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(options, ["year_cost"], "year cost")
    parts = _parts(options)
    _refuse(options, parts, baseline)
    if ax is None:
        ax = SHEET.axes([ROW_INCHES * len(options)])[0]
    _frame(ax, options, parts, notation)
    for row, name in enumerate(options.index):
        at = row + BAR - BAR_HEIGHT / 2 - 0.06
        lacks = options.iloc[row].get("comfort")
        ax.text(0, at, f"{name}: {lacks}" if lacks else str(name), va="bottom", gid="option", **style.LABEL)
        _bar(ax, row, options.iloc[row], parts, notation)
        reference = None if baseline is None or name == baseline else float(options.at[baseline, "year_cost"])
        _amount(ax, row, options.iloc[row], reference, notation)
    handles = [style.patch(PARTS[name], QUANTITIES[name].label) for name in parts]
    if ends_of(options.iloc[-1], "year_cost") is not None:
        ax.lines[-2].set_label("likely range")
        handles.append(ax.lines[-2])
    lines = style.key(ax, handles) if handles else 0
    up = 0.28 + style.LINE_INCHES * lines
    style.title(ax, "What a year costs", f"against {baseline}" if baseline else "", up=up, note_at=DIFFERENCE_AT)
    return ax


def year_cost_sentence(options: pd.DataFrame, *, notation: Notation = PLAIN, baseline: str | None = None) -> str:
    """Say in one sentence what `year_cost` shows."""
    need(options, ["year_cost"], "year cost")
    _refuse(options, _parts(options), baseline)
    cheapest = options["year_cost"].idxmin()
    cost = options["year_cost"]
    found = ends_of(options.loc[cheapest], "year_cost")
    amount = notation.estimate(cost[cheapest], found)
    text = f"Of {len(options)}, comfort aside, {named(str(cheapest))} costs least to run: {amount} a year"
    if len(options) == 1:
        text = f"{named(str(cheapest))} costs {amount} a year"
    if found is not None:
        text += f" (likely {notation.span(found)})"
    other = baseline if baseline is not None else cost.idxmax()
    if other != cheapest:
        least = ends_of(options.loc[cheapest], "more_cost") if other == baseline else None
        text += f", {notation.more_or_less(cost[cheapest] - cost[other], least)} than {named(str(other))}"
    return text + "."


def _parts(options: pd.DataFrame) -> list[str]:
    return [name for name in PARTS if given(options, [name]) is not None]


def _refuse(options: pd.DataFrame, parts: list[str], baseline: str | None) -> None:
    """Raise a fault for parts that do not add up, ranges that do not hold the cost and a baseline that is not there."""
    faults = []
    if baseline is not None and baseline not in options.index:
        names = ", ".join(str(name) for name in options.index)
        faults.append(
            Fault("year cost", f'baseline "{baseline}"', "is not among the options", f"Choose one of {names}")
        )
    for name, row in options.iterrows():
        total, cost = sum(float(row[part]) for part in parts), float(row["year_cost"])
        if parts and abs(total - cost) > PARTS_MAY_MISS * len(parts):
            allowed = f"do not add up to year_cost {cost:.2f}"
            faults.append(Fault(f"year cost, {name}", f"parts of {total:.2f}", allowed, "Pass every part, or none"))
        low, high = float(row.get("year_cost_low", cost)), float(row.get("year_cost_high", cost))
        if low > high:
            remedy = "Pass the 10th percentile as year_cost_low and the 90th as year_cost_high"
            faults.append(Fault(f"year cost, {name}", f"a range of {low:.2f} to {high:.2f}", "runs backwards", remedy))
    raise_all(faults, CaseError)


def _frame(ax: Axes, options: pd.DataFrame, parts: list[str], notation: Notation) -> None:
    """Lay out the axes: one row of unit height for each option, first on top; room for every bar and range."""
    least = [float(options[name].min()) for name in parts]
    most = [float(options[name].max()) for name in ("year_cost", "year_cost_high") if name in options.columns]
    most += [float(options[parts].clip(lower=0).sum(axis=1).max())] if parts else []
    ax.set_xlim(min(0.0, *least, 0.0), max(*most, 0.0) or 1.0)
    ax.set_ylim(len(options) - 0.3, -0.35)
    ax.set_yticks([])
    style.dress(ax, notation, grid="x")
    ax.spines["bottom"].set_visible(False)
    ax.axvline(0, color=style.MUTED, linewidth=0.8)
    style.foot(ax, notation.axis("year_cost"))


def _bar(ax: Axes, row: int, option: pd.Series, parts: list[str], notation: Notation) -> None:
    """Draw one bar, whole or stacked, negative parts to the left of zero; amounts where there is room for them."""
    right = left = 0.0
    figure: Any = ax.figure
    low, high = ax.get_xlim()
    per_inch = (high - low) / (figure.get_figwidth() * ax.get_position().width)
    pieces = [(part, float(option[part]), PARTS[part]) for part in parts]
    for part, value, fill in pieces or [("year_cost", float(option["year_cost"]), style.MONEY)]:
        start = right if value >= 0 else left
        drawn = ax.barh(row + BAR, value, left=start, height=BAR_HEIGHT, color=fill, edgecolor=style.INK, linewidth=0.5)
        drawn.set_label(part)
        right, left = right + max(value, 0.0), left + min(value, 0.0)
        text = notation.number(value)
        if parts and abs(value) > (style.inches(text, style.NOTE_POINTS) + 0.06) * per_inch:
            look = style.FIGURE | {"color": style.text_on(fill)}
            ax.text(start + value / 2, row + BAR, text, ha="center", va="center", gid="part", **look)


def _amount(ax: Axes, row: int, option: pd.Series, reference: float | None, notation: Notation) -> None:
    """Print cost, range and difference to the right of one bar, in a column of their own; the range below the bar."""
    beside: Any = ax.get_yaxis_transform()
    cost, found = float(option["year_cost"]), ends_of(option, "year_cost")
    text = notation.estimate(cost, found)
    ax.text(AMOUNT_AT, row + BAR, text, transform=beside, va="center", gid="amount", **style.NAME)
    if reference is not None:
        look = style.LABEL | {"ha": "right", "va": "center"}
        more = notation.more_or_less(cost - reference, ends_of(option, "more_cost"))
        ax.text(DIFFERENCE_AT, row + BAR, more, transform=beside, gid="difference", **look)
    if found is not None:
        style.rail(ax, row + RAIL, found.low, cost, found.high)
        span = notation.span(found)
        ax.text(AMOUNT_AT, row + RAIL, span, transform=beside, va="center", gid="range text", **style.NOTE)
