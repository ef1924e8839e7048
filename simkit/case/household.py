"""What the user says of the household in, a validated `Household` out: its electricity and the heat of its people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.case.section import Section, Way, number, said, text
from simkit.errors import Fault


class Household(Section):
    """Electricity and heat of the people, the heating left out."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("profile"), Way("file")),)

    annual_kwh: float = number(
        0, 100_000, "kWh", "Electricity of the household in a year, without heating and hot water", example=3200
    )
    profile: Literal["bdew_h0"] | None = said(
        "Published load profile over which those kWh are spread", example="bdew_h0", absent=True
    )
    file: str | None = text(
        "File of the household's own load, its path seen from the case file", example="household.csv", absent=True
    )
    heat_share: float = number(0, 1, "share", "Share of those kWh that end as heat indoors", example=0.8)
    people: float = number(0, 20, "", "People who live there", example=2)
    heat_per_person_w: float = number(0, 150, "W", "Heat of one person, mean of the day with absence", example=60)

    def clashes(self) -> Iterator[Fault]:
        """Yield a year that looks like MWh."""
        if 0 < self.annual_kwh < 50:
            yield Fault(
                "",
                f"annual_kwh = {self.annual_kwh:g}",
                "is less than a home uses in a week",
                f"It is in kWh, not MWh: write {self.annual_kwh * 1000:g}, or 0 for no household at all",
            )
