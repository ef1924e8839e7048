"""Values and ranges in units of their own in; three significant figures of them, as words and as cells, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, isfinite, log10
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Column
from simkit.notation import NONE, Notation

if TYPE_CHECKING:
    from simkit.meter.fitting.fitted import Fit

FIGURES = 3  # significant ones: no meter of a home knows a fourth
METERS = {
    "import_kwh": "the electricity meter", "export_kwh": "electricity sent out", "net_kwh": "import less export",
    "heat_pump_kwh": "the heat pump's meter", "heat_kwh": "the heat meter", "fuel_kwh": "the fuel's meter",
    "room_c": "the room", "outdoor_c": "outdoors",
}  # fmt: skip


@dataclass(frozen=True)
class Measured(Column):
    """A column whose rows have units and sizes of their own: three significant figures, its range below."""

    def text(self, row: Mapping[str, Any], notation: Notation) -> str:
        """The cell of one row."""
        if not (self.low and self.high):
            return figures(row[self.name], notation)
        value, low, high = (figures(row[name], notation) for name in (self.name, self.low, self.high))
        return f"{value}\n{low} to {high}"


def figures(value: float, notation: Notation) -> str:
    """A number with three significant figures, and two decimals at most."""
    if value is None or not isfinite(value):
        return NONE
    return notation.number(value, max(0, FIGURES - 1 - floor(log10(max(abs(value), 1.0)))))


def between(low: float, high: float, notation: Notation, unit: str = "") -> str:
    """A range: ``215 to 283 W/K``."""
    return f"{figures(low, notation)} to {figures(high, notation)}{f' {unit}' if unit else ''}"


def off(bias: float, scatter: float, notation: Notation) -> str:
    """How far a simulation is off a meter: ``0.4 % too much in all, 16 % off on a typical day``."""
    way = "too much" if bias > 0 else "too little"
    return f"{notation.share(abs(bias), 1)} {way} in all, {notation.share(scatter)} off on a typical day"


def upper(text: str) -> str:
    """A text that begins a sentence."""
    return text[:1].upper() + text[1:]


def strained_sentences(fit: Fit, notation: Notation) -> list[str]:
    """Unknowns that run into their priors."""
    said = []
    for one in fit.strained():
        middle = figures(float(fit.table.loc[one.name, "middle"]), notation)
        unit = "times" if one.unit == "share" else one.unit
        said.append(
            f"{upper(one.label)} is driven to {middle} {unit}, the edge of what was thought possible (it was taken to "
            f"be {figures(one.centre, notation)}): look for what the description leaves out before you trust the rest."
        )
    return said
