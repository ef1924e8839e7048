"""What the user says of the household in, a validated `Household` out: its electricity and the heat of its people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.case.home.absence import Away, Guests
from simkit.errors import Fault
from simkit.schema.section import Section, Way, number, said, text

BDEW = "BDEW (Bundesverband der Energie- und Wasserwirtschaft), mean of German households by size, as quoted in 2022"
# size of the household: people, electricity of a year [kWh], source
SIZES: dict[str, tuple[float, float, str]] = {
    "one person": (1.0, 1900.0, BDEW),
    "two people": (2.0, 2890.0, BDEW),
    "three people": (3.0, 3720.0, BDEW),
    "four people": (4.0, 4085.0, BDEW),
    "large": (5.0, 5000.0, "own: beyond the published sizes, about what five people use"),
}
HOURS_OF_YEAR = 24 * 365
MOST_HOUSEHOLDS = 9_999  # own: more than a table of homes has neighbours


class Household(Section):
    """Electricity and heat of the people, the heating left out."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("profile", takes=("home_number",)), Way("file")),)

    size: Literal["one person", "two people", "three people", "four people", "large"] | None = said(
        "Size of the household, where its electricity is not known", example="two people", absent=True
    )
    annual_kwh: float = number(
        0, 100_000, "kWh", "Electricity of the household in a year, without heating and hot water", example=3200
    )
    profile: Literal["one_home", "mean"] | None = said(
        "How those kWh are spread: as one home switches things on, or as the mean of very many homes does",
        example="one_home",
        absent=True,
    )
    home_number: int | None = number(
        1, MOST_HOUSEHOLDS, "", "Which of the homes that are drawn as one; the most usual where left out", example=7,
        absent=True,
    )  # fmt: skip
    file: str | None = text(
        "File of the household's own load, its path seen from the case file", example="household.csv", absent=True
    )
    standby_w: float | None = number(
        0, 2000, "W", "Part of those kWh that is taken all the time, day and night", example=45, absent=True
    )
    heat_share: float = number(0, 1, "share", "Share of those kWh that end as heat indoors", example=0.8)
    people: float = number(0, 20, "", "People who live there", example=2)
    heat_per_person_w: float = number(0, 150, "W", "Heat of one person, mean of the day with absence", example=60)

    away: tuple[Away, ...] | None = said(
        "Days on which nobody is at home", example=[{"first": "02-10", "last": "02-16"}], absent=True
    )
    guests: tuple[Guests, ...] | None = said(
        "Days on which more people are at home", example=[{"first": "12-24", "last": "01-02"}], absent=True
    )

    @property
    def usual(self) -> bool:
        """Whether every day is as any other: nobody leaves, and nobody comes."""
        return not (self.away or self.guests)

    @property
    def one(self) -> bool:
        """Whether it is drawn as one home, not as the mean of many."""
        return self.profile == "one_home"

    def clashes(self) -> Iterator[Fault]:
        """Yield a year that looks like MWh, and a standby that uses more than all of it."""
        standby = (self.standby_w or 0.0) * HOURS_OF_YEAR / 1000.0
        if self.file is None and standby > self.annual_kwh:
            why = f"alone uses {standby:.0f} kWh a year, more than annual_kwh = {self.annual_kwh:g}"
            yield Fault("", f"standby_w = {self.standby_w:g}", why, "Look up both: the standby is a part of those kWh")
        if 0 < self.annual_kwh < 50:
            yield Fault(
                "",
                f"annual_kwh = {self.annual_kwh:g}",
                "is less than a home uses in a week",
                f"It is in kWh, not MWh: write {self.annual_kwh * 1000:g}, or 0 for no household at all",
            )
