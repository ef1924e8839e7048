"""Simulated years in; pictures as bytes, each with its sentence, out. matplotlib is loaded by the first one drawn."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.decide.battery.worth import BatteryWorth
from simkit.figures.decide.battery_size import HIGH_INCHES, battery_size
from simkit.figures.decide.battery_size import SHEET as BATTERY_SHEET
from simkit.reporting.on_page import drawn_bytes


@dataclass(frozen=True)
class Picture:
    """A picture and the sentence that says it.

    Attributes
    ----------
    svg
        The picture, letters as outlines: it looks the same everywhere.
    sentence
        What it shows, for those who don't see it.
    """

    svg: bytes
    sentence: str


def battery_picture(found: BatteryWorth, *, kind: str) -> bytes:
    """Draw saving against size, without panels and beside them; `kind` as a file ends in it."""
    beside, curve = found.beside_panels, found.alone.curve
    other = None if beside is None else beside.curve.table()
    return drawn_bytes(
        lambda figure: battery_size(
            curve.table(), knee_kwh=curve.knee_kwh, currency=found.case.currency, other=other,
            names=("without panels", "beside panels"), ax=BATTERY_SHEET.axes([HIGH_INCHES], figure=figure)[0],
        ),
        kind,
    )  # fmt: skip
