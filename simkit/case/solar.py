"""What the user says of the panels in, a validated `Solar` out."""

from __future__ import annotations

from simkit.case.section import Section, number, said


class SolarArray(Section):
    """Panels that face one way."""

    kwp: float = number(0.05, 200, "kWp", "Rated power of these panels", example=3.6)
    tilt_deg: float = number(0, 90, "°", "Tilt from the horizontal", example=35)
    azimuth_deg: float = number(0, 360, "°", "Direction they face, from north over east (180 is south)", example=180)


class Losses(Section):
    """What is lost between glass and meter, in four groups."""

    dirt: float = number(0, 0.5, "share", "Lost to dirt", example=0.02)
    shade: float = number(0, 0.9, "share", "Lost to shade", example=0.03)
    wiring: float = number(0, 0.5, "share", "Lost to wiring, mismatch and ageing", example=0.07)
    downtime: float = number(0, 0.9, "share", "Lost while the plant stands still", example=0.03)


class Solar(Section):
    """The panels and their inverter."""

    array: tuple[SolarArray, ...] = said(
        "The panels, one table for each direction",
        example=[{"kwp": 3.6, "tilt_deg": 35, "azimuth_deg": 180}],
        min_length=1,
    )
    inverter_kw: float = number(0.05, 200, "kW", "Most power that the inverter gives", example=3.6)
    losses: Losses = said("What is lost between glass and meter", example={"dirt": 0.02})
    export_limit_kw: float | None = number(
        0, 200, "kW", "Most power that may be sent to the grid; no limit when left out", example=5, absent=True
    )
