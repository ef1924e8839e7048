"""What the user says of the heat pump in, a validated `HeatPump` out; a point that nature forbids is refused."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from operator import attrgetter
from typing import Any, ClassVar, Literal

from simkit.errors import Fault
from simkit.physics.heat_pump import carnot
from simkit.schema.section import Section, Way, number, said, text

Regression = Literal[
    "staffell2012_air", "staffell2012_ground", "ruhnau2019_air", "ruhnau2019_ground", "ruhnau2019_groundwater"
]

# COP = a + b·ΔT + c·ΔT², least and greatest lift it was fitted on [K], factor for field conditions
REGRESSIONS = {
    # Staffell, Brett, Brandon, Hawkes 2012, Energy Environ. Sci. 5, 9291, doi 10.1039/C2EE22653G
    "staffell2012_air": (6.81, -0.121, 0.000630, 15.0, 60.0, 1.0),
    "staffell2012_ground": (8.77, -0.150, 0.000734, 20.0, 60.0, 1.0),
    # Ruhnau, Hirth, Praktiknjo 2019, Scientific Data 6:189, doi 10.1038/s41597-019-0199-y: the authors' revised file,
    # lift at least 15 K, × 0.85 for field conditions
    "ruhnau2019_air": (6.08, -0.0941, 0.000464, 15.0, 100.0, 0.85),
    "ruhnau2019_ground": (10.29, -0.2084, 0.001322, 15.0, 75.0, 0.85),
    "ruhnau2019_groundwater": (9.99, -0.2049, 0.001249, 15.0, 75.0, 0.85),
}
BELOW_POINTS = ("staffell2012_air", "ruhnau2019_air")  # COP below the least tested lift rises by their mean
# a machine of one test point: COP away from it as the first, which the second is held against
THROUGH_ONE = {
    "air": BELOW_POINTS, "ground": ("staffell2012_ground", "ruhnau2019_ground"),
    "constant": ("staffell2012_ground", "ruhnau2019_groundwater"),
}  # fmt: skip


class Point(Section):
    """One test point of a heat pump."""

    source_c: float = number(-30, 35, "°C", "Temperature of the air or brine at the source", example=7)
    flow_c: float = number(20, 85, "°C", "Flow temperature", example=35)
    capacity_kw: float = number(0.5, 150, "kW", "Heat given", example=7.0)
    cop: float = number(1, 12, "", "Heat given over electricity taken", example=4.5)
    part_load: float | None = number(
        0.05,
        1,
        "share",
        "Share of the full capacity at which the point was tested; full load when left out",
        example=0.5,
        absent=True,
    )
    minimum_kw: float | None = number(
        0.1, 100, "kW", "Least heat that the machine can give at this point without stopping", example=2.0, absent=True
    )

    @property
    def carnot_cop(self) -> float:
        """COP that no machine can pass between the source and the flow temperature."""
        return carnot(self.flow_c, self.flow_c - self.source_c)

    def clashes(self) -> Iterator[Fault]:
        """Yield what nature forbids."""
        if self.flow_c <= self.source_c:
            yield Fault(
                "",
                f"flow_c = {self.flow_c:g}",
                f"is not above source_c = {self.source_c:g}, and a heat pump lifts heat",
                "Look whether the two were exchanged",
            )
        elif self.cop > self.carnot_cop:
            yield Fault(
                "",
                f"cop = {self.cop:g}",
                f"is above {self.carnot_cop:.2f}, the most that nature allows from {self.source_c:g} to "
                f"{self.flow_c:g} °C (Carnot)",
                "Look up the point again: rated machines reach about a third to a half of that",
            )
        if self.minimum_kw is not None and self.minimum_kw > self.capacity_kw:
            yield Fault(
                "",
                f"minimum_kw = {self.minimum_kw:g}",
                f"is above capacity_kw = {self.capacity_kw:g}, so that the machine could not run at all",
                "Write the least heat it gives at this point, or leave minimum_kw out",
            )


class HeatPump(Section):
    """The machine, from test points or from a published regression."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = (
        (Way("point", takes=("points_hold",)), Way("regression", needs=("capacity_7_35_kw",))),
    )

    name: str = text("What to call the machine", example="invented 7 kW unit")
    point: tuple[Point, ...] | None = said(
        "Test points, best three or more, one of them at −7 °C",
        example=[{"source_c": 7, "flow_c": 35, "capacity_kw": 7.0, "cop": 4.5}],
        absent=True,
    )
    points_hold: tuple[Literal["defrost", "fan", "pump"], ...] | None = said(
        "What the electricity of the points already holds", example=["defrost", "fan"], absent=True
    )
    regression: Regression | None = said(
        "Published curve of COP against lift, when no test points are known", example="staffell2012_air", absent=True
    )
    capacity_7_35_kw: float | None = number(
        0.5, 150, "kW", "Heat given with the source at 7 °C and the flow at 35 °C", example=7.0, absent=True
    )
    source: Literal["air", "ground", "constant"] = said("Where the heat is taken from", example="air")
    source_c: float | None = number(
        -5, 35, "°C", "Mean temperature of the source, for ground and constant sources", example=10, absent=True
    )
    minimum_share: float = number(0.05, 1, "share", "Least heat given without stopping, by capacity", example=0.3)
    highest_flow_c: float = number(35, 85, "°C", "Highest flow temperature of the machine", example=60)
    lowest_outdoor_c: float = number(-35, 10, "°C", "Outdoor temperature below which the machine stops", example=-20)
    minimum_run_min: float = number(
        0, 60, "min", "Shortest time for which the machine runs once started; 0 for none", example=10
    )
    glycol_share: float = number(
        0, 0.5, "share", "Share of antifreeze in the water of the heating circuit", example=0.3
    )
    cycling_degradation: float = number(
        0.5, 1, "", "Degradation coefficient of cycling, 1 for none", example=0.9, source="own, about EN 14825"
    )
    standby_w: float = number(0, 300, "W", "Electricity taken while nothing runs", example=10)
    pump_w: float = number(0, 500, "W", "Electricity of the circulation pump while it runs", example=50)
    fan_share: float | None = number(
        0,
        0.4,
        "share",
        "Share of the machine's electricity that the source's fan or pump takes",
        example=0.05,
        absent=True,
    )
    backup_kw: float = number(0, 30, "kW", "Electric heater in the flow; 0 for none", example=3)
    backup_below_c: float = number(-35, 25, "°C", "Outdoor temperature below which that heater may run", example=0)
    efficiency_scale: float = number(
        0.5, 1.5, "", "Measured over calculated efficiency, 1 where nothing was measured", example=1
    )
    efficiency_boundary: Literal["h1", "h2", "h3", "h4"] = said(
        "Boundary of the measured efficiency: compressor; with fan; with heaters too; with pumps and standby too",
        example="h4",
    )
    promised_spf: float | None = number(
        1, 9, "", "Seasonal performance that the offer promises", example=3.8, absent=True
    )
    promised_boundary: Literal["h1", "h2", "h3", "h4"] | None = said(
        "Boundary of the promise: compressor; with fan; with heaters too; with pumps and standby too",
        example="h3",
        absent=True,
    )
    promised_flow_c: float | None = number(
        20, 75, "°C", "Flow temperature on the coldest day for which it is promised", example=45, absent=True
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield points that contradict each other, a source without its temperature, a promise without its boundary."""
        yield from self._half_promised()
        if self.point is not None:
            if len(self.point) == 1 and (share := self.point[0].part_load or 1.0) < 1.0:
                why = "is that of the only test point: what the machine gives at most is not known"
                yield Fault("", f"part_load = {share:g}", why, "Add a [[heat_pump.point]] at full load")
            yield from _out_of_order(self.point)
            yield from _some_least(self.point)
        if self.source != "air" and self.source_c is None:
            yield Fault(
                "",
                "source_c",
                f'is missing, and source = "{self.source}" has a temperature of its own',
                "Add its mean temperature in °C, such as source_c = 10",
            )

    def _half_promised(self) -> Iterator[Fault]:
        """Yield a promise of which nobody knows what it counts, and a boundary or a flow of no promise."""
        if self.promised_spf is not None and self.promised_boundary is None:
            why = "says nothing without its boundary: what one of them counts as heat and electricity another doesn't"
            remedy = 'Add promised_boundary, such as "h3", or ask the installer for it'
            yield Fault("", f"promised_spf = {self.promised_spf:g}", why, remedy)
        if self.promised_spf is None:
            for key in ("promised_boundary", "promised_flow_c"):
                if getattr(self, key) is not None:
                    yield Fault(
                        "", key, "belongs to promised_spf, which is missing", "Add promised_spf, or take it out"
                    )


# key that a row of points shares, key along which it is looked through, how COP may not differ from point to point
ORDERS = (
    ("source_c", "flow_c", "is above the cop = {:g} of the cooler flow at {:g} °C"),
    ("flow_c", "source_c", "is below the cop = {:g} of the colder source at {:g} °C"),
)


def _out_of_order(points: tuple[Point, ...]) -> Iterator[Fault]:
    """Yield points that stand twice, and those whose COP rises with the flow or falls as the source warms."""
    for same, along, why in ORDERS:
        rows: dict[tuple[float, float | None], list[Point]] = {}
        for point in points:
            rows.setdefault((getattr(point, same), point.part_load), []).append(point)
        by_flow = along == "flow_c"
        for low, high in (pair for row in rows.values() for pair in pairwise(sorted(row, key=attrgetter(along)))):
            place = f"point source_c = {high.source_c:g}, flow_c = {high.flow_c:g}"
            if getattr(high, along) == getattr(low, along):
                yield from [Fault("", place, "stands twice", "Keep one of the two")] * by_flow
            elif (high.cop > low.cop) if by_flow else (high.cop < low.cop):
                allowed = f"{why.format(low.cop, getattr(low, along))}, and a higher lift can't be easier"
                yield Fault("", f"{place}: cop = {high.cop:g}", allowed, "Look whether the two were exchanged")


def _some_least(points: tuple[Point, ...]) -> Iterator[Fault]:
    """Yield a least output that only some of the full-load points state: nobody knows whether the others differ."""
    full = [point for point in points if point.part_load is None or point.part_load == 1.0]
    stated = sum(point.minimum_kw is not None for point in full)
    if 0 < stated < len(full):
        yield Fault(
            "",
            f"minimum_kw of {stated} of {len(full)} full-load test points",
            "leaves the others open, and the least output differs with source and flow temperature",
            "Write minimum_kw for every point, or for none and minimum_share instead",
        )


def capacity_kw(machine: HeatPump) -> float:
    """What a machine gives with the source at 7 °C and the flow at 35 °C, or at the test point nearest to that [kW]."""
    if machine.point is None:
        return float(machine.capacity_7_35_kw or 0.0)
    full = [point for point in machine.point if point.part_load is None] or list(machine.point)
    return min(full, key=lambda point: abs(point.source_c - 7.0) + abs(point.flow_c - 35.0)).capacity_kw


def sized(machine: HeatPump, wanted_kw: float) -> dict[str, Any]:
    """What is to be said of a machine so that it gives another capacity at 7/35 °C, its COP and its shares kept.

    Parameters
    ----------
    machine
        What it is now.
    wanted_kw
        Its capacity with the source at 7 °C and the flow at 35 °C [kW].

    Returns
    -------
    dict
        Keys of ``[heat_pump]`` and their values.
    """
    named: dict[str, Any] = {"name": f"invented {wanted_kw:g} kW outdoor unit"}
    if machine.point is None:
        return named | {"capacity_7_35_kw": wanted_kw}
    factor = wanted_kw / capacity_kw(machine)
    points = [point.model_dump(by_alias=True, exclude_none=True) for point in machine.point]
    for point in points:
        for key in ("capacity_kw", "minimum_kw"):
            if key in point:
                point[key] = round(point[key] * factor, 3)
    return named | {"point": points}
