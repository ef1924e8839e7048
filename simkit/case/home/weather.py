"""What the user says of the weather in, a validated `WeatherSource` out: monthly figures, or a file of hours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from simkit.errors import Fault
from simkit.schema.hints import example_of, meaning_of, shown
from simkit.schema.section import CLOCK_PATTERN, Section, Way, months, number, said, text

MONTHLY = ("daily_range_k", "humidity", "radiation_kwh_m2", "sunshine_hours")

DegreeDayRule = Literal["hours", "daily mean", "middle of max and min", "four cases of max and min"]
MeanC = tuple[Annotated[float, Field(ge=-50, le=45)], ...]
DegreeDays = tuple[Annotated[float, Field(ge=0, le=2000)], ...]
RangeK = tuple[Annotated[float, Field(ge=0, le=30)], ...]
Shares = tuple[Annotated[float, Field(ge=0.05, le=1)], ...]
Radiation = tuple[Annotated[float, Field(ge=0, le=300)], ...]
Hours = tuple[Annotated[float, Field(ge=0, le=744)], ...]


class Columns(Section):
    """Which column of a plain table holds what; a quantity that the table lacks is left out."""

    time: str | None = text("Column of the time stamps; the first column when left out", example="time", absent=True)
    outdoor_c: str = text("Column of the outdoor temperature in °C", example="temperature")
    humidity: str | None = text("Column of the relative humidity, share or per cent", example="rh", absent=True)
    ghi_w_m2: str | None = text("Column of the global horizontal irradiance in W/m²", example="ghi", absent=True)
    dni_w_m2: str | None = text("Column of the direct normal irradiance in W/m²", example="dni", absent=True)
    dhi_w_m2: str | None = text("Column of the diffuse horizontal irradiance in W/m²", example="dhi", absent=True)


class WeatherSource(Section):
    """Twelve monthly figures, or a file of hours; exactly one of the two."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = (
        (
            Way("mean_c", takes=MONTHLY),
            Way("degree_days", needs=("degree_day_base_c",), takes=("degree_day_rule", *MONTHLY)),
            Way("file", takes=("format", "label", "clock", "columns", "bridge_hours")),
        ),
    )

    mean_c: MeanC | None = months(-50, 45, "°C", "Mean outdoor temperature of each month", example=10.0, absent=True)
    degree_days: DegreeDays | None = months(
        0, 2000, "K·d", "Heating degree-days of each month at the stated base", example=200, absent=True
    )
    degree_day_base_c: float | None = number(
        5, 25, "°C", "Base temperature of the degree-days", example=15.5, absent=True
    )
    degree_day_rule: DegreeDayRule | None = said(
        "How a day's degree-days were worked out: the mean shortfall of its hours, base less its mean, base less the "
        "middle of its highest and lowest temperature, or the four cases of the two of UK tables",
        example="daily mean",
        absent=True,
    )
    daily_range_k: RangeK | None = months(
        0, 30, "K", "Usual difference between the warmest and the coldest hour of a day", example=7.0, absent=True
    )
    humidity: Shares | None = months(0.05, 1, "share", "Mean relative humidity of each month", example=0.8, absent=True)
    radiation_kwh_m2: Radiation | None = months(
        0, 300, "kWh/m²", "Global radiation on the horizontal in each month", example=80, absent=True
    )
    sunshine_hours: Hours | None = months(
        0, 744, "h", "Hours of bright sunshine of each month", example=120, absent=True
    )

    file: str | None = text("Weather file, its path seen from the case file", example="weather.epw", absent=True)
    format: Literal["epw", "tmy3", "pvgis", "csv"] | None = said(
        "Format of the weather file; found from its content when left out", example="epw", absent=True
    )
    label: Literal["start", "middle", "end"] | None = said(
        "Part of its interval that a time stamp of a csv file names", example="start", absent=True
    )
    clock: str | None = said(
        'Clock of the time stamps of a csv file: "utc", "local" or an offset such as "+01:00"',
        example="utc",
        absent=True,
        pattern=CLOCK_PATTERN,
    )
    columns: Columns | None = said(
        "Which column of a csv file holds what", example={"outdoor_c": "temperature"}, absent=True
    )
    bridge_hours: int | None = number(
        0, 48, "h", "Longest gap in the file that is bridged by a straight line; 0 bridges none", example=3, absent=True
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield what twelve figures or a plain table lack."""
        if self.radiation_kwh_m2 is not None and self.sunshine_hours is not None:
            allowed = "are both given, and they say the same thing in two ways"
            yield Fault("", "radiation_kwh_m2 and sunshine_hours", allowed, "Keep the one that was measured")
        if self.format == "csv":
            for key, value in (("label", self.label), ("clock", self.clock), ("columns", self.columns)):
                if value is None:
                    field = WeatherSource.model_fields[key]
                    allowed = f'is missing, and format = "csv" can\'t be read without it ({meaning_of(field)})'
                    yield Fault("", key, allowed, f"Add a line such as: {key} = {shown(example_of(field))}")
