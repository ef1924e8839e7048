"""Tables of money over years in; a ledger as steps, offers side by side and a fan of savings, with sentences, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Ends, Notation, named

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

STEP_INCHES = 0.36
SPENT, RECEIVED = style.MONEY, style.WATER


def ledger_steps(ledger: pd.DataFrame, *, notation: Notation = PLAIN, name: str = "", ax: Axes | None = None) -> Axes:
    """Draw a ledger as steps: each line begins where the one before it ended, the last bar is what is left to pay.

    Parameters
    ----------
    ledger
        One row for each line with `line` and `amount` (negative for what is received), as `Settled.frame` gives.
    notation
        How numbers and amounts are written.
    name
        Of the option, for the headline.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(ledger, ["line", "amount"], "ledger")
    amounts = ledger["amount"].to_numpy(dtype=np.float64)
    ends = np.cumsum(amounts)
    if ax is None:
        ax = style.Sheet(left=2.4, right=0.9).axes([STEP_INCHES * (len(amounts) + 1)])[0]
    for row, (amount, end) in enumerate(zip(amounts, ends, strict=True)):
        fill = SPENT if amount >= 0 else RECEIVED
        ax.barh(row, amount, left=end - amount, height=0.62, color=fill, edgecolor=style.INK, linewidth=0.5)
        ax.plot([end, end], [row, row + 1], color=style.MUTED, linewidth=0.8)
        ax.annotate(notation.money(amount), (max(end, end - amount), row), xytext=(4, 0), textcoords="offset points",
                    va="center", gid="amount", **style.FIGURE)  # fmt: skip
    left = float(ends[-1]) if len(ends) else 0.0
    ax.barh(len(amounts), left, height=0.62, color=style.PAPER, edgecolor=style.INK, linewidth=1.2, hatch="///")
    ax.annotate(notation.money(left), (max(left, 0), len(amounts)), xytext=(4, 0), textcoords="offset points",
                va="center", gid="amount", fontweight="bold", **style.FIGURE)  # fmt: skip
    ax.set_yticks(range(len(amounts) + 1), [*ledger["line"].astype(str), "net price"])
    ax.invert_yaxis()
    ax.set_xlim(min(0.0, float(np.append(ends, 0.0).min())), 1.02 * float(np.append(ends, left).max()) or 1.0)
    style.dress(ax, notation, grid="x")
    style.foot(ax, notation.in_money("running sum"))
    style.title(ax, f"What {name} costs at once" if name else "What it costs at once", up=0.16)
    return ax


def ledger_steps_sentence(ledger: pd.DataFrame, *, notation: Notation = PLAIN, name: str = "") -> str:
    """Say in one sentence what `ledger_steps` shows."""
    need(ledger, ["line", "amount"], "ledger")
    amounts = ledger["amount"]
    paid, received = float(amounts[amounts > 0].sum()), float(-amounts[amounts < 0].sum())
    money, it = notation.money, named(name) if name else "It"
    if not received:
        return f"{it} costs {money(paid)}; no grant, discount or rebate is stated."
    return (
        f"{it} costs {money(paid)} before and {money(paid - received)} after {money(received)} of grants, "
        f"discounts and rebates."
    )


def offers_over_years(
    cumulated: pd.DataFrame, *, overtaken: float | None = None, likely: tuple[float, float] | None = None,
    notation: Notation = PLAIN, ax: Axes | None = None, figure: Figure | None = None,
) -> Axes:  # fmt: skip
    """Draw what each offer has cost up to each year, worth today, and where one overtakes the other.

    Parameters
    ----------
    cumulated
        One column for each offer, one row a year from 0 on, as `OfferPair.cumulated` gives [currency].
    overtaken
        Year of the crossing; None or infinite for none.
    likely
        Range of that year, drawn as a band.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure; the strip of the difference below is left out then.
    figure
        Figure to draw both on instead of a new one.

    Returns
    -------
    Axes
    """
    below = None
    if ax is None:
        ax, below = style.Sheet(right=2.0, gap=0.62).axes([2.3, 1.1], figure=figure)
    years = cumulated.index.to_numpy(dtype=np.float64)
    if likely is not None:
        ax.axvspan(likely[0], min(likely[1], years[-1]), color=style.RULE, linewidth=0, gid="likely")
    labels = []
    looks = ((style.OUTDOOR, "-"), (style.ROOM, "--"))
    for column, (colour, dash) in zip(cumulated.columns, looks, strict=True):
        ax.plot(years, cumulated[column], color=colour, linestyle=dash, linewidth=2.0, gid="offer")
        labels.append(style.EndLabel(float(cumulated[column].iloc[-1]), str(column), colour))
    if overtaken is not None and np.isfinite(overtaken):
        at = float(np.interp(overtaken, years, cumulated.iloc[:, 0]))
        ax.plot([overtaken], [at], marker="o", color=style.INK, markersize=6)
        when = f"year {notation.number(overtaken, 1)}"
        ax.annotate(when, (overtaken, at), xytext=(8, -14), textcoords="offset points", gid="overtaken", **style.LABEL)
    ax.set_xlim(0, years[-1])
    ax.set_ylim(bottom=0)
    style.dress(ax, notation)
    style.head(ax, notation.in_money("spent so far, worth today"))
    if below is None:
        style.foot(ax, "year")
    ax.locator_params(axis="x", integer=True)
    style.label_ends(ax, labels)
    style.title(ax, "Which offer is cheaper over the years", "band: likely range of the crossing" if likely else "")
    if below is not None:
        _difference(below, cumulated, likely, notation)
    return ax


def _difference(ax: Axes, cumulated: pd.DataFrame, likely: tuple[float, float] | None, notation: Notation) -> None:
    """Draw how far the second offer is ahead of the first, on a scale of its own."""
    first, second = cumulated.columns
    ahead = (cumulated[first] - cumulated[second]).to_numpy()
    years = cumulated.index.to_numpy(dtype=np.float64)
    if likely is not None:
        ax.axvspan(likely[0], min(likely[1], years[-1]), color=style.RULE, linewidth=0)
    ax.axhline(0, color=style.MUTED, linewidth=1.0)
    ax.plot(years, ahead, color=style.INK, linewidth=2.0, gid="ahead")
    ax.set_xlim(0, years[-1])
    style.dress(ax, notation)
    style.head(ax, f"{second} ahead of {first}")
    style.foot(ax, "year")
    ax.locator_params(axis="x", integer=True)


def cash_fan(
    fan: pd.DataFrame, *, option: str = "", against: str = "", notation: Notation = PLAIN, ax: Axes | None = None
) -> Axes:
    """Draw the cumulated saving in today's money as a fan: the middle as a line, 10 to 90 as a band.

    Parameters
    ----------
    fan
        One row a year from 0 on; columns `low`, `middle`, `high`, as `Prospects.fan` gives [currency].
    option, against
        Names, for the headline.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(fan, ["low", "middle", "high"], "fan")
    if ax is None:
        ax = style.Sheet(right=1.5).axes([2.8])[0]
    years = fan.index.to_numpy(dtype=np.float64)
    ax.fill_between(years, fan["low"], fan["high"], color=style.AIDS, alpha=0.5, linewidth=0, gid="band")
    ax.plot(years, fan["middle"], color=style.INK, linewidth=2.0, gid="middle")
    ax.axhline(0, color=style.ROOM, linewidth=1.0)
    ax.set_xlim(0, years[-1])
    style.dress(ax, notation)
    style.head(ax, notation.in_money("saved so far, worth today"))
    style.foot(ax, "year")
    ax.locator_params(axis="x", integer=True)
    ends = [("high", "one in ten above"), ("middle", "middle"), ("low", "one in ten below")]
    style.label_ends(ax, [style.EndLabel(float(fan[key].iloc[-1]), text, style.MUTED) for key, text in ends])
    style.title(ax, f"{option} against {against}" if option and against else "Saved over the years")
    return ax


def cash_fan_sentence(fan: pd.DataFrame, *, option: str = "", against: str = "", notation: Notation = PLAIN) -> str:
    """Say in one sentence what `cash_fan` shows."""
    need(fan, ["low", "middle", "high"], "fan")
    last, years = fan.iloc[-1], int(fan.index[-1])
    found = Ends(last["low"], last["high"])
    it = named(option) if option else "the option"
    after = f"After {years} year{'s' * (years != 1)}, in today's money, {it} has cost"
    more = Ends(-found.high, -found.low)
    amount = notation.more_or_less(-last["middle"], found)
    than = "as" if amount.startswith("as") else "than"
    likely = notation.span_more_or_less(more)
    return f"{after} {amount} {than} {named(against) if against else 'the alternative'} (likely {likely})."
