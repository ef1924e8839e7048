"""A tariff file (TOML) in, one checked and frozen Tariff out, or a plain sentence for each thing that is wrong with it.

A tariff is a dated list of bands: by time of day, weekday, month, and first and last date. It says whose clock it
follows, whether prices include tax, and what a day costs whatever is used. A price that changes in the middle of a year
is two bands with dates. No key is assumed for the user save those whose absence says something by itself (no months
means every month).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationError, ValidatorFunctionWrapHandler, WrapValidator
from pydantic_core import PydanticCustomError

from simkit.case.hints import shown
from simkit.case.messages import checked
from simkit.case.money_codes import CURRENCIES
from simkit.case.section import Days, EndOfDay, Section, TimeOfDay, Weekday, number, said, text
from simkit.case.tariff_cover import ALL_DAYS, WEEKEND, WORKDAYS, cover_faults
from simkit.case.toml_file import read_toml
from simkit.clock import DAY_MINUTES, WEEKDAYS, Clock, minute_of, pieces_of_day, time_of
from simkit.errors import CaseError, Fault, nearest, raise_all

NAMED_DAYS = {"all": ALL_DAYS, "workdays": WORKDAYS, "weekend": WEEKEND}

# Household electricity costs less than this everywhere, several times over; above it the unit is wrong. Own figures,
# for telling cents and MWh from kWh only; a currency that is not listed has no such bound.
DEAREST_PER_KWH = {
    "AUD": 4.0, "BGN": 4.0, "BRL": 10.0, "CAD": 3.0, "CHF": 2.0, "CZK": 50.0, "DKK": 15.0, "EUR": 2.0, "GBP": 2.0,
    "HUF": 800.0, "JPY": 300.0, "NOK": 20.0, "NZD": 4.0, "PLN": 9.0, "RON": 10.0, "SEK": 20.0, "USD": 2.0,
}  # fmt: skip
DEAREST_PRICE, DEAREST_DAY = 100_000, 250_000  # whatever the currency: bounds of the fields
DEAREST_DAY_IN_KWH = 2.5  # a day's standing charge, as a multiple of the dearest kWh

SIGNS = {"€": "EUR", "EURO": "EUR", "EUROS": "EUR", "£": "GBP", "$": "USD", "¥": "JPY", "KR": "DKK"}


def _closed(value: Any) -> Any:
    """A list of the file as the tuple that a frozen model holds (strict validation behind a validator asks for it)."""
    return tuple(value) if isinstance(value, list) else value


def _some_days(value: Any, handler: ValidatorFunctionWrapHandler) -> Any:
    try:
        return handler(_closed(value))
    except ValidationError:
        allowed = 'is not "all", "workdays", "weekend" or a list of weekdays'
        near = nearest(value, NAMED_DAYS) if isinstance(value, str) else None
        remedy = 'Write one of the three words, or a list such as ["monday", "friday"]'
        remedy = f'Perhaps "{near}" is meant' if near else remedy
        raise PydanticCustomError("worded", "", {"allowed": allowed, "remedy": remedy}) from None


def _some_months(value: Any, handler: ValidatorFunctionWrapHandler) -> Any:
    try:
        return handler(_closed(value))
    except ValidationError:
        remedy = "Write the numbers of the months, such as [11, 12, 1, 2, 3], or leave the key out for every month"
        raise PydanticCustomError(
            "worded", "", {"allowed": "is not a list of months from 1 to 12", "remedy": remedy}
        ) from None


def _a_currency(code: str) -> str:
    if code not in CURRENCIES:
        near = SIGNS.get(code.upper()) or nearest(code.upper(), CURRENCIES)
        remedy = f'Perhaps "{near}" is meant' if near else 'Write a code such as "EUR"'
        raise PydanticCustomError("worded", "", {"allowed": "is not a currency code of ISO 4217", "remedy": remedy})
    return code


SomeDays = Annotated[
    Days | Annotated[tuple[Weekday, ...], Field(min_length=1)],
    WrapValidator(_some_days),
]
SomeMonths = Annotated[tuple[Annotated[int, Field(ge=1, le=12)], ...], Field(min_length=1)]


class Band(Section):
    """One price and the minutes to which it belongs."""

    name: str = text("What the bill calls it", example="Night")
    price_per_kwh: float = number(0, DEAREST_PRICE, "currency per kWh", "Price of a kilowatt-hour", example=0.285)
    start: TimeOfDay = said('Time of day at which it begins, "HH:MM"', example="23:00", alias="from")
    end: EndOfDay = said('Time of day at which it ends, "HH:MM" or "24:00"', example="08:00", alias="to")
    days: SomeDays = said("Days on which it holds, or a list of weekdays", example="all")
    months: Annotated[SomeMonths | None, WrapValidator(_some_months)] = said(
        "Months in which it holds, every month if left out", example=[11, 12, 1, 2, 3], absent=True
    )
    first_date: dt.date | None = said("First day on which it holds", example=dt.date(2025, 1, 1), absent=True)
    last_date: dt.date | None = said("Last day on which it holds", example=dt.date(2025, 9, 30), absent=True)

    @property
    def weekdays(self) -> frozenset[int]:
        """Weekdays on which the band holds, 0 = Monday."""
        if isinstance(self.days, str):
            return NAMED_DAYS[self.days]
        return frozenset(WEEKDAYS.index(day) for day in self.days)

    def clashes(self) -> Iterator[Fault]:
        """Yield a window without length and dates in the wrong order."""
        try:
            pieces_of_day(self.start, self.end)
        except CaseError as error:
            yield from error.faults
        if self.first_date and self.last_date and self.last_date < self.first_date:
            allowed = f"is before first_date = {self.first_date}"
            yield Fault("", f"last_date = {self.last_date}", allowed, "Swap the two, or mend the year")


class Export(Section):
    """What a kilowatt-hour fed into the grid earns."""

    price_per_kwh: float = number(0, DEAREST_PRICE, "currency per kWh", "What an exported kWh earns", example=0.15)


class Tariff(Section):
    """One electricity tariff; equal and hashable by value.

    Every minute of every day has exactly one band, as the tariff's own clock shows time. `meter_offset_minutes` is how
    much later than stated the meter switches [min]. With ``holidays_as = "weekend"`` a public holiday of the home's
    country is priced as a Sunday.
    """

    name: str = text("What you call the tariff", example="Harbour flat rate")
    note: str = text("Where the prices come from, or that they are invented", example="Invented.")
    currency: Annotated[str, AfterValidator(_a_currency)] = text("Currency by its ISO 4217 code", example="EUR")
    valid_from: dt.date = said("First day of the tariff", example=dt.date(2025, 1, 1))
    clock: Clock = said("Clock on which its times are read", example="local")
    meter_offset_minutes: int | None = number(
        -720, 720, "min", "How much later than stated the meter switches", example=7, absent=True
    )
    holidays_as: Literal["weekend"] | None = said(
        "How public holidays are priced, like any other day if left out", example="weekend", absent=True
    )
    tax: float = number(0, 0.99, "share", "Tax on energy and standing charge", example=0.09)
    prices_include_tax: bool = said("Whether the prices hold the tax already", example=True)
    standing_per_day: float = number(
        0, DEAREST_DAY, "currency per day", "What each day costs whatever is used", example=0.75
    )
    band: tuple[Band, ...] = said(
        "The bands, each with its price and its minutes",
        example=[{"name": "All day", "price_per_kwh": 0.345, "from": "00:00", "to": "24:00", "days": "all"}],
    )
    export: Export | None = said(
        "What exported energy earns, nothing if left out", example={"price_per_kwh": 0.15}, absent=True
    )

    @property
    def tax_factor(self) -> float:
        """What stated prices are multiplied by to include tax [-]."""
        return 1.0 if self.prices_include_tax else 1.0 + self.tax

    @property
    def edges(self) -> tuple[str, ...]:
        """Times of day at which the price can change, "HH:MM" on the tariff's clock, meter offset included."""
        edges = {minute_of(edge) for band in self.band for edge in (band.start, band.end)}
        late = self.meter_offset_minutes or 0
        return tuple(time_of(edge) for edge in sorted({(edge + late) % DAY_MINUTES for edge in edges}))

    def clashes(self) -> Iterator[Fault]:
        """Yield minutes without a price and minutes with more than one."""
        if not any(True for band in self.band for _ in band.clashes()):
            yield from cover_faults(self.band, self.valid_from, where="")


def read_tariff(path: str | Path) -> Tariff:
    """Read a tariff file and check it.

    Parameters
    ----------
    path
        A TOML file as in ``sample_data/tariffs``.

    Returns
    -------
    Tariff
        Frozen, hashable, every minute priced exactly once.

    Raises
    ------
    CaseError
        With one sentence for each thing that is wrong.
    """
    data = read_toml(path, what="tariff file")
    tariff, faults = checked(Tariff, data)
    ours = list(_price_faults(data))
    told = {(fault.where, fault.given) for fault in ours}
    faults = ours + [fault for fault in faults if (fault.where, fault.given) not in told]
    raise_all([Fault(_in_file(Path(path).name, f.where), f.given, f.allowed, f.remedy) for f in faults])
    assert tariff is not None  # no fault, so there is one
    return tariff


def _in_file(name: str, where: str) -> str:
    return f"{name}: {where}" if where else name


def _number(table: Any, key: str) -> float | None:
    value = table.get(key) if isinstance(table, Mapping) else None
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def _price_faults(data: Mapping[str, Any]) -> Iterator[Fault]:
    """Prices that are none in this currency: cents, MWh, a month's standing charge.

    Asked of the raw file, so that they are told together with everything else that is wrong.
    """
    currency = str(data.get("currency"))
    dearest = DEAREST_PER_KWH.get(currency, DEAREST_PRICE)
    bands = data.get("band")
    tables = [(f"band no. {k}", band) for k, band in enumerate(bands if isinstance(bands, list) else [], start=1)]
    for place, table in [*tables, ("[export]", data.get("export"))]:
        price = _number(table, "price_per_kwh")
        if price is not None and not 0 <= price <= dearest:
            yield _no_price(place, price, dearest, currency)
    day, most = _number(data, "standing_per_day"), min(dearest * DEAREST_DAY_IN_KWH, DEAREST_DAY)
    if day is None or 0 <= day <= most:
        return
    given, allowed = f"standing_per_day = {shown(day)}", f"is outside 0 to {most:g} {currency} per day"
    if day < 0:
        yield Fault(
            "", given, "is below 0, and a standing charge is paid, not earned", f"Write {shown(-day)}, or 0 for none"
        )
        return
    remedy = f"If it is for a month, write {day * 12 / 365:.4g}; if for a year, {day / 365:.4g}"
    remedy += f"; if in hundredths (cents, pence), {day / 100:.4g}" if day / 100 <= most else ""
    yield Fault("", given, allowed, remedy)


def _no_price(where: str, price: float, dearest: float, currency: str) -> Fault:
    given, allowed = f"price_per_kwh = {shown(price)}", f"is outside 0 to {dearest:g} {currency} per kWh"
    if price < 0:
        paid = "earnings" if where == "[export]" else "a price"
        return Fault(where, given, f"is below 0, and {paid} of a fixed tariff can't be", f"Write {shown(-price)}, or 0")
    guesses = []
    if price / 100 <= dearest:
        guesses.append(f"If it is in hundredths (cents, pence), write {price / 100:.4g}")
    if dearest / 40 <= price / 1000 <= dearest:
        guesses.append(f"{'if' if guesses else 'If'} for a MWh, write {price / 1000:.4g}")
    remedy = "; ".join(guesses) or f"Write the price of a kilowatt-hour in {currency}, such as {dearest / 8:g}"
    return Fault(where, given, allowed, remedy)
