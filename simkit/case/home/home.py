"""What the user says of the building in, a validated `Home` out: size, mass, windows and heat loss."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.errors import Fault
from simkit.schema.section import Section, Way, number, said, text

ThermalMass = Literal["very light", "light", "medium", "heavy", "very heavy"]
FuelUnit = Literal["litre", "m3", "kWh", "ft3_100", "kg"]


class Window(Section):
    """Glass that lets sun in; all panes of one direction may be one window."""

    area_m2: float = number(0.1, 500, "m²", "Area of the glass", example=4.0)
    azimuth_deg: float = number(0, 360, "°", "Direction it faces, from north over east (180 is south)", example=180)
    tilt_deg: float = number(0, 90, "°", "Tilt from the horizontal (90 is upright)", example=90)
    transmittance: float = number(0, 1, "share", "Share of the sun's heat that the glass lets in", example=0.6)
    shading: float = number(0, 1, "share", "Share of the sun that trees, blinds and frames let through", example=0.7)


class Element(Section):
    """One part of the envelope, such as a wall."""

    name: str = text("What the part is", example="outer walls")
    area_m2: float = number(0.1, 5000, "m²", "Area of the part", example=90)
    u_w_per_m2k: float = number(0.05, 7, "W/(m²·K)", "Heat that passes per square metre and kelvin", example=0.5)
    glazing: bool = said("Whether it is glass, which holds no heat", example=False)


class Loss(Section):
    """How much heat the home loses per kelvin, said in exactly one way."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = (
        (
            Way("w_per_k"),
            Way("design_kw", needs=("design_outdoor_c", "design_indoor_c")),
            Way("element", needs=("bridge_w_per_k", "air_changes_per_hour")),
            Way("certificate_kwh_m2", needs=("certificate_kind",), takes=("certificate_year",)),
            Way("fuel_amount", needs=("fuel_unit",), takes=("fuel_includes_water",)),
        ),
    )

    w_per_k: float | None = number(10, 5000, "W/K", "Steady heat loss per kelvin", example=180, absent=True)
    design_kw: float | None = number(0.5, 150, "kW", "Heat loss on the design day", example=6.5, absent=True)
    design_outdoor_c: float | None = number(
        -45,
        15,
        "°C",
        "Outdoor temperature of the design day that design_kw was worked out for",
        example=-3,
        absent=True,
    )
    design_indoor_c: float | None = number(
        15, 26, "°C", "Indoor temperature that design_kw was worked out for", example=21, absent=True
    )
    element: tuple[Element, ...] | None = said(
        "The parts of the envelope", example=[{"name": "outer walls"}], absent=True, min_length=1
    )
    bridge_w_per_k: float | None = number(
        0, 500, "W/K", "Thermal bridges of all parts together", example=10, absent=True
    )
    air_changes_per_hour: float | None = number(
        0, 10, "1/h", "Times an hour that the air of the home is renewed", example=0.5, absent=True
    )
    certificate_kwh_m2: float | None = number(
        5,
        800,
        "kWh/m²",
        "Calculated space heat demand of a year by floor area, from a certificate",
        example=120,
        absent=True,
    )
    certificate_kind: Literal["space heat demand"] | None = said(
        "What the figure of the certificate is: heat for the rooms, neither primary nor final energy",
        example="space heat demand",
        absent=True,
    )
    certificate_year: int | None = number(
        1990, 2099, "", "Year in which the certificate was made out", example=2021, absent=True
    )
    fuel_amount: float | None = number(
        1, 200_000, "fuel units", "Fuel burnt in a usual year, in fuel_unit", example=1800, absent=True
    )
    fuel_unit: FuelUnit | None = said(
        "Unit of fuel_amount (ft3_100 is a hundred cubic feet)", example="litre", absent=True
    )
    fuel_includes_water: bool | None = said("Whether fuel_amount heated the hot water too", example=True, absent=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a design day that isn't cold."""
        if self.design_kw is not None and self.design_outdoor_c is not None and self.design_indoor_c is not None:
            difference = self.design_indoor_c - self.design_outdoor_c
            if difference < 5:
                yield Fault(
                    "",
                    f"design_outdoor_c = {self.design_outdoor_c:g}",
                    f"is less than 5 K below design_indoor_c = {self.design_indoor_c:g}, "
                    "and a loss can't be found from so small a difference",
                    "Write the outdoor temperature that the design loss was worked out for, such as -3",
                )


class Home(Section):
    """The building."""

    floor_area_m2: float = number(10, 2000, "m²", "Heated floor area", example=110)
    volume_m3: float = number(20, 10_000, "m³", "Volume of the heated air", example=275)
    thermal_mass: ThermalMass = said(
        "How much heat the building holds, a class of EN ISO 13790:2008 Table 12", example="medium"
    )
    air_side_share: float = number(
        0.02, 0.95, "share", "Share of the loss by ventilation and glazing, which hold no heat", example=0.35
    )
    open_windows_above_c: float = number(20, 40, "°C", "Room temperature at which windows are opened", example=25)
    window: tuple[Window, ...] = said("The windows; an empty list for none", example=[{"area_m2": 4.0}])
    loss: Loss = said("How much heat the home loses", example={"w_per_k": 180})
