"""The name of a reference climate in; its bin hours, design conditions, outlet temperatures and off-mode hours out.

What is found in the text of Regulation (EU) 811/2013 and what is only remembered of EN 14825 are kept apart: every
outlet temperature and every off-mode hour carries a status.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from simkit.arrays import Floats

ClimateName = Literal["average", "colder", "warmer"]

NO_LOAD_C = 16.0  # Regulation (EU) 811/2013 Annex I (24): part load is (Tj − 16) / (Tdesignh − 16)
FOUND, FROM_MEMORY = "found", "from memory"


@dataclass(frozen=True)
class Climate:
    """One reference heating season.

    Attributes
    ----------
    name
        "average", "colder" or "warmer".
    design_outdoor_c
        Tdesignh [°C].
    coldest_bin_c, bin_hours
        Hours of the bins from `coldest_bin_c` up to 15 °C, one kelvin apart [h].
    printed_load_hours
        Equivalent full-load hours as printed [h].
    warmest_bivalent_c, warmest_limit_c
        Highest bivalent point and highest operation limit that may be declared [°C].
    usual_bivalent_c
        Where the bivalent point is put when nothing is stated [°C]; ours.
    """

    name: ClimateName
    design_outdoor_c: float
    coldest_bin_c: int
    bin_hours: tuple[int, ...]
    printed_load_hours: float
    warmest_bivalent_c: float
    warmest_limit_c: float
    usual_bivalent_c: float

    @property
    def outdoor_c(self) -> Floats:
        """Temperature of each bin, shape (bins,) [°C]."""
        return np.arange(self.coldest_bin_c, NO_LOAD_C, 1.0)

    @property
    def hours(self) -> Floats:
        """Hours of each bin, shape (bins,) [h]."""
        return np.array(self.bin_hours, dtype=np.float64)

    def part_load(self, outdoor_c: Floats) -> Floats:
        """Share of the design load at this outdoor temperature, shape as given [-]."""
        return (np.asarray(outdoor_c) - NO_LOAD_C) / (self.design_outdoor_c - NO_LOAD_C)


# Regulation (EU) 811/2013 Annex VII Tables 10 and 12 and point 4(c) (OJ L 239, 6.9.2013)
CLIMATES: Mapping[str, Climate] = MappingProxyType(
    {
        "average": Climate(
            "average", -10.0, -10,
            (1, 25, 23, 24, 27, 68, 91, 89, 165, 173, 240, 280, 320, 357, 356, 303, 330, 326, 348, 335, 315, 215, 169,
             151, 105, 74),
            2066.0, 2.0, -7.0, -7.0,
        ),
        "colder": Climate(
            "colder", -22.0, -22,
            (1, 6, 13, 17, 19, 26, 39, 41, 35, 52, 37, 41, 43, 54, 90, 125, 169, 195, 278, 306, 454, 385, 490, 533,
             380, 228, 261, 279, 229, 269, 233, 230, 243, 191, 146, 150, 97, 61),
            2465.0, -7.0, -15.0, -15.0,
        ),
        "warmer": Climate(
            "warmer", 2.0, 2,
            (3, 22, 63, 63, 175, 162, 259, 360, 428, 430, 503, 444, 384, 294),
            1336.0, 7.0, 2.0, 2.0,
        ),
    }
)  # fmt: skip

# Outlet temperature of units that vary it, by climate and application: outdoor [°C], outlet [°C], status. EN 14825
# (air and water tables) from memory; only 52 °C at −7 °C is corroborated, by Regulation (EU) 811/2013 Annex I (52).
OUTLETS: Mapping[tuple[str, int], tuple[tuple[float, float, str], ...]] = MappingProxyType(
    {
        ("average", 35): tuple(
            (t, w, FROM_MEMORY) for t, w in ((-10.0, 35.0), (-7.0, 34.0), (2.0, 30.0), (7.0, 27.0), (12.0, 24.0))
        ),
        ("average", 55): (
            (-10.0, 55.0, FROM_MEMORY), (-7.0, 52.0, FOUND), (2.0, 42.0, FROM_MEMORY), (7.0, 36.0, FROM_MEMORY),
            (12.0, 30.0, FROM_MEMORY),
        ),
        ("colder", 35): tuple(
            (t, w, FROM_MEMORY)
            for t, w in ((-22.0, 35.0), (-15.0, 32.0), (-7.0, 30.0), (2.0, 27.0), (7.0, 25.0), (12.0, 24.0))
        ),
        ("colder", 55): tuple(
            (t, w, FROM_MEMORY)
            for t, w in ((-22.0, 55.0), (-15.0, 49.0), (-7.0, 44.0), (2.0, 37.0), (7.0, 32.0), (12.0, 28.0))
        ),
        ("warmer", 35): tuple((t, w, FROM_MEMORY) for t, w in ((2.0, 35.0), (7.0, 31.0), (12.0, 26.0))),
        ("warmer", 55): tuple((t, w, FROM_MEMORY) for t, w in ((2.0, 55.0), (7.0, 46.0), (12.0, 34.0))),
    }
)  # fmt: skip

# Hours of a heating-only unit with the thermostat off, on standby, with the crankcase heater on, and switched off [h].
# From memory (EN 14825; Commission communication 2014/C 207/02); the average row agrees with one transcription seen.
OFF_MODES = ("thermostat off", "standby", "crankcase heater", "switched off")
OFF_HOURS: Mapping[str, tuple[float, float, float, float]] = MappingProxyType(
    {
        "average": (179.0, 0.0, 3851.0, 3672.0),
        "colder": (131.0, 0.0, 2320.0, 2189.0),
        "warmer": (755.0, 0.0, 5100.0, 4345.0),
    }
)


def outlet_c(climate: str, application_c: int, outdoor_c: Floats) -> Floats:
    """Outlet temperature at each outdoor temperature, shape as given [°C].

    Straight between the tabulated conditions, and straight on past the last two of them.

    Parameters
    ----------
    climate
        Name of the climate.
    application_c
        35 or 55 [°C].
    outdoor_c
        Outdoor temperatures, any shape [°C].
    """
    known = OUTLETS[climate, application_c]
    t, w = np.array([row[0] for row in known]), np.array([row[1] for row in known])
    found = np.interp(outdoor_c, t, w)
    past = np.asarray(outdoor_c) > t[-1]
    slope = (w[-1] - w[-2]) / (t[-1] - t[-2])
    return np.where(past, w[-1] + slope * (np.asarray(outdoor_c) - t[-1]), found)
