"""The raw table of a tariff file in; prices that are none in its currency (cents, MWh, a month's charge) as faults out.

Asked of the raw file, so that they are told together with everything else that is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from simkit.errors import Fault
from simkit.schema.hints import shown

# Household electricity costs less than this everywhere, several times over; above it the unit is wrong. Own figures,
# for telling cents and MWh from kWh only; a currency that is not listed has no such bound.
DEAREST_PER_KWH = {
    "AUD": 4.0, "BGN": 4.0, "BRL": 10.0, "CAD": 3.0, "CHF": 2.0, "CZK": 50.0, "DKK": 15.0, "EUR": 2.0, "GBP": 2.0,
    "HUF": 800.0, "JPY": 300.0, "NOK": 20.0, "NZD": 4.0, "PLN": 9.0, "RON": 10.0, "SEK": 20.0, "USD": 2.0,
}  # fmt: skip
DEAREST_PRICE = 100_000  # of a kilowatt-hour, whatever the currency: bound of the fields
DEAREST_DAY = 250_000  # whatever the currency: bound of the field
DEAREST_DAY_IN_KWH = 2.5  # a day's standing charge, as a multiple of the dearest kWh
SERIES_KEYS = ("adder_per_kwh", "floor_per_kwh", "cap_per_kwh")


def price_faults(data: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield every price of a tariff file that can't be one.

    Parameters
    ----------
    data
        The table as it stands in the file, checked or not.
    """
    currency = str(data.get("currency"))
    dearest = DEAREST_PER_KWH.get(currency, DEAREST_PRICE)
    most = min(dearest * DEAREST_DAY_IN_KWH, DEAREST_DAY)
    later = enumerate(_tables(data.get("version")), start=1)
    for place, terms in (("", data), *((f"version no. {number}", version) for number, version in later)):
        for where, key, table in _priced(terms):
            price = _number(table, key)
            low = -dearest if key in SERIES_KEYS else 0
            if price is not None and not low <= price <= dearest:
                yield _no_price(f"{place} {where}".strip(), key, price, (low, dearest, currency))
        day = _number(terms, "standing_per_day")
        if day is not None and not 0 <= day <= most:
            yield day_fault(place, day, most, currency)


def _priced(data: Mapping[str, Any]) -> Iterator[tuple[str, str, Any]]:
    """Every price of a kWh: its place, its key and the table in which it stands."""
    for name in ("band", "tier", "levy"):
        key = "per_kwh" if name == "levy" else "price_per_kwh"
        for number, table in enumerate(_tables(data.get(name)), start=1):
            yield f"{name} no. {number}", key, table
    export, series = data.get("export"), data.get("series")
    yield "[export]", "price_per_kwh", export
    if isinstance(export, Mapping):
        for number, table in enumerate(_tables(export.get("band")), start=1):
            yield f"[export] band no. {number}", "price_per_kwh", table
    for key in SERIES_KEYS:
        yield "[series]", key, series
    yield "[granted]", "price_per_kwh", data.get("granted")


def _tables(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _number(table: Any, key: str) -> float | None:
    value = table.get(key) if isinstance(table, Mapping) else None
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def day_fault(where: str, day: float, most: float, currency: str) -> Fault:
    """Word that a standing charge of a day [currency] can't be one, with the likely meant value."""
    given, allowed = f"standing_per_day = {shown(day)}", f"is outside 0 to {most:g} {currency} per day"
    if day < 0:
        why = "is below 0, and a standing charge is paid, not earned"
        return Fault(where, given, why, f"Write {shown(-day)}, or 0 for none")
    remedy = f"If it is for a month, write {day * 12 / 365:.4g}; if for a year, {day / 365:.4g}"
    remedy += f"; if in hundredths (cents, pence), {day / 100:.4g}" if day / 100 <= most else ""
    return Fault(where, given, allowed, remedy)


def _no_price(where: str, key: str, price: float, bounds: tuple[float, float, str]) -> Fault:
    low, dearest, currency = bounds
    given, allowed = f"{key} = {shown(price)}", f"is outside {low:g} to {dearest:g} {currency} per kWh"
    if price < 0 and low == 0:
        paid = "earnings" if where.startswith("[export]") else "a price"
        return Fault(where, given, f"is below 0, and {paid} of a fixed tariff can't be", f"Write {shown(-price)}, or 0")
    guesses = []
    if low <= price / 100 <= dearest:
        guesses.append(f"If it is in hundredths (cents, pence), write {price / 100:.4g}")
    if dearest / 40 <= abs(price) / 1000 <= dearest:
        guesses.append(f"{'if' if guesses else 'If'} for a MWh, write {price / 1000:.4g}")
    remedy = "; ".join(guesses) or f"Write the price of a kilowatt-hour in {currency}, such as {dearest / 8:g}"
    return Fault(where, given, allowed, remedy)
