"""What was measured on a heat pump in; its boundary, and H4 with a range, out, or the reason why that can't be said.

A seasonal performance factor is heat over electricity, and both halves need a meter and a boundary. What a display or a
meter leaves out is put back by the shares of a simulated year of the home where there is one, else by common shares.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from simkit.errors import Fault, raise_all
from simkit.notation import Localised
from simkit.performance.boundaries import Performance

Electricity = Literal["unit display", "unit meter", "house sub-meter", "house meter"]
Heat = Literal["unit display", "heat meter", "none"]
MeterClass = Literal[1, 2, 3]

# What each way of counting electricity holds, and so the boundary of the figure.
BOUNDARIES = {"unit display": "h2", "unit meter": "h2", "house sub-meter": "h4"}
# Factor from H2 to H4 where nothing is known of the home: least, usual, most.
H4_OVER_H2 = (0.85, 0.93, 0.98)  # own; from memory the British trial of 2011 to 2014 had 2.44 / 2.65 = 0.92
DISPLAY_ERROR = 0.10  # common practice: heat and electricity of a display are estimates of the machine's own
UNIT_METER_ERROR = 0.02  # common practice: an electricity meter with its wiring
SHARES_ERROR = 0.03  # own: a simulated year's pumps, heaters and standby against the real ones
# Greatest permissible by class, usual flow: EN 1434-1; class 2 as a meter's description prints it, others from memory.
FLOW_SENSOR_ERROR = {1: 0.01, 2: 0.02, 3: 0.03}
LEAST_DIFFERENCE_K = 3.0  # common practice: the least difference a heat meter is certified for
LEAST_SPF, MOST_SPF = 0.8, 9.0  # own: outside it a reading is wrong
GLYCOL_ERROR = 0.05  # common practice: antifreeze in a meter that is set for water


@dataclass(frozen=True)
class Translated:
    """A measured figure put at H4.

    Attributes
    ----------
    measured, boundary
        The figure as measured [-], and its boundary ("h2", "h4"); None where it can't be said.
    h4, low, high
        The figure at H4 and its range [-]; None where it can't be said.
    reasons
        What went into it, one phrase each; or why it can't be said.
    """

    measured: float | None
    boundary: str | None
    h4: float | None
    low: float | None
    high: float | None
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Measured:
    """What was read off, over the same time for heat and electricity.

    Attributes
    ----------
    electricity, heat
        Which meter or display counted each.
    heat_kwh, electricity_kwh
        Readings [kWh]; None where there is none.
    days
        Length of the time between readings [d].
    meter_class
        Accuracy class of the heat meter (1, 2 or 3); None where unknown (3 is taken).
    difference_k
        Usual difference of flow and return at the heat meter [K].
    glycol
        Whether antifreeze runs through a meter that is set for water.
    immersion_apart
        Whether immersion and back-up heater hang on another circuit, so that the electricity leaves them out.
    """

    electricity: Electricity
    heat: Heat
    heat_kwh: float | None = None
    electricity_kwh: float | None = None
    days: float = 365.0
    meter_class: MeterClass | None = None
    difference_k: float = 5.0
    glycol: bool = False
    immersion_apart: bool = False


def heat_meter_error(meter_class: int, difference_k: float) -> float:
    """Greatest permissible error of a heat meter [share]: flow sensor, sensor pair, calculator (EN 1434-1).

    Parameters
    ----------
    meter_class
        Accuracy class, 1 to 3.
    difference_k
        Usual flow less return at the meter [K].
    """
    near = LEAST_DIFFERENCE_K / max(difference_k, 0.5)
    sensor_pair, calculator = 0.005 + 0.03 * near, 0.005 + 0.01 * near
    return FLOW_SENSOR_ERROR[meter_class] + sensor_pair + calculator


def spf_at_h4(measured: Measured, year: Performance | None = None) -> Translated:
    """Put a measured seasonal performance at boundary H4.

    Parameters
    ----------
    measured
        Meters, readings and their length.
    year
        Seasonal performance of a simulated year of the same home, for what the meters leave out.

    Returns
    -------
    Translated
        With a range; or without figures and with the reasons why.

    Raises
    ------
    CaseError
        Where a reading is not a positive amount of energy.
    """
    raise_all(list(_wrong(measured)))
    why_not = tuple(_why_not(measured))
    if why_not:
        return Translated(None, None, None, None, None, why_not)
    spf = float(measured.heat_kwh or 0.0) / float(measured.electricity_kwh or 1.0)
    boundary = BOUNDARIES[measured.electricity]
    if boundary == "h4" and measured.immersion_apart:
        boundary = "h4 without its heaters"
    error, reasons = _meter_error(measured)
    least, usual, most, how = _to_h4(boundary, year)
    if how:
        reasons = (*reasons, how)
    spread = sqrt(error**2 + SHARES_ERROR**2) if how else error
    return Translated(
        spf, boundary.split()[0], spf * usual, spf * least * (1.0 - spread), spf * most * (1.0 + spread), reasons
    )


def _to_h4(boundary: str, year: Performance | None) -> tuple[float, float, float, str]:
    """Factor to H4 (least, usual, most) and how it was found."""
    if boundary == "h4":
        return 1.0, 1.0, 1.0, ""
    if boundary != "h2":  # a sub-meter that leaves the heaters out
        if year is not None and year.h2 and year.h3:
            share = year.h3 / year.h2
            return share, share, 1.0, _put_back("heaters put back by the simulated year (× {}", share)
        return 0.92, 0.98, 1.0, _put_back("heaters put back by a common share (× {} to {}, own", 0.92, 1.0)
    if year is not None and year.h2 and year.h4:
        share = year.h4 / year.h2
        said = "heaters, pumps and standby put back by the simulated year (× {}"
        return share, share, share, _put_back(said, share)
    least, usual, most = H4_OVER_H2
    said = "heaters, pumps and standby put back by common shares (× {} to {}, own"
    return least, usual, most, _put_back(said, least, most)


def _put_back(said: str, *shares: float) -> Localised:
    """Words in which shares stand, each with two decimals."""
    return Localised(lambda notation: f"{said.format(*(notation.number(share, 2) for share in shares))})")


def _meter_error(measured: Measured) -> tuple[float, tuple[str, ...]]:
    """Error of the quotient [share], and the phrases that state it."""
    if "unit display" in (measured.electricity, measured.heat):
        display = "a unit's display is an estimate, taken as ±"
        return DISPLAY_ERROR, (Localised(lambda n: f"{display} {n.share(DISPLAY_ERROR)} (common practice)"),)
    grade = measured.meter_class or 3
    heat = heat_meter_error(grade, measured.difference_k)
    stated = f"heat meter of class {grade}" if measured.meter_class else "heat meter of unknown class, taken as 3"
    stated_error = heat
    reasons = [
        Localised(
            lambda n: (
                f"{stated} at {n.brief(measured.difference_k)} K: ± {n.share(stated_error, 1)} (EN 1434, from memory)"
            )
        )
    ]
    if measured.glycol:
        heat += GLYCOL_ERROR
        reasons.append(Localised(lambda n: f"antifreeze adds ± {n.share(GLYCOL_ERROR)}"))
    return sqrt(heat**2 + UNIT_METER_ERROR**2), tuple(reasons)


def _why_not(measured: Measured) -> Iterator[str]:
    if measured.heat == "none" or measured.heat_kwh is None:
        yield "heat was not measured, and heat taken from a fuel bill or a label is no measurement"
    if measured.electricity == "house meter":
        yield "the meter of the whole house counts the household too: a sub-meter on the heating is needed"
    elif measured.electricity_kwh is None:
        yield "electricity was not measured"
    if measured.days < 300:
        yield (
            f"{measured.days:g} days are no season: a winter alone reads low and a summer alone says nothing about it; "
            "fit the home to its readings instead"
        )


def _wrong(measured: Measured) -> Iterator[Fault]:
    for name in ("heat_kwh", "electricity_kwh", "days"):
        value = getattr(measured, name)
        if value is not None and not value > 0:
            yield Fault("measured", f"{name} = {value:g}", "is not above 0", "Subtract the first reading from the last")
    heat, used = measured.heat_kwh, measured.electricity_kwh
    if heat and used and heat > 0 and used > 0 and not LEAST_SPF <= heat / used <= MOST_SPF:
        yield Fault(
            "measured", f"heat over electricity = {heat / used:.2f}",
            f"is outside the {LEAST_SPF:g} to {MOST_SPF:g} that any heat pump does in a year",
            "Look whether the two were exchanged, whether both are in kWh, and whether both cover the same time",
        )  # fmt: skip
