"""What one part of a tariff says in, one validated section out: bands, tiers, demand, levies, export and more."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.errors import CaseError, Fault
from simkit.schema.section import CLOCK_PATTERN, EndOfDay, Section, TimeOfDay, Way, number, said, text
from simkit.tariff.hours import Hours
from simkit.tariff.prices import DEAREST_PRICE
from simkit.times_of_day import pieces_of_day


class Band(Hours):
    """One price and the minutes to which it belongs."""

    name: str = text("What the bill calls it", example="Night")
    price_per_kwh: float = number(0, DEAREST_PRICE, "currency per kWh", "Price of a kilowatt-hour", example=0.285)


class PriceSeries(Section):
    """A file of prices, one for each interval: price = market price × factor + adder, held between floor and cap.

    Factor, adder, floor and cap are before tax. Where `prices_include_tax` holds for the rest of the tariff, `tax` is
    what is added to this price alone.
    """

    name: str = text("What the bill calls it", example="Energy at the hourly price")
    file: str = text("File of the prices, its path seen from the tariff file", example="day_ahead_2025.csv")
    column: str | None = text(
        "Column of the prices; needed where the file has more than two", example="EUR/MWh", absent=True
    )
    time_column: str | None = text("Column of the stamps; the first when left out", example="time", absent=True)
    per: Literal["MWh", "kWh"] = said("What the prices of the file are for", example="MWh")
    interval_minutes: Literal[60, 30, 15] = said("Length of an interval in minutes", example=60)
    clock: str = said('Clock of the stamps: "utc", "local" or an offset', example="utc", pattern=CLOCK_PATTERN)
    label: Literal["start", "end"] | None = said(
        "Part of its interval that a stamp names, the start if left out", example="start", absent=True
    )
    bridge_hours: int | None = number(
        0,
        48,
        "h",
        "Longest gap that is closed by holding the price before it, none if left out",
        example=1,
        absent=True,
    )
    factor: float | None = number(0, 1000, "", "What the market price is multiplied by", example=1.05, absent=True)
    adder_per_kwh: float | None = number(
        -DEAREST_PRICE,
        DEAREST_PRICE,
        "currency per kWh",
        "What is added to each kilowatt-hour",
        example=0.02,
        absent=True,
    )
    floor_per_kwh: float | None = number(
        -DEAREST_PRICE, DEAREST_PRICE, "currency per kWh", "Least price of a kilowatt-hour", example=0.0, absent=True
    )
    cap_per_kwh: float | None = number(
        -DEAREST_PRICE, DEAREST_PRICE, "currency per kWh", "Highest price of a kilowatt-hour", example=0.6, absent=True
    )
    tax: float | None = number(
        0, 0.99, "share", "Tax on these prices alone, where the others hold theirs", example=0.09, absent=True
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield a floor above the cap."""
        if self.floor_per_kwh is not None and self.cap_per_kwh is not None and self.floor_per_kwh > self.cap_per_kwh:
            given = f"floor_per_kwh = {self.floor_per_kwh:g}"
            yield Fault("", given, f"is above cap_per_kwh = {self.cap_per_kwh:g}", "Swap the two, or leave one out")


class Tier(Section):
    """One price and the kilowatt-hours of a billing month to which it belongs."""

    name: str = text("What the bill calls it", example="First 200 kWh")
    up_to_kwh: float | None = number(
        0.1,
        1_000_000,
        "kWh",
        "Use of a billing month up to which it holds, no end if left out",
        example=200,
        absent=True,
    )
    price_per_kwh: float = number(0, DEAREST_PRICE, "currency per kWh", "Price of a kilowatt-hour", example=0.285)


class Demand(Section):
    """A charge on the highest mean power of a billing month.

    The peak is that of the whole home's import, averaged over the charge's own interval; each month's peak is at least
    the floor, and what is charged is the mean of the last `rolling_months` of them.
    """

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("price_per_kw_month"), Way("price_per_kw_year")),)

    name: str = text("What the bill calls it", example="Peak power")
    price_per_kw_month: float | None = number(
        0, DEAREST_PRICE, "currency per kW", "Price of a kilowatt for a month", example=4.1, absent=True
    )
    price_per_kw_year: float | None = number(
        0, DEAREST_PRICE, "currency per kW", "Price of a kilowatt for a year", example=49.0, absent=True
    )
    interval_minutes: Literal[60, 30, 15] = said("Time over which power is averaged, in minutes", example=15)
    rolling_months: int | None = number(
        1, 12, "months", "Months whose peaks are averaged, the month alone if left out", example=12, absent=True
    )
    floor_kw: float | None = number(
        0, 100, "kW", "Least peak that is counted for a month, none if left out", example=2.5, absent=True
    )
    within: Hours | None = said(
        "When peaks count, at any time if left out",
        example={"from": "07:00", "to": "22:00", "days": "workdays"},
        absent=True,
    )

    @property
    def price_per_month(self) -> float:
        """Price of a kilowatt for a month [currency/kW]."""
        return (self.price_per_kw_year or 0.0) / 12 if self.price_per_kw_month is None else self.price_per_kw_month


def _one_of(section: Section, keys: tuple[str, ...]) -> Iterator[Fault]:
    """Yield a fault unless exactly one of these keys is given; for the elements of a list."""
    known = [key for key in keys if getattr(section, key) is not None]
    names = f"{', '.join(keys[:-1])} and {keys[-1]}"
    if not known:
        yield Fault(
            "", names, "are all missing, and exactly one is needed", f"Add the one that holds, such as {keys[0]}"
        )
    elif len(known) > 1:
        both = f"{', '.join(known[:-1])} and {known[-1]}"
        yield Fault("", both, "are given together, and exactly one is allowed", "Keep one, or write the other apart")


class Levy(Section):
    """A charge by the state or the network on every kilowatt-hour, or on every day."""

    name: str = text("What the bill calls it", example="Renewables levy")
    per_kwh: float | None = number(
        0, DEAREST_PRICE, "currency per kWh", "What is due for a kilowatt-hour", example=0.012, absent=True
    )
    per_day: float | None = number(
        0, DEAREST_PRICE, "currency per day", "What is due for a day", example=0.1, absent=True
    )
    taxed: bool = said("Whether the tax of the tariff is added to it", example=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a levy of no kind, or of two."""
        yield from _one_of(self, ("per_kwh", "per_day"))


class Rebate(Section):
    """Something that is taken off the bill."""

    name: str = text("What the bill calls it", example="Welcome discount")
    per_day: float | None = number(
        0, DEAREST_PRICE, "currency per day", "What is taken off for a day", example=0.1, absent=True
    )
    per_month: float | None = number(
        0, DEAREST_PRICE, "currency", "What is taken off in each calendar month", example=10.0, absent=True
    )
    once: float | None = number(0, DEAREST_PRICE, "currency", "What is taken off once", example=60.0, absent=True)
    date: dt.date | None = said("Day on which that is taken off", example=dt.date(2025, 3, 1), absent=True)
    share: float | None = number(
        0, 1, "share", "Share of the energy charges that is taken off", example=0.15, absent=True
    )
    taxed: bool = said("Whether it is taken off before the tax of the tariff is added", example=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a rebate of no kind, or of two, and one without its day."""
        yield from _one_of(self, ("per_day", "per_month", "once", "share"))
        if self.once is not None and self.date is None:
            yield Fault("", "date", "is missing, and once needs it", "Add a line such as: date = 2025-03-01")
        if self.once is None and self.date is not None:
            yield Fault("", f"date = {self.date}", "belongs to once, which is not given", "Take date out")


class Export(Section):
    """What a kilowatt-hour fed into the grid earns."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("price_per_kwh"), Way("band"), Way("series")),)

    price_per_kwh: float | None = number(
        0, DEAREST_PRICE, "currency per kWh", "What an exported kWh earns", example=0.15, absent=True
    )
    band: tuple[Band, ...] | None = said(
        "What an exported kWh earns by time of day",
        example=[{"name": "Evening", "price_per_kwh": 0.2, "from": "16:00", "to": "19:00", "days": "all"}],
        absent=True,
    )
    series: PriceSeries | None = said(
        "What an exported kWh earns by a file of prices", example={"file": "day_ahead_2025.csv"}, absent=True
    )
    sell_grid_energy: bool | None = said(
        "Whether a battery may sell what it was charged with from the grid, not if left out", example=False, absent=True
    )


class Granted(Section):
    """Cheap half-hours that the supplier may choose on top; a scenario, never counted in a year by itself."""

    per_week: int = number(1, 336, "", "How many half-hours a week", example=6)
    start: TimeOfDay = said('Time of day from which on they may lie, "HH:MM"', example="09:00", alias="from")
    end: EndOfDay = said('Time of day until which they may lie, "HH:MM"', example="16:00", alias="to")
    price_per_kwh: float = number(0, DEAREST_PRICE, "currency per kWh", "Price of a kilowatt-hour in them", example=0.1)

    def clashes(self) -> Iterator[Fault]:
        """Yield a window without length, or one that holds fewer half-hours than are promised."""
        try:
            pieces = pieces_of_day(self.start, self.end)
        except CaseError as error:
            yield from error.faults
            return
        most = 7 * sum(high - low for low, high in pieces) // 30
        if self.per_week > most:
            allowed = f"is more than the {most} half-hours that lie between {self.start} and {self.end} in a week"
            yield Fault("", f"per_week = {self.per_week}", allowed, "Widen from and to, or write fewer")
