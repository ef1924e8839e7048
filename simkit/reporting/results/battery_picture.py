"""What a battery is worth in; its saving by size as a picture, in bytes, out. matplotlib is loaded here first."""

from __future__ import annotations

from io import BytesIO

from simkit.decide.battery.worth import BatteryWorth
from simkit.figures.decide.battery_size import HIGH_INCHES, SHEET, battery_size

DOTS_PER_INCH = 160


def battery_picture(found: BatteryWorth, *, kind: str) -> bytes:
    """Draw saving against size, without panels and beside them.

    Parameters
    ----------
    found
        What `simkit.decide.battery.worth.battery_worth` gave.
    kind
        ``png``, ``svg`` or ``pdf``.
    """
    from matplotlib.figure import Figure

    figure = Figure()
    beside, curve = found.beside_panels, found.alone.curve
    battery_size(
        curve.table(), knee_kwh=curve.knee_kwh, currency=found.case.currency,
        other=None if beside is None else beside.curve.table(), names=("without panels", "beside panels"),
        ax=SHEET.axes([HIGH_INCHES], figure=figure)[0],
    )  # fmt: skip
    out = BytesIO()
    figure.savefig(out, format=kind, dpi=DOTS_PER_INCH)
    return out.getvalue()
