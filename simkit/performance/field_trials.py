"""A flow temperature in; the seasonal performance met in the field, with its source and boundary, out.

Published trials state neither the flow temperatures of their homes nor, most of them, the boundary of the figure: the
bands are ours, by design flow temperature. None of it judges a single home.
"""

from __future__ import annotations

from dataclasses import dataclass

# own: what a retrofit with hot water should reach at H4, by design flow temperature [°C]; straight between
OWN_BANDS: tuple[tuple[float, float, float], ...] = ((35.0, 3.2, 4.4), (40.0, 3.0, 4.2), (55.0, 2.2, 3.0))

WHY_THEY_DIFFER: tuple[str, ...] = (
    "boundary: a figure at H2 leaves out heaters, pumps and standby, which take 3 to 10 % of it off",
    "flow temperature: trials hold homes from under 35 to over 55 °C and seldom say which",
    "hot water: a well-insulated home makes a larger share of its heat at the hotter end",
    "weather and source: a mild damp winter and a cold dry one ask for other temperatures, with other defrosting",
    "installation: two equal machines differ by 12 to 15 % through buffers, controls, cycling and water flow",
    "meters: a heat meter of class 2 or 3 adds a few per cent either way",
    "age: later machines modulate lower and are rated better",
)


@dataclass(frozen=True)
class Band:
    """What is sensible at a flow temperature.

    Attributes
    ----------
    design_flow_c
        Flow temperature on the design day [°C].
    low, high
        Sensible seasonal performance at H4, hot water included [-].
    source
        Where the band comes from.
    """

    design_flow_c: float
    low: float
    high: float
    source: str


def field_band(design_flow_c: float) -> Band:
    """Sensible band for air-to-water machines at this design flow temperature [°C], straight between ours.

    Parameters
    ----------
    design_flow_c
        Flow temperature on the design day [°C].
    """
    (t0, low0, high0), *rest = OWN_BANDS
    if design_flow_c <= t0:
        return Band(design_flow_c, low0, high0, "own")
    for t1, low1, high1 in rest:
        if design_flow_c <= t1:
            along = (design_flow_c - t0) / (t1 - t0)
            return Band(design_flow_c, low0 + along * (low1 - low0), high0 + along * (high1 - high0), "own")
        t0, low0, high0 = t1, low1, high1
    return Band(design_flow_c, low0, high0, "own")
