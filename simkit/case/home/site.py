"""What the user says of the place in, a validated `Site` out: clock, coordinates, weather year and design cold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal
from zoneinfo import available_timezones

from simkit.errors import Fault, perhaps
from simkit.schema.country_codes import country_faults
from simkit.schema.section import Section, number, said, text
from simkit.times_of_day import is_zone


class Site(Section):
    """Where the home stands and which civil year is run."""

    zone: str = text("IANA name of the time zone of the home's clocks", example="Europe/Dublin")
    country: str = said(
        "ISO 3166 country code of two letters, for public holidays", example="IE", min_length=1, max_length=60
    )
    locale: str | None = said(
        "How numbers and amounts are written, a name of the Unicode data; that of the country when left out",
        example="en_IE", absent=True,
    )  # fmt: skip
    latitude_deg: float = number(-90, 90, "°", "Latitude, north positive", example=53.3)
    longitude_deg: float = number(-180, 180, "°", "Longitude, east positive, west negative", example=-6.3)
    altitude_m: float = number(-430, 5000, "m", "Height above sea level", example=30)
    year: int = number(1972, 2099, "", "Civil year that is run, in the home's own clock", example=2025)
    design_outdoor_c: float = number(
        -45, 20, "°C", "Outdoor temperature that 99.6 % of the hours of a usual year are warmer than", example=-2.0
    )
    fuse_a: float | None = number(6, 400, "A", "Main fuse of the home, of each phase", example=40, absent=True)
    volts: float | None = number(90, 280, "V", "Voltage between phase and neutral", example=230, absent=True)
    phases: Literal[1, 3] | None = said("Phases of the supply", example=1, absent=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a zone or a country that is none."""
        from babel.localedata import exists

        if not is_zone(self.zone):
            remedy = perhaps(self.zone, available_timezones(), 'Write a name such as "Europe/Dublin"')
            yield Fault("", f'zone = "{self.zone}"', "is not a time zone of the IANA database", remedy)
        if self.locale is not None and not exists(self.locale):
            remedy = 'Write a language and a country such as "en_IE" or "de_AT", or leave it out'
            yield Fault("", f'locale = "{self.locale}"', "is not a locale of the Unicode data", remedy)
        yield from country_faults("country", self.country)
