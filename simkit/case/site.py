"""What the user says of the place in, a validated `Site` out: clock, coordinates, weather year and design cold."""

from __future__ import annotations

from simkit.case.section import Section, number, said, text


class Site(Section):
    """Where the home stands and which civil year is run."""

    zone: str = text("IANA name of the time zone of the home's clocks", example="Europe/Dublin")
    country: str = said(
        "ISO 3166 country code of two letters, for public holidays", example="IE", min_length=2, max_length=2
    )
    latitude_deg: float = number(-66, 66, "°", "Latitude, north positive", example=53.3)
    longitude_deg: float = number(-180, 180, "°", "Longitude, east positive, west negative", example=-6.3)
    altitude_m: float = number(-430, 5000, "m", "Height above sea level", example=30)
    year: int = number(1972, 2099, "", "Civil year that is run, in the home's own clock", example=2025)
    design_outdoor_c: float = number(
        -45, 20, "°C", "Outdoor temperature that 99.6 % of the hours of a usual year are warmer than", example=-2.0
    )
