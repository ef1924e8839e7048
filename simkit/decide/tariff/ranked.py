"""A home's year on one tariff in; what a ranking says of it: seasons, worst month, bands, peak, break-even, out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from simkit.billing.bill import Bill
from simkit.billing.charge import charge
from simkit.billing.charges.hours import interval_starts
from simkit.tariff.tariff import Tariff
from simkit.year.year import Year

WINTER, SOUTHERN_WINTER = (12, 1, 2), (6, 7, 8)
SAME_PRICE = 1e-9
CHEAP_QUARTER = 0.25


@dataclass(frozen=True, eq=False)
class TariffYear:
    """One year of a home on one tariff, as it is or with something moved.

    Attributes
    ----------
    year
        The simulated year.
    moved
        What is moved against the home as it is; empty for nothing.
    granted
        Whether the half-hours that the supplier may grant are counted, as a scenario.
    """

    year: Year
    moved: tuple[str, ...] = ()
    granted: bool = False

    @cached_property
    def bill(self) -> Bill:
        """The year charged, fuel included."""
        if not self.granted:
            return self.year.bill
        year, hours = self.year, self.year.axis.hours
        bought, sold = (self.year.flow(name) * hours for name in ("grid_import", "grid_export"))
        country = year.case.site.country
        bill = charge(year.case.tariff, year.axis, bought, sold, country=country, granted=True)
        fuel = [line for line in year.bill.lines if line.kind in ("fuel", "stove") or "standing charge" in line.label]
        return bill + Bill.of(bill.currency, [line for line in fuel if line.label not in {x.label for x in bill.lines}])

    @property
    def cost(self) -> float:
        """The year's cost, all in [currency]."""
        return self.bill.total

    @property
    def winter_cost(self) -> float:
        """Cost of December, January and February; of June, July and August in the south [currency]."""
        months = WINTER if self.year.case.site.latitude_deg >= 0 else SOUTHERN_WINTER
        return float(sum(self.bill.months[month - 1] for month in months))

    @property
    def worst_month(self) -> tuple[int, float]:
        """Most expensive month, 1 to 12, and its cost [currency]."""
        month = int(np.argmax(self.bill.months))
        return month + 1, float(self.bill.months[month])

    @property
    def cheap_share(self) -> float | None:
        """Share of what is bought in the band of the lowest price [-]; None where all is one price.

        Where each hour has its own price, the share bought in the cheapest quarter of all hours.
        """
        if any(line.kind == "market" for line in self.bill.lines):
            price, bought = self.year.setting.signal.import_per_kwh, self.year.flow("grid_import")
            return float(bought[price <= np.quantile(price, CHEAP_QUARTER)].sum() / bought.sum())
        return cheap_share(self.bill)

    @property
    def peak_kw(self) -> float:
        """Highest mean import over the interval of the tariff's own charge on peaks, or over a step [kW]."""
        axis = self.year.axis
        power = self.year.flow("grid_import")
        demand = next((terms.demand for terms in self.year.case.tariff.versions if terms.demand), None)
        if demand is None:
            return float(power.max())
        starts = interval_starts(axis, demand.interval_minutes, utc=self.year.case.tariff.clock == "utc")
        assert starts is not None  # the tariff was laid on this axis
        length = np.diff(np.append(starts, axis.steps))
        return float((np.add.reduceat(power, starts) / length).max())


@dataclass(frozen=True, eq=False)
class RankedTariff:
    """One tariff of a ranking.

    Attributes
    ----------
    tariff
        The tariff.
    as_is, shifted
        The home's year on it as it is, and with the best of what may be moved.
    price_effect
        As it is, against the home's own tariff as it is [currency]: what the prices alone do.
    behaviour_effect
        Shifted against as it is on this same tariff [currency]: what the moving alone does, never above 0.
    break_even_share
        Share of use in the cheapest band at which this tariff costs as much as the home's own does now; None where it
        has no bands of different price, or a file of prices or tiers beside them. Below 0 it is always cheaper, above 1
        never.
    """

    tariff: Tariff
    as_is: TariffYear
    shifted: TariffYear
    price_effect: float
    behaviour_effect: float
    break_even_share: float | None

    @property
    def name(self) -> str:
        """Its name; of the scenario with granted half-hours, with that said."""
        return f"{self.tariff.name} (scenario: granted half-hours)" if self.as_is.granted else self.tariff.name


def cheap_share(bill: Bill) -> float | None:
    """Share of what is bought in the band of the lowest price [-]; None without bands of different price."""
    energy = [line for line in bill.lines if line.kind == "energy"]
    if len({round(line.price, 9) for line in energy}) < 2:
        return None
    least = min(line.price for line in energy)
    bought = sum(line.quantity for line in energy)
    cheap = sum(line.quantity for line in energy if line.price <= least + SAME_PRICE)
    return cheap / bought if bought else None


def break_even_share(bill: Bill, other_cost: float) -> float | None:
    """Share of use in the cheapest band at which a bill comes to another cost, its kilowatt-hours as they are [-].

    own: fixed + kWh × (share × cheap + (1 − share) × rest) = other cost, where `rest` is the mean of the other bands as
    they are used and `fixed` all that does not go by band.
    """
    share = None if any(line.kind in ("market", "tier") for line in bill.lines) else cheap_share(bill)
    energy = [line for line in bill.lines if line.kind == "energy"]
    if share is None or not 0.0 <= share < 1.0:
        return None
    bought = sum(line.quantity for line in energy)
    spent = sum(line.quantity * line.price for line in energy)
    cheap = min(line.price for line in energy)
    rest = (spent - share * bought * cheap) / ((1.0 - share) * bought)
    fixed = bill.total - spent
    return float((rest - (other_cost - fixed) / bought) / (rest - cheap))
