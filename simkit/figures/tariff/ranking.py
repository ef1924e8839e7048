"""A table of ranked tariffs in; bars as it is and shifted, with ranges, and the sentence that says them, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.figures import style
from simkit.figures.selecting import ends_of, need
from simkit.notation import PLAIN, Notation, named

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SHEET = style.Sheet(left=0.3, right=2.4)
ROW_INCHES = 0.74
NAME_UP, BAR_AT, RAIL_AT = 0.23, 0.14, 0.42  # in rows: name over the bar, bar, range
BAR_HEIGHT = 0.3
AMOUNT_AT, SAVED_AT = 1.03, 1.46  # columns to the right, as shares of the width of the axes
COLUMNS = ("cost_as_is", "cost_shifted")


def tariff_bars(
    table: pd.DataFrame, *, notation: Notation = PLAIN, own: str | None = None, ax: Axes | None = None
) -> Axes:
    """Draw each tariff as two lengths on one line: what it costs shifted, filled, and as it is, open; ranges below.

    Parameters
    ----------
    table
        One row by tariff, named by the index, in the order drawn: `cost_as_is`, `cost_shifted` [currency], and where
        known `cost_low`, `cost_high` (10th and 90th percentile, shifted).
    notation
        How numbers and amounts are written.
    own
        Name of the home's own tariff; what the others save against it as it is, is printed.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    _check(table, own)
    if ax is None:
        ax = SHEET.axes([ROW_INCHES * len(table)])[0]
    most = float(table[[name for name in (*COLUMNS, "cost_high") if name in table]].to_numpy().max())
    ax.set_xlim(0.0, most or 1.0)
    ax.set_ylim(len(table) - 0.35, -0.3)
    ax.set_yticks([])
    style.dress(ax, notation, grid="x")
    ax.spines["bottom"].set_visible(False)
    ax.axvline(0, color=style.MUTED, linewidth=0.8)
    style.foot(ax, notation.axis("year_cost"))
    reference = float(table.at[own, "cost_as_is"]) if own is not None else None
    for row, name in enumerate(table.index):
        _row(ax, row, str(name), table.iloc[row], reference if name != own else None, notation=notation)
    if reference is not None:
        ax.axvline(reference, color=style.INK, linewidth=0.9, linestyle="--", gid="own")
    note = "against your tariff" if own is not None else ""
    style.title(ax, "What a year costs on each tariff", note, note_at=SAVED_AT)
    saved = style.patch(style.PAPER, "saved by shifting", hatch="////", linewidth=0.6)
    ranges = [line for line in ax.lines if line.get_gid() == "range"][:1]
    for line in ranges:
        line.set_label("likely range")
    style.key(ax, [style.patch(style.MONEY, "after shifting"), saved, *ranges], handlelength=1.4)
    return ax


def tariff_bars_sentence(table: pd.DataFrame, *, notation: Notation = PLAIN, own: str | None = None) -> str:
    """Say in one sentence what `tariff_bars` shows."""
    _check(table, own)
    best, plain = table["cost_shifted"].idxmin(), table["cost_as_is"].idxmin()
    cost = notation.estimate(table.at[best, "cost_shifted"], ends_of(table.loc[best], "cost"))
    said = f"Of {len(table)} tariffs {named(str(best))} costs least: {cost} a year"
    moved = float(table.at[best, "cost_as_is"] - table.at[best, "cost_shifted"])
    if moved >= 1.0:
        said += f", after {notation.money(moved)} saved by moving use into its cheap hours"
    if plain != best:
        said += f"; with nothing moved {named(str(plain))} does, at {notation.money(table.at[plain, 'cost_as_is'])}"
    if own is not None and own != best:
        saved = float(table.at[own, "cost_as_is"] - table.at[best, "cost_shifted"])
        said += f"; {named(own)}, as now, costs {notation.money(saved)} more"
    return said + "."


def _check(table: pd.DataFrame, own: str | None) -> None:
    need(table, COLUMNS, "tariffs")
    if own is not None and own not in table.index:
        names = ", ".join(str(name) for name in table.index)
        raise CaseError(Fault("tariffs", f'own "{own}"', "is not among the tariffs", f"Choose one of {names}"))


def _row(ax: Axes, row: int, name: str, tariff: pd.Series, reference: float | None, *, notation: Notation) -> None:
    """Name, both lengths, range and amounts of one tariff."""
    as_is, shifted = float(tariff["cost_as_is"]), float(tariff["cost_shifted"])
    ax.text(0, row + BAR_AT - NAME_UP, name, va="bottom", gid="tariff", **style.LABEL)
    bar: Any = {"height": BAR_HEIGHT, "edgecolor": style.INK, "linewidth": 0.6}
    ax.barh(row + BAR_AT, shifted, color=style.MONEY, **bar).set_label("shifted")
    if as_is > shifted:
        open_ = ax.barh(row + BAR_AT, as_is - shifted, left=shifted, color=style.PAPER, hatch="////", **bar)
        open_.set_label("as it is")
    found = ends_of(tariff, "cost")
    if found is not None:
        style.rail(ax, row + RAIL_AT, found.low, shifted, found.high)
    beside: Any = ax.get_yaxis_transform()
    at = row + BAR_AT
    ax.text(AMOUNT_AT, at, notation.estimate(shifted, found), transform=beside, va="center", gid="amount", **style.NAME)
    if as_is > shifted:
        said = f"as it is {notation.estimate(as_is, found)}"
        ax.text(AMOUNT_AT, row + RAIL_AT, said, transform=beside, va="center", gid="as is", **style.NOTE)
    if reference is not None:
        ax.text(
            SAVED_AT,
            at,
            notation.more_or_less(shifted - reference, ends_of(tariff, "saving")),
            transform=beside,
            va="center",
            ha="right",
            gid="saved",
            **style.LABEL,
        )
