"""What the user says of the battery in, a validated `Battery` out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from simkit.errors import Fault
from simkit.schema.section import Section, number, said

LEAST_HEALTH = 0.2  # own


class Battery(Section):
    """The battery and when it works; its three switches are independent."""

    usable_kwh: float = number(0.1, 200, "kWh", "Energy that can be taken from a full battery", example=8)
    charge_kw: float = number(0.05, 100, "kW", "Most power going in", example=3.5)
    discharge_kw: float = number(0.05, 100, "kW", "Most power going out", example=3.5)
    charge_efficiency: float = number(0.5, 1, "share", "Energy stored over energy taken", example=0.95)
    discharge_efficiency: float = number(0.5, 1, "share", "Energy given over energy taken from the store", example=0.95)
    coupling: Literal["ac", "dc"] = said(
        "Where it sits: on the grid side with an inverter of its own (ac), or behind that of the panels (dc), whose "
        "loss stored sun is spared, whose power both then share, and which the two efficiencies then leave out",
        example="ac",
    )
    idle_w: float = number(0, 300, "W", "Power taken all the time by its electronics", example=15)
    reserve_share: float = number(0, 0.95, "share", "Share of the charge that is kept back", example=0.1)
    wear_per_kwh: float = number(
        0,
        10,
        "currency per kWh",
        "Cost of wear of a kWh given, which a cycle must earn beside its losses; "
        "it stands beside savings and in no bill",
        example=0.03,
    )
    store_surplus: bool = said("Whether it stores surplus of the panels", example=True)
    fill_below_price: float | None = number(
        -100,
        100,
        "currency per kWh",
        "Price below which it is filled from the grid; never when left out",
        example=0.15,
        absent=True,
    )
    charge_to: float = number(0, 1, "share", "Share to which it is filled from the grid", example=1.0)
    fill_by: Literal["share", "tomorrow", "yesterday"] = said(
        "What that fill goes by: the share alone, or no more than the expensive hours ahead will take by the weather "
        "of tomorrow, or of yesterday as a controller without a forecast takes it",
        example="share",
    )
    fade_per_year: float = number(0, 0.2, "share", "Content lost by each year of age", example=0.015)
    fade_per_cycle: float = number(0, 0.01, "share", "Content lost by each full cycle", example=0.00003)
    age_years: float = number(0, 40, "years", "Age in the year that is run", example=3)
    cycles_done: float = number(0, 30000, "cycles", "Full cycles before the year that is run", example=600)
    sell_above_price: float | None = number(
        -100,
        100,
        "currency per kWh",
        "Price above which it sells to the grid; never when left out",
        example=0.4,
        absent=True,
    )

    @property
    def health(self) -> float:
        """Share of the content of a new battery that is left: what years and cycles took is taken off together."""
        return max(0.0, 1.0 - self.fade_per_year * self.age_years - self.fade_per_cycle * self.cycles_done)

    @property
    def day_kwh(self) -> float:
        """Most that a whole day of charging stores [kWh]."""
        return self.charge_kw * 24.0 * self.charge_efficiency

    def clashes(self) -> Iterator[Fault]:
        """Yield switches that contradict each other."""
        if self.charge_to < self.reserve_share:
            yield Fault(
                "",
                f"charge_to = {self.charge_to:g}",
                f"is below reserve_share = {self.reserve_share:g}, the charge that is always kept",
                "Write a share above the reserve, 1 for full",
            )
        if self.usable_kwh > self.day_kwh:
            yield Fault(
                "",
                f"usable_kwh = {self.usable_kwh:g}",
                f"is more than charge_kw = {self.charge_kw:g} can fill in a whole day, {self.day_kwh:.3g} kWh",
                "Look up both: the power in kW and the content in kWh",
            )
        if self.health < LEAST_HEALTH:
            yield Fault(
                "",
                f"age_years = {self.age_years:g} and cycles_done = {self.cycles_done:g}",
                f"leave {self.health:.0%} of the content by the stated fade, and that is no battery any more",
                "Lower the age, the cycles or the fade",
            )
        low, high = self.fill_below_price, self.sell_above_price
        if low is not None and high is not None and high <= low:
            yield Fault(
                "",
                f"sell_above_price = {high:g}",
                f"is not above fill_below_price = {low:g}, so that it would sell at a loss",
                "Sell at a price above the one at which it is filled",
            )
