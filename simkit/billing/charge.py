"""A year of imported and exported kilowatt-hours, or of fuel, and its terms in; what is charged out, line by line.

Lines come from dated rules on civil days: energy by band, by a file of prices and by tier, levies, peak power, a
standing charge for each local civil date, rebates, tax as the tariff states it, and what export earns. Each line of
each month is rounded to the smallest unit of the currency, half away from zero; tax is taken on the rounded lines of
its month. One home and many homes take the same road, so that a lane's amount equals the total of that home's own bill.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import ROUNDING, Bill, in_units, rounded
from simkit.billing.charges.energy_lines import Following
from simkit.billing.charges.on_axis import laid
from simkit.billing.parts import Part, each_lane, line_of, parts_of
from simkit.billing.price_signal import signal_notes
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault
from simkit.tariff.tariff import Tariff

FUELS = {"oil": "Heating oil", "gas": "Gas", "lpg": "LPG"}
UNITS = {"litre": "l", "m3": "m³", "ft3_100": "100 ft³"}


class FuelTerms(Protocol):
    """What a fuel costs, as the [fuel] table of a case says it."""

    @property
    def kind(self) -> str:
        """Kind of fuel: "oil", "gas", "lpg"; anything else is not bought by the unit."""

    @property
    def unit(self) -> str:
        """Unit in which it is sold."""

    @property
    def price_per_unit(self) -> float:
        """Price of a unit, tax included [currency/unit]."""

    @property
    def kwh_per_unit(self) -> float:
        """Gross energy of a unit [kWh/unit]."""

    @property
    def standing_per_day(self) -> float:
        """Standing charge of a day, tax included [currency/d]."""

    @property
    def other_use_kwh(self) -> float:
        """What other things burn in a year [kWh]."""


def charge(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, following: Sequence[Following] = (), extra_slots: bool = False,
) -> Bill:  # fmt: skip
    """Charge one home's year at a tariff.

    Parameters
    ----------
    tariff, axis
        The tariff, and the time axis of the energies.
    import_kwh
        Energy bought in each step, (steps,) [kWh], 0 or more, taken to be spread evenly over the step.
    export_kwh
        Energy sold in each step, (steps,) [kWh], 0 or more; None for none.
    country
        Country of the home, asked of tariffs that price public holidays.
    following
        Parts of `import_kwh` that run only inside a control window. Where the window and a band's edge lie inside one
        step (a meter that is some minutes late, and a timer set by it), they are priced by the window's own minutes.
    extra_slots
        Whether the cheap half-hours that the supplier may choose are counted, as a scenario.

    Returns
    -------
    Bill
        The lines, by month, and their exact sum.
    """
    terms = laid(tariff, axis, country, extra_slots=extra_slots)
    sold = None if export_kwh is None else _energy("export_kwh", export_kwh, (axis.steps,))
    bought = _energy("import_kwh", import_kwh, (axis.steps,))
    parts = parts_of(tariff.currency, terms, bought, sold, following)
    lines = [line_of(part, tariff.currency) for part in parts]
    return Bill.of(tariff.currency, lines, (*signal_notes(tariff, axis, terms), *_tax_notes(tariff), ROUNDING))


def _tax_notes(tariff: Tariff) -> tuple[str, ...]:
    inside = [terms.tax for terms in tariff.versions if terms.prices_include_tax and terms.tax]
    return tuple(f"Prices include tax at {tax * 100:g} %." for tax in dict.fromkeys(inside))


def charge_lanes(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, extra_slots: bool = False,
) -> Floats:  # fmt: skip
    """Charge many homes at once: the totals that `charge` gives for each, and a hundred times as fast.

    Parameters
    ----------
    tariff, axis, country, extra_slots
        As for `charge`.
    import_kwh, export_kwh
        Energy bought and sold in each step of each home, (steps, lanes) [kWh]; trusted to be finite.

    Returns
    -------
    ndarray
        Total of the year, (lanes,) [currency], to the cent.
    """
    months = charge_lanes_months(tariff, axis, import_kwh, export_kwh, country=country, extra_slots=extra_slots)
    return in_units(rounded(months, tariff.currency).sum(axis=0), tariff.currency)


def charge_lanes_months(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, extra_slots: bool = False,
) -> Floats:  # fmt: skip
    """Charge many homes at once by month, (12, lanes) [currency]; arguments as for `charge_lanes`."""
    for name, kwh in (("import_kwh", import_kwh), ("export_kwh", export_kwh)):
        if kwh is not None:
            _require_shape(name, kwh, (axis.steps, import_kwh.shape[-1]))
    terms = laid(tariff, axis, country, extra_slots=extra_slots)
    parts = parts_of(tariff.currency, terms, import_kwh, export_kwh)
    none = np.zeros((12, import_kwh.shape[-1]), dtype=np.int64)
    return in_units(np.sum([none, *(part.cents(tariff.currency) for part in parts)], axis=0), tariff.currency)


def fixed_cost(tariff: Tariff, axis: TimeAxis, *, country: str | None = None) -> float:
    """What a year costs that uses nothing: standing charges, levies by day, least peaks, rebates, tax [currency]."""
    return charge(tariff, axis, np.zeros(axis.steps), country=country).total


def charge_fuel(
    fuel: FuelTerms, axis: TimeAxis, fuel_kwh_per_step: Floats, *, currency: str, keeps_supply: bool
) -> Bill:
    """Charge one home's year of fuel as it is burnt, not as it is delivered.

    What other things burn (a hob) is spread evenly over the days and is always charged, whatever heats the home. The
    standing charge is due for every day of a year in which anything burns the fuel, or the supply is kept.

    Parameters
    ----------
    fuel, axis
        Terms of the fuel, prices with tax; "electricity" and "none" give a bill without lines.
    fuel_kwh_per_step
        Fuel burnt for heating and hot water in each step, (steps,) [kWh, gross], 0 or more.
    currency
        ISO 4217 code.
    keeps_supply
        Whether the supply stays connected although nothing here burns it.

    Returns
    -------
    Bill
        Burnt fuel, other use and standing charge, each rounded by month as in `charge`.
    """
    parts = _fuel_parts(fuel, axis, _energy("fuel_kwh_per_step", fuel_kwh_per_step, (axis.steps,)), keeps_supply)
    lines = [line_of(part, currency) for part in parts]
    notes = (f"{FUELS[fuel.kind]} is charged as it is burnt, tax included.", ROUNDING) if lines else ()
    return Bill.of(currency, lines, notes)


def charge_fuel_lanes_months(
    fuel: FuelTerms, axis: TimeAxis, fuel_kwh_per_step: Floats, *, currency: str, keeps_supply: bool
) -> Floats:
    """Charge the fuel of many homes by month, (12, lanes) [currency]; each month rounded as in `charge_fuel`."""
    _require_shape("fuel_kwh_per_step", fuel_kwh_per_step, (axis.steps, fuel_kwh_per_step.shape[-1]))
    parts = _fuel_parts(fuel, axis, fuel_kwh_per_step, keeps_supply)
    none = np.zeros((12, fuel_kwh_per_step.shape[1]), dtype=np.int64)
    return in_units(np.sum([none, *(part.cents(currency) for part in parts)], axis=0), currency)


def _fuel_parts(fuel: FuelTerms, axis: TimeAxis, kwh: Floats, keeps_supply: bool) -> list[Part]:
    """Lines of a fuel bill, for one home or for many."""
    if fuel.kind not in FUELS:
        return []
    name, unit, price = FUELS[fuel.kind], UNITS.get(fuel.unit, fuel.unit), fuel.price_per_unit
    burnt = np.add.reduceat(kwh, np.flatnonzero(np.diff(axis.month, prepend=0)), axis=0)
    days = each_lane(_days_of_months(axis), kwh)
    other = days * (fuel.other_use_kwh / len(axis.dates))
    parts = [Part(f"{name} burnt for heat", "fuel", unit, burnt / fuel.kwh_per_unit, price)]
    if fuel.other_use_kwh:
        parts.append(Part(f"{name} for other uses", "fuel", unit, other / fuel.kwh_per_unit, price))
    fee, size = getattr(fuel, "delivery_fee", None), getattr(fuel, "delivery_amount", None)
    if fee and size:
        deliveries = (burnt + other) / fuel.kwh_per_unit / size
        parts.append(Part(f"{name} deliveries", "fuel", "deliveries", deliveries, fee))
    if fuel.standing_per_day:
        due = np.asarray(burnt.sum(axis=0) + other.sum(axis=0) > 0) | keeps_supply
        standing = fuel.standing_per_day
        parts.append(Part(f"{name} standing charge", "standing", "days", days * due, standing))
    return parts


def _days_of_months(axis: TimeAxis) -> Floats:
    return np.bincount(axis.dates.astype("datetime64[M]").astype(np.int64) % 12, minlength=12).astype(np.float64)


def _require_shape(name: str, kwh: Floats, shape: tuple[int, ...]) -> None:
    if np.shape(kwh) != shape:
        has, needs = (" × ".join(str(length) for length in of) for of in (np.shape(kwh), shape))
        why = f"does not fit the time axis, which asks for {needs}"
        raise DataError(Fault("", f"{name} of {has} values", why, "Give both on one time axis"))


def _energy(name: str, kwh: Floats, shape: tuple[int, ...]) -> Floats:
    """Check energies of one home: on the axis, finite and not negative."""
    kwh = np.asarray(kwh, dtype=np.float64)
    _require_shape(name, kwh, shape)
    if not kwh.min() >= 0 or not np.isfinite(kwh.sum()):
        wrong = int(np.flatnonzero(~(np.isfinite(kwh) & (kwh >= 0)))[0])
        remedy = "Give import and export apart, each 0 or more, and mend gaps first"
        raise DataError(Fault("", f"{name} = {kwh[wrong]} in step {wrong}", "is not an energy of 0 or more", remedy))
    return kwh
