"""What the user says of the panels in, a validated `Solar` out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from simkit.errors import Fault
from simkit.schema.section import Section, months, number, said


class SolarArray(Section):
    """Panels that face one way."""

    kwp: float = number(0.05, 200, "kWp", "Rated power of these panels", example=3.6)
    tilt_deg: float = number(0, 90, "°", "Tilt from the horizontal", example=35)
    azimuth_deg: float = number(0, 360, "°", "Direction they face, from north over east (180 is south)", example=180)


class HorizonPoint(Section):
    """A point of the skyline as it is seen from the panels; between points it runs straight."""

    azimuth_deg: float = number(0, 360, "°", "Direction of the point, from north over east", example=135)
    height_deg: float = number(0, 80, "°", "How high the skyline stands there", example=12)


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
    horizon: tuple[HorizonPoint, ...] | None = said(
        "Points of the skyline that hides the sun; a free horizon when left out",
        example=[{"azimuth_deg": 135, "height_deg": 12}, {"azimuth_deg": 225, "height_deg": 5}],
        min_length=2,
        absent=True,
    )
    shade_by_month: tuple[Annotated[float, Field(ge=0, le=1)], ...] | None = months(
        0, 1, "share", "Lost to shade by month, beside the losses", example=0.1, absent=True
    )
    age_years: float = number(0, 60, "years", "Age of the panels in the year that is run", example=5)
    ageing_per_year: float = number(0, 0.05, "share", "Power lost by each year of age", example=0.005)

    def clashes(self) -> Iterator[Fault]:
        """Yield shade that is said twice."""
        if self.horizon is not None and self.shade_by_month is not None:
            yield Fault(
                "",
                "horizon and shade_by_month",
                "say the same shade twice",
                "Keep the horizon, or the shares by month",
            )
