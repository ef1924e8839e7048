"""A tariff file (TOML) in, one checked and frozen Tariff out, or a plain sentence for each thing that is wrong with it.

A tariff says whose clock it follows, whether prices include tax, and what it charges: bands by time of day, weekday,
month and date; a file of prices; tiers of a billing month; a charge on the peak; levies; rebates; and what a day costs
whatever is used. What a kilowatt-hour costs is the sum of its band, its price of the file, its tier and its levies,
each where the tariff has one. Terms that change in the middle of a year are `[[version]]` tables with a date each. No
key is assumed for the user save those whose absence says something by itself (no months means every month).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field
from pydantic_core import PydanticCustomError

from simkit.clock import Clock
from simkit.errors import Fault, nearest, raise_all
from simkit.schema.country_codes import country_faults
from simkit.schema.messages import checked
from simkit.schema.money_codes import CURRENCIES
from simkit.schema.renamed import with_new_names
from simkit.schema.section import Section, number, said, text
from simkit.schema.toml_file import read_toml
from simkit.tariff.hours import Hours
from simkit.tariff.prices import DEAREST_DAY, DEAREST_PER_KWH, price_faults
from simkit.tariff.rules import tariff_faults
from simkit.tariff.terms import (
    Band,
    Demand,
    Export,
    Granted,
    Levy,
    PriceSeries,
    Rebate,
    Tier,
)
from simkit.times_of_day import DAY_MINUTES, minute_of, time_of

__all__ = [
    "DEAREST_PER_KWH", "Band", "Demand", "Export", "Granted", "Hours", "Levy", "PriceSeries", "Rebate", "Tariff",
    "Tier", "Version", "files_turned", "read_tariff",
]  # fmt: skip

SIGNS = {"€": "EUR", "EURO": "EUR", "EUROS": "EUR", "£": "GBP", "$": "USD", "¥": "JPY", "KR": "DKK"}
Netting = Literal["15 min", "30 min", "hour", "day", "month", "year"]
NETTING_MINUTES = {"15 min": 15, "30 min": 30, "hour": 60}


def _a_currency(code: str) -> str:
    if code not in CURRENCIES:
        near = SIGNS.get(code.upper()) or nearest(code.upper(), CURRENCIES)
        remedy = f'Perhaps "{near}" is meant' if near else 'Write a code such as "EUR"'
        raise PydanticCustomError("worded", "", {"allowed": "is not a currency code of ISO 4217", "remedy": remedy})
    return code


def _tax(*, absent: bool = False) -> Any:
    return number(0, 0.99, "share", "Tax on energy and standing charge", example=0.09, absent=absent)


def _standing(*, absent: bool = False) -> Any:
    return number(
        0, DEAREST_DAY, "currency per day", "What each day costs whatever is used", example=0.75, absent=absent
    )


class Version(Section):
    """Terms that hold from a later date on; what it leaves out stays as it was before."""

    valid_from: dt.date = said("First day of these terms", example=dt.date(2025, 7, 1))
    valid_to: dt.date | None = said("Last day of these terms", example=dt.date(2025, 12, 31), absent=True)
    tax: float | None = _tax(absent=True)
    prices_include_tax: bool | None = said("Whether the prices hold the tax already", example=True, absent=True)
    standing_per_day: float | None = _standing(absent=True)
    band: tuple[Band, ...] | None = said("The bands, all of them", example=[{"name": "Night"}], absent=True)
    series: PriceSeries | None = said("The file of prices", example={"file": "day_ahead.csv"}, absent=True)
    tier: tuple[Tier, ...] | None = said("The tiers, all of them", example=[{"name": "Beyond"}], absent=True)
    demand: Demand | None = said("The charge on the peak", example={"interval_minutes": 15}, absent=True)
    levy: tuple[Levy, ...] | None = said("The levies, all of them", example=[{"per_kwh": 0.01}], absent=True)
    rebate: tuple[Rebate, ...] | None = said("The rebates, all of them", example=[{"per_month": 10}], absent=True)
    export: Export | None = said("What exported energy earns", example={"price_per_kwh": 0.15}, absent=True)


class Tariff(Section):
    """One electricity tariff; equal and hashable by value.

    Where there are bands, every minute of every day has exactly one, as the tariff's own clock shows time.
    `meter_offset_minutes` is how much later than stated the meter switches [min]. With ``holidays_as = "weekend"`` a
    public holiday of the home's country is priced as a Sunday. With `netting`, what is exported is first set off
    against what is imported in the same period and band.
    """

    name: str = text("What you call the tariff", example="Harbour flat rate")
    note: str = text("Where the prices come from, or that they are invented", example="Invented.")
    sold_in: str | None = said(
        "ISO 3166 code of the country in which it is sold, anywhere if left out", example="IE", absent=True
    )
    currency: Annotated[str, AfterValidator(_a_currency)] = text("Currency by its ISO 4217 code", example="EUR")
    valid_from: dt.date = said("First day of the tariff", example=dt.date(2025, 1, 1))
    valid_to: dt.date | None = said(
        "Last day of the tariff, no end if left out", example=dt.date(2025, 12, 31), absent=True
    )
    clock: Clock = said("Clock on which its times are read", example="local")
    meter_offset_minutes: int | None = number(
        -720, 720, "min", "How much later than stated the meter switches", example=7, absent=True
    )
    holidays_as: Literal["weekend"] | None = said(
        "How public holidays are priced, like any other day if left out", example="weekend", absent=True
    )
    netting: Netting | None = said(
        "Period in which export is set off against import, none if left out", example="hour", absent=True
    )
    billing_day: int | None = number(
        1, 28, "", "Day on which a billing month begins, the first if left out", example=1, absent=True
    )
    tax: float = _tax()
    prices_include_tax: bool = said("Whether the prices hold the tax already", example=True)
    standing_per_day: float = _standing()
    series: PriceSeries | None = said(
        "A file of prices, added to the bands where both are given", example={"file": "day_ahead.csv"}, absent=True
    )
    band: tuple[Band, ...] = Field(
        default=(),
        description="The bands, each with its price and its minutes.",
        examples=[[{"name": "All day", "price_per_kwh": 0.345, "from": "00:00", "to": "24:00", "days": "all"}]],
        json_schema_extra={"meaning": "The bands, each with its price and its minutes"},
    )
    tier: tuple[Tier, ...] | None = said(
        "Prices by the use of a billing month, added to the others", example=[{"name": "First 200 kWh"}], absent=True
    )
    demand: Demand | None = said("A charge on the month's peak", example={"interval_minutes": 15}, absent=True)
    levy: tuple[Levy, ...] | None = said("Levies by kWh or by day", example=[{"per_kwh": 0.01}], absent=True)
    rebate: tuple[Rebate, ...] | None = said("What is taken off", example=[{"per_month": 10.0}], absent=True)
    export: Export | None = said(
        "What exported energy earns, nothing if left out", example={"price_per_kwh": 0.15}, absent=True
    )
    granted: Granted | None = said(
        "Cheap half-hours that the supplier may choose on top", example={"per_week": 6}, absent=True
    )
    version: tuple[Version, ...] | None = said(
        "Terms that change on a later date", example=[{"valid_from": dt.date(2025, 7, 1)}], absent=True
    )

    @property
    def tax_factor(self) -> float:
        """What stated prices are multiplied by to include tax [-]."""
        return 1.0 if self.prices_include_tax else 1.0 + self.tax

    @property
    def versions(self) -> tuple[Tariff, ...]:
        """The terms as they followed each other, each a tariff without versions; the first begins the tariff."""
        if not self.version:
            return (self,)
        found = [self.model_copy(update={"version": None})]
        for change in self.version:
            new = {name: getattr(change, name) for name in Version.model_fields if getattr(change, name) is not None}
            if found[-1].valid_to is None:
                found[-1] = found[-1].model_copy(update={"valid_to": change.valid_from - dt.timedelta(days=1)})
            found.append(found[-1].model_copy(update={"valid_to": None, **new}))
        return tuple(found)

    @property
    def edges(self) -> tuple[str, ...]:
        """Times of day at which the price can change, "HH:MM" on the tariff's clock, meter offset included."""
        late = self.meter_offset_minutes or 0
        windows: list[Hours | None] = []
        for terms in self.versions:
            sold = terms.export.band if terms.export else None
            windows += [*terms.band, *(sold or ()), terms.demand.within if terms.demand else None]
        stated = {edge for hours in windows if hours for edge in (hours.start, hours.end)}
        return tuple(time_of(edge) for edge in sorted({(minute_of(edge) + late) % DAY_MINUTES for edge in stated}))

    @property
    def files(self) -> tuple[str, ...]:
        """Files of prices that the tariff names."""
        named = [s for v in self.versions for s in (v.series, v.export.series if v.export else None) if s]
        return tuple(dict.fromkeys(series.file for series in named))

    def clashes(self) -> Iterator[Fault]:
        """Yield no country, minutes without a price or with more than one, tax stated twice, days without a tariff."""
        if self.sold_in is not None:
            yield from country_faults("sold_in", self.sold_in)
        bands = (*self.band, *(band for change in self.version or () for band in change.band or ()))
        if not any(True for band in bands for _ in band.clashes()):
            yield from tariff_faults(self.versions)


def read_tariff(path: str | Path) -> Tariff:
    """Read a tariff file and check it; a file of prices that it names is looked at when it is first needed.

    Parameters
    ----------
    path
        A TOML file as in ``sample_data/tariffs``.

    Returns
    -------
    Tariff
        Frozen, hashable; files of prices are named from the folder of the tariff file.

    Raises
    ------
    CaseError
        With one sentence for each thing that is wrong.
    """
    return read_tariff_noted(path)[0]


def read_tariff_noted(path: str | Path) -> tuple[Tariff, tuple[str, ...]]:
    """Read a tariff file as `read_tariff` does, with a note for each key that stands in it under an old name."""
    data, notes = with_new_names(read_toml(path, what="tariff file"), "tariff")
    folder = Path(path).parent
    tariff, faults = checked(Tariff, files_turned(data, lambda file: str((folder / file).resolve())))
    ours = list(price_faults(data))
    told = {(fault.where, fault.given) for fault in ours}
    faults = ours + [fault for fault in faults if (fault.where, fault.given) not in told]
    name = Path(path).name
    raise_all([Fault(f"{name}: {f.where}" if f.where else name, f.given, f.allowed, f.remedy) for f in faults])
    assert tariff is not None  # no fault, so there is one
    return tariff, tuple(f"{name}: {note}" for note in notes)


def files_turned(value: Any, turn: Callable[[str], str], key: str = "") -> Any:
    """Return a tariff's table with the path of every file of prices in it turned."""
    if isinstance(value, dict):
        return {name: files_turned(part, turn, name) for name, part in value.items()}
    if isinstance(value, list):
        return [files_turned(part, turn, key) for part in value]
    return turn(value) if key == "file" and isinstance(value, str) and value else value
