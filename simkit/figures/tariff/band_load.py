"""Bought electricity by band and use in; a bar for each band, its price beside it, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.figures import style
from simkit.figures.selecting import need
from simkit.notation import PLAIN, Notation

if TYPE_CHECKING:
    from matplotlib.axes import Axes

USES = {
    "heating_kwh": ("Heating", style.HEAT),
    "hot_water_kwh": ("Hot water", style.WATER),
    "household_kwh": ("Household", style.HOUSE),
    "car_kwh": ("Car", style.CAR),
    "battery_kwh": ("Into the battery", style.AIDS),
}
ROW_INCHES = 0.66
BAR_AT, BAR_HEIGHT = 0.18, 0.34


def band_load(bands: pd.DataFrame, *, notation: Notation = PLAIN, ax: Axes | None = None) -> Axes:
    """Draw what is bought in each band and for what, the cheapest band on top.

    Parameters
    ----------
    bands
        One row by band, named by the index: any of `heating_kwh`, `hot_water_kwh`, `household_kwh`, `car_kwh`,
        `battery_kwh` [kWh], `price_per_kwh` with tax and `share` of all that is bought.
    notation
        How numbers and amounts are written.
    ax
        Axes to draw on instead of a new figure.

    Returns
    -------
    Axes
    """
    need(bands, ["price_per_kwh", "share"], "bands")
    ordered = bands.sort_values("price_per_kwh")
    uses = [name for name in USES if name in ordered and float(ordered[name].abs().sum()) > 0]
    if ax is None:
        ax = style.Sheet(left=0.3, right=1.75, top=0.95).axes([ROW_INCHES * len(ordered)])[0]
    ax.set_xlim(0, float(ordered[uses].sum(axis=1).max()) or 1.0)
    ax.set_ylim(len(ordered) - 0.4, -0.3)
    ax.set_yticks([])
    style.dress(ax, notation, grid="x")
    ax.spines["bottom"].set_visible(False)
    style.foot(ax, "Bought in the year [kWh]")
    for row, name in enumerate(ordered.index):
        _bar(ax, row, str(name), ordered.iloc[row], uses, notation=notation)
        price = notation.price(float(ordered["price_per_kwh"].iloc[row]))
        beside: Any = ax.get_yaxis_transform()
        ax.text(1.03, row + BAR_AT, price, transform=beside, va="center", gid="price", **style.NAME)
    style.title(ax, "What is bought in each band, and for what")
    style.key(ax, [style.patch(USES[use][1], USES[use][0]) for use in uses])
    return ax


def band_load_sentence(bands: pd.DataFrame, *, notation: Notation = PLAIN) -> str:
    """Say in one sentence what `band_load` shows."""
    need(bands, ["price_per_kwh", "share"], "bands")
    cheap = bands.sort_values("price_per_kwh").iloc[0]
    name = bands["price_per_kwh"].idxmin()
    price = notation.price(float(cheap["price_per_kwh"]))
    if len(bands) == 1:
        return f"All of it is bought at {price} on average."
    return f"{notation.share(float(cheap['share']))} of what is bought falls into {name} at {price}."


def _bar(ax: Axes, row: int, name: str, band: pd.Series, uses: list[str], *, notation: Notation) -> None:
    """Name, stacked uses and share of one band."""
    ax.text(0, row + BAR_AT - 0.22, name, va="bottom", gid="band", **style.LABEL)
    left = 0.0
    for use in uses:
        label, fill = USES[use]
        wide = float(band[use])
        drawn = ax.barh(
            row + BAR_AT, wide, left=left, height=BAR_HEIGHT, color=fill, edgecolor=style.INK, linewidth=0.5
        )
        drawn.set_label(label)
        left += wide
    beside: Any = ax.get_yaxis_transform()
    share = f"{notation.share(float(band['share']))} of all"
    ax.text(1.03, row + BAR_AT + 0.26, share, transform=beside, va="center", gid="share", **style.NOTE)
