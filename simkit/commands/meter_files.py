"""Files of readings and how they are to be taken in, as a command line names them; readings and their weather out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    import pandas as pd

    from simkit.case.case import Case
    from simkit.meter.reading import Readings
    from simkit.meter.weather_then import WeatherThen

Files = Annotated[
    list[Path], typer.Argument(metavar="FILE...", help="Files of readings, one for each meter or logger.")
]
Mapping = Annotated[
    Path | None, typer.Option("--mapping", metavar="FILE.toml", help="What the columns mean, as saved by read --save.")
]
PerUnit = Annotated[
    float | None, typer.Option("--kwh-per-unit", metavar="KWH", help="Gross energy of a m³ (or other unit) of fuel.")
]
Bills = Annotated[
    list[str] | None,
    typer.Option("--bill", metavar="MONTH=AMOUNT", help="A bill to hold it against, as 2026-01=412.5."),
]
Option = Annotated[
    str | None, typer.Option("--option", metavar="NAME", help="The option of the case that was lived in.")
]
Draws = Annotated[int, typer.Option("--draws", min=640, max=200_000, help="Draws of the posterior.")]


def bills_of(texts: list[str] | None) -> dict[str, float]:
    """Months and amounts out of MONTH=AMOUNT."""
    import re

    from simkit.errors import CaseError, Fault

    found = {}
    for text in texts or []:
        match = re.fullmatch(r"(\d{4}-(?:0[1-9]|1[0-2]))=(\d+(?:[.,]\d+)?)", text.strip())
        if match is None:
            raise CaseError(Fault("--bill", text, "is not a month and an amount", "Write for example 2026-01=412.5"))
        found[match.group(1)] = float(match.group(2).replace(",", "."))
    return found


def read_all(files: list[Path], case: Case, mapping: Path | None, kwh_per_unit: float | None) -> list[Readings]:
    """Read every file in the zone of the home."""
    from simkit.meter.reading import read_meter

    per_unit = kwh_per_unit
    if per_unit is None and case.fuel is not None and case.fuel.unit == "m3":
        per_unit = case.fuel.kwh_per_unit
    return [read_meter(path, zone=case.site.zone, mapping=mapping, kwh_per_unit=per_unit) for path in files]


def weather_of(case: Case, readings: list[Readings]) -> WeatherThen | None:
    """Weather by logged outdoor temperatures, where a file has them; None for the case's own."""
    from simkit.meter.weather_then import from_temperatures

    logged: list[pd.Series] = [one.frame["outdoor_c"] for one in readings if "outdoor_c" in one.quantities]
    if not logged:
        return None
    half_hours = any(0 < one.step_minutes <= 30 for one in readings)
    return from_temperatures(case, logged[0], 30 if half_hours else 60)
