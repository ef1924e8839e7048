"""A year of imported and exported kilowatt-hours, or of fuel, and its terms in; what is charged out, line by line.

Lines come from dated rules on civil days: energy by band, by a file of prices and by tier, levies, peak power, a
standing charge for each local civil date, rebates, tax as the tariff states it, and what export earns. Each line of
each month is rounded to the smallest unit of the currency, half away from zero; tax is taken on the rounded lines of
its month. One home and many homes take the same road, so that a lane's amount equals the total of that home's own bill.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import ROUNDING, Bill, BillLine, Part, in_units
from simkit.billing.charges.energy_lines import Following, KwhRows
from simkit.billing.charges.hours import by_month, runs
from simkit.billing.charges.on_axis import Charged, laid
from simkit.billing.price_signal import signal_notes
from simkit.case.heating.boiler import Fuel
from simkit.case.heating.other_heat import Stove
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault
from simkit.notation import at_rate
from simkit.tariff.tariff import Tariff

FUELS = {"oil": "Heating oil", "gas": "Gas", "lpg": "LPG"}
UNITS = {"litre": "l", "m3": "m³", "ft3_100": "100 ft³"}


def parts_of(
    currency: str, terms: Charged, import_kwh: Floats, export_kwh: Floats | None, following: Sequence[Following] = ()
) -> list[Part]:
    """Lines of an electricity bill, for one home or for many."""
    if terms.netting is not None and export_kwh is not None:
        import_kwh, export_kwh = terms.netting.left_over(import_kwh, export_kwh)
    parts = _by_kwh(terms.bought, terms.bought.month_sums(import_kwh, following))
    if terms.tiers is not None:
        for tier, kwh in zip(terms.tiers.lines, terms.tiers.month_kwh(import_kwh), strict=True):
            parts.append(replace(tier, quantities=kwh))
    parts.sort(key=lambda part: part.kind in ("levy", "rebate"))
    for peak in terms.peaks:
        parts.append(replace(peak.line, quantities=peak.month_kw(import_kwh)))
    for line in terms.fixed:
        parts.append(replace(line, quantities=_each_lane(line.quantities, import_kwh)))
    parts += taxes_on(parts, currency)
    if terms.sold is not None and export_kwh is not None:
        parts += _by_kwh(terms.sold, terms.sold.month_sums(export_kwh))
    return parts


def _by_kwh(rows: KwhRows, sums: Floats) -> list[Part]:
    """Lines that go with energy, from the sums of their rows."""
    return [
        Part(line.label, line.kind, line.unit, sums[line.row], line.price, line.tax,
              None if line.money_row < 0 else sums[line.money_row])
        for line in rows.lines
    ]  # fmt: skip


def taxes_on(parts: Sequence[Part], currency: str) -> list[Part]:
    """A line for each tax that is added, taken on the rounded lines of its month."""
    found = []
    for tax in dict.fromkeys(part.tax for part in parts if part.tax):
        net = in_units(np.sum([part.cents(currency) for part in parts if part.tax == tax], axis=0), currency)
        found.append(Part(at_rate("Tax", tax), "tax", currency, net, tax))
    return found


def line_of(part: Part, currency: str) -> BillLine:
    """Round a line of one home by month."""
    cents = part.cents(currency)
    quantity = float(part.quantities.sum())
    price = 0.0 if part.kind == "tax" else part.price
    if part.money is not None:
        price = float(part.money.sum()) / quantity if quantity else 0.0
    return BillLine(
        label=part.label,
        quantity=quantity,
        unit=part.unit,
        amount=float(in_units(cents.sum(), currency)),
        months=in_units(cents, currency),
        kind=part.kind,
        quantities=part.quantities,
        price=price * (1.0 + part.tax),
        tax=part.tax,
    )


def charge(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, following: Sequence[Following] = (), granted: bool = False,
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
    granted
        Whether the cheap half-hours that the supplier may choose are counted, as a scenario.

    Returns
    -------
    Bill
        The lines, by month, and their exact sum.
    """
    terms = laid(tariff, axis, country, granted=granted)
    sold = None if export_kwh is None else _energy("export_kwh", export_kwh, (axis.steps,))
    bought = _energy("import_kwh", import_kwh, (axis.steps,))
    parts = parts_of(tariff.currency, terms, bought, sold, following)
    lines = [line_of(part, tariff.currency) for part in parts]
    inside = dict.fromkeys(v.tax for v in tariff.versions if v.prices_include_tax and v.tax)
    taxes = [at_rate("Prices include tax", tax, ".") for tax in inside]
    return Bill.of(tariff.currency, lines, (*signal_notes(tariff, axis, terms), *taxes, ROUNDING))


def charge_lanes_months(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, granted: bool = False,
) -> Floats:  # fmt: skip
    """Charge many homes at once by month, and a hundred times as fast as one by one.

    Parameters
    ----------
    tariff, axis, country, granted
        As for `charge`.
    import_kwh, export_kwh
        Energy bought and sold in each step of each home, (steps, lanes) [kWh]; trusted to be finite.

    Returns
    -------
    ndarray
        What `charge` gives for each home, (12, lanes) [currency], to the cent.
    """
    for name, kwh in (("import_kwh", import_kwh), ("export_kwh", export_kwh)):
        if kwh is not None:
            _require_shape(name, kwh, (axis.steps, import_kwh.shape[-1]))
    terms = laid(tariff, axis, country, granted=granted)
    return _sums(parts_of(tariff.currency, terms, import_kwh, export_kwh), import_kwh.shape[1], tariff.currency)


def _sums(parts: Sequence[Part], lanes: int, currency: str) -> Floats:
    """Sums of rounded lines by month, (12, lanes) [currency]."""
    none = np.zeros((12, lanes), dtype=np.int64)
    return in_units(np.sum([none, *(part.cents(currency) for part in parts)], axis=0), currency)


def fixed_cost(tariff: Tariff, axis: TimeAxis, *, country: str | None = None) -> float:
    """What a year costs that uses nothing: standing charges, levies by day, least peaks, rebates, tax [currency]."""
    return charge(tariff, axis, np.zeros(axis.steps), country=country).total


def charge_fuel(fuel: Fuel, axis: TimeAxis, fuel_kwh_per_step: Floats, *, currency: str, keeps_supply: bool) -> Bill:
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


def charge_stove(stove: Stove, axis: TimeAxis, heat_kw: Floats, *, currency: str) -> Bill:
    """Charge what a stove burns in a year, in the months in which it gives its heat, (steps,) [kW]; tax included."""
    by_month_kw = np.add.reduceat(heat_kw, runs(axis.month))
    quantities = stove.amount * by_month_kw / by_month_kw.sum()
    name, unit = f"{stove.burns.capitalize()} for the {stove.kind}", UNITS.get(stove.unit, stove.unit)
    return Bill.of(currency, [line_of(Part(name, "stove", unit, quantities, stove.price_per_unit), currency)])


def charge_fuel_lanes_months(
    fuel: Fuel, axis: TimeAxis, fuel_kwh_per_step: Floats, *, currency: str, keeps_supply: bool
) -> Floats:
    """Charge the fuel of many homes by month, (12, lanes) [currency]; each month rounded as in `charge_fuel`."""
    _require_shape("fuel_kwh_per_step", fuel_kwh_per_step, (axis.steps, fuel_kwh_per_step.shape[-1]))
    return _sums(_fuel_parts(fuel, axis, fuel_kwh_per_step, keeps_supply), fuel_kwh_per_step.shape[1], currency)


def _fuel_parts(fuel: Fuel, axis: TimeAxis, kwh: Floats, keeps_supply: bool) -> list[Part]:
    """Lines of a fuel bill, for one home or for many."""
    if fuel.kind not in FUELS:
        return []
    name, unit, price = FUELS[fuel.kind], UNITS.get(fuel.unit, fuel.unit), fuel.price_per_unit
    burnt = np.add.reduceat(kwh, runs(axis.month), axis=0)
    days = _each_lane(by_month(axis, np.ones(len(axis.dates), dtype=bool)), kwh)
    other = days * (fuel.other_use_kwh / len(axis.dates))
    parts = [Part(f"{name} burnt for heat", "fuel", unit, burnt / fuel.kwh_per_unit, price)]
    if fuel.other_use_kwh:
        parts.append(Part(f"{name} for other uses", "fuel", unit, other / fuel.kwh_per_unit, price))
    if fuel.delivery_fee and fuel.delivery_amount:
        deliveries = (burnt + other) / fuel.kwh_per_unit / fuel.delivery_amount
        parts.append(Part(f"{name} deliveries", "fuel", "deliveries", deliveries, fuel.delivery_fee))
    if fuel.standing_per_day:
        due = np.asarray(burnt.sum(axis=0) + other.sum(axis=0) > 0) | keeps_supply
        standing = fuel.standing_per_day
        parts.append(Part(f"{name} standing charge", "standing", "days", days * due, standing))
    return parts


def _each_lane(months: Floats, kwh: Floats) -> Floats:
    """Repeat figures by month for each lane of `kwh`: (12,) stays or becomes (12, lanes)."""
    return months if kwh.ndim == 1 else np.broadcast_to(months[:, None], (12, kwh.shape[1]))


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
