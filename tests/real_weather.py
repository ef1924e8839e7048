"""Names of real weather in; the places where installed packages or an open-data folder keep it out.

Nothing is copied: the files stay where they are, and a test whose folder is absent is skipped with a plain reason.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

OPEN_DATA = "SIMKIT_OPEN_DATA"
DUBLIN_2017 = "weather/met_eireann_dublin_airport_2017_hourly.csv"
DUBLIN_DAILY = "weather/met_eireann_dublin_airport_2016-2024_daily.csv"
PVGIS_CSV = "weather/pvgis_tmy_45.000_8.000_2005_2023.csv"
PVGIS_EPW = "weather/pvgis_tmy_45.000_8.000_2005_2023.epw"


def open_data(name: str) -> Path:
    """Return a file of the open-data folder, or skip the test where there is none."""
    folder = os.environ.get(OPEN_DATA)
    if not folder:
        pytest.skip(f"{OPEN_DATA} is not set: this check needs open weather data that is not part of the project")
    return Path(folder) / name


def in_package(package: str, *parts: str) -> Path:
    """Return a data file of an installed package without importing it."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        pytest.skip(f"{package} is not installed")
    return Path(spec.origin).parent.joinpath(*parts)


GREENSBORO = ("pvlib", "data", "723170TYA.CSV")
SAND_POINT = ("pvlib", "data", "703165TY.csv")


@dataclass(frozen=True)
class GermanYear:
    """One test reference year of the German weather service (DWD, 2010), as the package demandlib (MIT) carries it.

    Hours are in UTC+01:00 and named by their end; temperature [°C], relative humidity [0..1], global and diffuse
    radiation on the level [W/m²].
    """

    region: int
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    outdoor_c: np.ndarray
    humidity: np.ndarray
    ghi_w_m2: np.ndarray
    dhi_w_m2: np.ndarray

    @property
    def ends(self) -> pd.DatetimeIndex:
        """Ends of the hours in their own clock, laid on 2010."""
        return pd.date_range("2010-01-01 01:00", periods=len(self.outdoor_c), freq="h")

    def write(self, path: Path) -> Path:
        """Write the year as a plain table and return its path."""
        table = pd.DataFrame({"stamp": self.ends.strftime("%d.%m.%Y %H:%M"), "t": self.outdoor_c})
        table["rf"] = 100.0 * self.humidity
        table["global"], table["diffus"] = self.ghi_w_m2, self.dhi_w_m2
        table.to_csv(path, index=False, sep=";", decimal=",", encoding="utf-8-sig")
        return path


@lru_cache(maxsize=15)
def german_year(region: int) -> GermanYear:
    """Read the test reference year of a climate region, 1 to 15."""
    path = in_package("demandlib", "vdi", "resources_weather", f"TRY2010_{region:02d}_Jahr.dat")
    head, _, body = path.read_text(encoding="latin-1").partition("***\n")
    place = [float(number) for number in pd.Series([head.splitlines()[2]]).str.findall(r"\d+").iloc[0]]
    rows = np.array([line.split() for line in body.strip().splitlines()], dtype=float)
    beam, diffuse = rows[:, 13], rows[:, 14]
    return GermanYear(
        region=region,
        latitude_deg=place[0] + place[1] / 60.0,
        longitude_deg=place[2] + place[3] / 60.0,
        altitude_m=place[4],
        outdoor_c=rows[:, 8],
        humidity=rows[:, 11] / 100.0,
        ghi_w_m2=beam + diffuse,
        dhi_w_m2=diffuse,
    )
