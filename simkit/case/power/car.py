"""What the user says of an electric car charged at home in, a validated `Car` out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from simkit.errors import CaseError, Fault
from simkit.schema.section import Days, EndOfDay, Section, TimeOfDay, number, said
from simkit.times_of_day import pieces_of_day

WEEK_DAYS = {"all": 7, "workdays": 5, "weekend": 2}


class Car(Section):
    """An electric car: how far it goes, what it takes, and when it stands at its charger."""

    km_per_week: float = number(0, 5000, "km", "Distance driven in a mean week on what is charged at home", example=220)
    kwh_per_100_km: float = number(
        8, 60, "kWh per 100 km", "Electricity of 100 km at the charger, its losses included", example=21
    )
    charger_kw: float = number(0.5, 43, "kW", "Power at which it charges", example=7.4)
    start: TimeOfDay = said('Time of day from which on it may charge, "HH:MM"', example="23:00", alias="from")
    end: EndOfDay = said('Time of day until which it may charge, "HH:MM"', example="07:00", alias="to")
    days: Days = said("Days on which that window begins", example="all")
    charging: Literal["at_once", "by_price"] = said(
        "Whether it charges as soon as it may, or in the cheapest part of the window", example="at_once"
    )

    @property
    def kwh_per_week(self) -> float:
        """Electricity of a week [kWh]."""
        return self.km_per_week * self.kwh_per_100_km / 100.0

    @property
    def window_hours(self) -> float:
        """Length of the daily window [h]."""
        return sum(high - low for low, high in pieces_of_day(self.start, self.end)) / 60.0

    def clashes(self) -> Iterator[Fault]:
        """Yield a window without length, or one too short for what is driven."""
        try:
            hours = self.window_hours
        except CaseError as error:
            yield from error.faults
            return
        most = hours * WEEK_DAYS[self.days] * self.charger_kw
        if self.kwh_per_week > most:
            given = f"km_per_week = {self.km_per_week:g}"
            why = f"takes {self.kwh_per_week:.0f} kWh, and its window lets {most:.0f} kWh through in a week"
            yield Fault("", given, why, "Widen from and to, write the charger's power, or only what is charged at home")
