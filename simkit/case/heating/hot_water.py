"""What the user says of the hot water in, a validated `HotWater` out: cylinder, reheating, hygiene and draws."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.case.heating.controls import Span
from simkit.errors import Fault
from simkit.schema.section import Section, TimeOfDay, Way, Weekday, number, said


class Hygiene(Section):
    """The hot cycle that keeps legionella down."""

    every: Literal["week", "day", "never"] = said("How often the cylinder is made hot right through", example="week")
    weekday: Weekday = said("Day of a weekly cycle", example="sunday")
    start: TimeOfDay = said('Time of day at which it begins, "HH:MM"', example="13:00", alias="from")
    hours: float = number(0.25, 12, "h", "How long it may take and hold", example=3)
    target_c: float = number(
        45, 80, "°C", "Temperature it reaches; the Health and Safety Executive asks for 60 °C or more", example=60
    )


class HotWater(Section):
    """The cylinder and what is drawn from it."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = (
        (Way("standing_loss_w"), Way("loss_class")),
        (Way("coil_ua_w_per_k"), Way("coil_area_m2"), Way("reheat_minutes")),
        (Way("tapping"), Way("litres_per_day_at_40")),
    )

    heated_by: Literal["heating", "something else"] = said(
        "What heats the water: the heating of the home, or something that is not in this case", example="heating"
    )
    volume_l: float = number(20, 2000, "litres", "Volume of the cylinder", example=180)
    target_c: float = number(35, 75, "°C", "Temperature at which the water is stored", example=60)
    hysteresis_k: float = number(1, 30, "K", "How far it cools before it is reheated", example=6)
    sensor_height: float = number(0, 1, "share", "Height of the sensor in the cylinder, from the bottom", example=0.4)
    standing_loss_w: float | None = number(
        5, 600, "W", "Heat lost while standing 45 K above the room, from the label", example=80, absent=True
    )
    loss_class: Literal["A+", "A", "B", "C", "D", "E", "F", "G"] | None = said(
        "Class of standing loss on the label, Regulation (EU) 812/2013", example="C", absent=True
    )
    coil_ua_w_per_k: float | None = number(
        20,
        5000,
        "W/K",
        "Heat that the coil passes per kelvin between its water and the cylinder",
        example=750,
        absent=True,
    )
    coil_area_m2: float | None = number(0.1, 10, "m²", "Surface of the coil", example=1.5, absent=True)
    reheat_minutes: float | None = number(
        5, 600, "min", "Time in which the coil was seen to reheat the cylinder", example=60, absent=True
    )
    loss_to_rooms: float = number(0, 1, "share", "Share of the standing loss that warms the home", example=0.6)
    highest_flow_c: float | None = number(
        35, 85, "°C", "Hottest water sent to the coil, where the controller holds it below the machine's own limit",
        example=58, absent=True,
    )  # fmt: skip
    immersion_kw: float = number(0, 12, "kW", "Electric heater in the cylinder; 0 for none", example=3)
    immersion: Literal["hygiene", "any", "never"] = said(
        "When that heater may run: to finish a hygiene cycle, whenever the water isn't hot, or never", example="hygiene"
    )
    windows: tuple[Span, ...] = said(
        "Parts of the day in which the water may be reheated",
        example=[{"from": "00:00", "to": "24:00", "days": "all"}],
        min_length=1,
    )
    hygiene: Hygiene = said("The hot cycle that keeps legionella down", example={"every": "week"})
    tapping: Literal["S", "M", "L", "XL", "XXL"] | None = said(
        "Published day of draws, Regulation (EU) 814/2013", example="M", absent=True
    )
    litres_per_day_at_40: float | None = number(
        0, 2000, "litres", "Warm water of a mean day, mixed to 40 °C", example=120, absent=True
    )
    cold_water_c: float = number(2, 25, "°C", "Temperature of the cold water, mean of the year", example=10)
    cold_water_swing_k: float = number(
        0, 12, "K", "How far the cold water swings to each side over the year", example=4
    )
    draws_vary: bool = said(
        "Whether one home draws more on some days than on others, where the household is one home", example=True
    )
    use_c: float = number(35, 60, "°C", "Temperature wanted at the tap", example=40)

    def clashes(self) -> Iterator[Fault]:
        """Yield temperatures that contradict each other."""
        if self.target_c < self.use_c:
            yield Fault(
                "",
                f"target_c = {self.target_c:g}",
                f"is below use_c = {self.use_c:g}, so that the tap could never be warm enough",
                "Store the water hotter than it is used, such as 60",
            )
        if self.hygiene.every != "never" and self.hygiene.target_c < self.target_c:
            yield Fault(
                "",
                f"hygiene.target_c = {self.hygiene.target_c:g}",
                f"is below the everyday target_c = {self.target_c:g}, so that the cycle would do nothing",
                f"Write target_c = {max(self.target_c, 60.0):g} or more in [hot_water.hygiene]",
            )
        if self.cold_water_c - self.cold_water_swing_k < 0:
            yield Fault(
                "",
                f"cold_water_swing_k = {self.cold_water_swing_k:g}",
                f"takes the cold water of {self.cold_water_c:g} °C below freezing",
                "Write how far it swings to each side, usually 3 to 6",
            )
