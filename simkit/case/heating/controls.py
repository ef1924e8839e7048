"""What the user says of wanted warmth in, validated `Comfort`, `Controls` and `Emitters` out.

Needed comfort and the controller's set-points are two things: every option is counted against the one profile of
needed comfort, whatever its controller holds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import ClassVar, Literal

from simkit.errors import CaseError, Fault
from simkit.schema.section import Days, EndOfDay, Section, TimeOfDay, Way, number, said
from simkit.times_of_day import pieces_of_day, time_of


class Span(Section):
    """A part of the day on some days of the week; it may run over midnight."""

    one_line = True

    start: TimeOfDay = said('Time of day at which it begins, "HH:MM"', example="07:00", alias="from")
    end: EndOfDay = said('Time of day at which it ends, "HH:MM" or "24:00"', example="22:30", alias="to")
    days: Days = said("Days on which it holds; weekend is Saturday and Sunday", example="all")

    def clashes(self) -> Iterator[Fault]:
        """Yield a span without length."""
        try:
            pieces_of_day(self.start, self.end)
        except CaseError as error:
            yield from error.faults


class Period(Span):
    """A part of the day with a temperature."""

    c: float = number(5, 30, "°C", "Room temperature", example=21)


def overlaps(periods: Sequence[Span], name: str) -> Iterator[Fault]:
    """Yield, once for each pair, periods that claim the same minutes of the same days."""
    kinds = {"all": {"workdays", "weekend"}, "workdays": {"workdays"}, "weekend": {"weekend"}}
    for index, later in enumerate(periods):
        for earlier in periods[:index]:
            both = product(pieces_of_day(earlier.start, earlier.end), pieces_of_day(later.start, later.end))
            shared = [(max(a, b), min(c, d)) for (a, c), (b, d) in both if max(a, b) < min(c, d)]
            if shared and kinds[later.days] & kinds[earlier.days]:
                first, last = shared[0]
                yield Fault(
                    "",
                    f"{name} {earlier.start} to {earlier.end} and {later.start} to {later.end}",
                    f"overlap from {time_of(first)} to {time_of(last)}, and a minute can have only one temperature",
                    "Let one end where the other begins",
                )


class Schedule(Section):
    """Temperatures over the day."""

    periods: tuple[Period, ...] = said(
        "Parts of the day with a temperature of their own",
        example=[{"from": "07:00", "to": "22:30", "c": 21.0, "days": "all"}],
    )
    setback_c: float = number(5, 30, "°C", "Room temperature outside all periods", example=18)

    def clashes(self) -> Iterator[Fault]:
        """Yield periods that claim the same minutes."""
        if not any(True for period in self.periods for _ in period.clashes()):
            yield from overlaps(self.periods, "periods")

    @property
    def warmest_c(self) -> float:
        """Highest temperature of the schedule [°C]."""
        return max([self.setback_c, *(period.c for period in self.periods)])

    @property
    def coldest_c(self) -> float:
        """Lowest temperature of the schedule [°C]."""
        return min([self.setback_c, *(period.c for period in self.periods)])


class Comfort(Schedule):
    """The warmth that the people need: the one yardstick of all options."""

    tolerance_k: float = number(0, 3, "K", "How far below it the room may fall before it counts", example=0.5)
    over_c: float = number(21, 40, "°C", "Room temperature above which a period counts as too warm", example=26)

    def clashes(self) -> Iterator[Fault]:
        """Yield overlapping periods, and a limit of overheating that needed warmth already passes."""
        yield from super().clashes()
        if self.over_c <= self.warmest_c:
            yield Fault(
                "",
                f"over_c = {self.over_c:g}",
                f"is not above the warmest needed temperature, {self.warmest_c:g} °C, "
                "so that every warm hour would count as too warm",
                f"Write a limit above it, such as {self.warmest_c + 4:g}",
            )


class Controls(Schedule):
    """What the controller holds, and how it sets the flow temperature."""

    flow: Literal["compensated", "fixed", "least"] = said(
        "How the flow temperature is set: by outdoor temperature, fixed, or the least that will do",
        example="compensated",
    )
    design_flow_c: float = number(25, 90, "°C", "Flow temperature on the design day", example=45)
    heating_limit_c: float = number(5, 25, "°C", "Outdoor temperature at which no heat is needed", example=16)
    floor_c: float = number(15, 60, "°C", "Lowest flow temperature", example=25)
    ceiling_c: float = number(25, 90, "°C", "Highest flow temperature of the controller", example=60)
    straight: bool = said("Whether the curve is a straight line, without the emitter's own shape", example=False)
    recovery_lift_k: float = number(
        0, 20, "K", "How much hotter the flow is while a cool home is driven back up", example=5
    )
    mixing_penalty_k: float = number(
        0, 15, "K", "How much hotter the machine runs because a buffer or header mixes flow and return", example=0
    )

    slope: float | None = number(
        0.1, 4, "", "Rise of the flow per kelvin that the room is warmer than outdoors, for a straight curve said so",
        example=0.9, absent=True,
    )  # fmt: skip
    shift_k: float | None = number(
        -15, 25, "K", "Parallel shift of that curve", example=2, absent=True
    )  # fmt: skip
    room_influence: float = number(
        0, 10, "K/K", "How much hotter the flow is for each kelvin that the room is too cool, and cooler if too warm",
        example=2,
    )  # fmt: skip
    buffer_pump_w: float = number(
        0, 500, "W", "Electricity of the second pump behind a buffer or header, while it runs", example=0
    )
    buffer_l: float = number(
        0, 2000, "l", "Water of a buffer or header between machine and emitters, which holds heat too", example=0
    )
    design_flow_from_rooms: bool = said(
        "Whether the design flow is what the limiting room needs, in place of design_flow_c", example=False
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield overlapping periods and flow temperatures that contradict each other."""
        yield from super().clashes()
        yield from self._slope_clashes()
        if self.floor_c > self.ceiling_c:
            yield Fault(
                "",
                f"floor_c = {self.floor_c:g}",
                f"is above ceiling_c = {self.ceiling_c:g}, so that no flow temperature is left",
                "Write a floor below the ceiling, such as 25",
            )
        if self.design_flow_c > self.ceiling_c:
            yield Fault(
                "",
                f"design_flow_c = {self.design_flow_c:g}",
                f"is above ceiling_c = {self.ceiling_c:g}, which the controller never passes",
                "Raise the ceiling or lower the design flow temperature",
            )
        if self.design_flow_c <= self.warmest_c:
            yield Fault(
                "",
                f"design_flow_c = {self.design_flow_c:g}",
                f"is not above the warmest room, {self.warmest_c:g} °C, and water heats a room only from above it",
                "Write a design flow temperature well above the room, such as 45",
            )

    def _slope_clashes(self) -> Iterator[Fault]:
        if self.shift_k is not None and self.slope is None:
            yield Fault("", f"shift_k = {self.shift_k:g}", "shifts a curve whose slope is missing", "Add slope = 0.9")
        if self.slope is not None and self.flow != "compensated":
            remedy = 'Write flow = "compensated", or leave slope out'
            yield Fault("", f"slope = {self.slope:g}", f'says nothing with flow = "{self.flow}"', remedy)
        if self.slope is not None and self.design_flow_from_rooms:
            remedy = "Keep one of them: each says how hot the water is on the design day"
            yield Fault("", f"slope = {self.slope:g}", "contradicts design_flow_from_rooms = true", remedy)

    def curve_zero_c(self, room_c: float) -> float:
        """Outdoor temperature at which the curve meets the room [°C]: heating_limit_c, or where slope and shift say."""
        return self.heating_limit_c if self.slope is None else room_c + (self.shift_k or 0.0) / self.slope


class Emitters(Section):
    """The radiators, floor or fan convectors of the whole house."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("rated_kw"), Way("sized_for_flow_c")),)

    kind: Literal["radiators", "underfloor", "fan convectors"] = said(
        "What gives the heat to the rooms", example="radiators"
    )
    rated_kw: float | None = number(
        0.3, 300, "kW", "Output at 50 K above the room, as EN 442 rates it", example=12, absent=True
    )
    sized_for_flow_c: float | None = number(
        25,
        90,
        "°C",
        "Flow temperature at which they just meet the heat loss of the design day",
        example=50,
        absent=True,
    )
    exponent: float = number(1.0, 1.6, "", "Exponent of the output in the excess temperature, EN 442", example=1.3)
    water_difference_k: float = number(2, 25, "K", "Flow minus return on the design day", example=5)
    mass_share: float = number(0, 0.95, "share", "Share of the heat that goes to walls and floors first", example=0.3)
    stores: bool = said("Whether the heat that water, steel and screed hold is counted", example=True)
    water_l_per_kw: float = number(
        0, 60, "l/kW", "Water in the emitters and their pipes, for each kW at 50 K above the room", example=10
    )
    steel_kg_per_kw: float = number(0, 120, "kg/kW", "Steel of the emitters, for each kW at 50 K", example=20)
    screed_mm: float = number(0, 200, "mm", "Thickness of a heated floor's screed, its pipes counted", example=65)
    covering_m2k_per_w: float = number(
        0, 0.3, "m²K/W", "Thermal resistance of what lies on a heated floor", example=0.05
    )

    @property
    def lag_left_out(self) -> bool:
        """Whether a heated floor's lag is not counted, so that nothing can be said of heating ahead."""
        return self.kind == "underfloor" and not self.stores

    def clashes(self) -> Iterator[Fault]:
        """Yield a screed without a heated floor."""
        if self.screed_mm > 0 and self.kind != "underfloor":
            remedy = 'Write kind = "underfloor", or leave screed_mm out'
            yield Fault("", f"screed_mm = {self.screed_mm:g}", f'says nothing with kind = "{self.kind}"', remedy)
