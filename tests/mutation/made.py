"""Small mistakes made by hand, each with the tests that must catch it: those that nobody would draw by chance.

A mutation whose old text is no longer in its file is an error too: it moves with the code.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from mutation.mutant import PACKAGE, Mutant


class Mutation(NamedTuple):
    """A mistake: the text of a file that is changed, into what, and the tests that have to notice."""

    name: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]
    compiled: bool = True

    def mutant(self) -> Mutant:
        """The file as it is with the mistake; LookupError where its old text doesn't stand there once."""
        text = Path(PACKAGE / self.file).read_text(encoding="utf-8")
        if text.count(self.old) != 1:
            raise LookupError(f"{self.name}: its old text stands {text.count(self.old)} times in {self.file}")
        return Mutant(self.name, self.file, text.replace(self.old, self.new), self.tests, self.compiled)


# fmt: off
MUTATIONS = (
    Mutation(
        "coldest week two days late", "weather/coldest.py",
        "    first = int(np.argmin(means))\n", "    first = min(int(np.argmin(means)) + 2, len(means) - 1)\n",
        ("weather/test_coldest.py",),
    ),
    Mutation(
        "idle draw of the battery left out of the split of costs", "year/costs.py",
        'drawn = used + year.flow("battery_charge") + year.flow("battery_idle")', 'drawn = used + year.flow("battery_charge")',
        ("year/test_costs.py::test_a_battery_that_never_works_costs_its_idle_draw_and_nothing_else_more",),
    ),
    Mutation(
        "charging left out of the load by band", "year/costs.py",
        "drawn = np.sum(list(parts.values()), axis=0)", "drawn = np.sum(list(parts.values())[:-1], axis=0)",
        ("year/test_costs_by_band.py",),
    ),
    Mutation(
        "standing charges shared out with the energy", "year/costs.py",
        'groups["standing_cost"] = bill.fixed_amount', 'groups["standing_cost"] = 0.0', ("year/test_costs.py",),
    ),
    Mutation(
        "lines of two bills paired by name alone", "billing/matching.py",
        "return name + 2.0 * near", "return name", ("billing/test_check.py",),
    ),
    Mutation(
        "lines of two bills paired by price alone", "billing/matching.py",
        "return name + 2.0 * near", "return near", ("billing/test_check.py",),
    ),
    Mutation(
        "what still fits into a battery divided by steps an hour", "physics/battery.py",
        "stored_kwh) * per_efficiency * per_hour\n    wanted", "stored_kwh) * per_efficiency / per_hour\n    wanted",
        ("physics/test_battery.py",), compiled=False,
    ),
    Mutation(
        "what a battery is filled to divided by steps an hour", "physics/battery.py",
        "charge_to * usable_kwh - stored_kwh) * per_efficiency * per_hour",
        "charge_to * usable_kwh - stored_kwh) * per_efficiency / per_hour",
        ("physics/test_battery.py",), compiled=False,
    ),
    Mutation(
        "what a battery holds divided by steps an hour", "physics/battery.py",
        "reserve_kwh) * efficiency * per_hour", "reserve_kwh) * efficiency / per_hour",
        ("physics/test_battery.py",), compiled=False,
    ),
    Mutation(
        "intervals of a peak count that lie mostly outside its hours", "billing/charges/peaks.py",
        "/ length >= 0.5", "/ length > 0.0", ("billing/charges", "billing/test_charge.py"),
    ),
    Mutation(
        "a peak divided by whole intervals where the clock makes one short", "billing/charges/peaks.py",
        "/ self.hours[self.counts, None]", "/ self.hours.max()", ("billing/charges", "billing/test_charge.py"),
    ),
    Mutation(
        "sign of a clock behind UTC", "readers/stamps.py",
        'return (-1.0 if text[0] == "-" else 1.0) * (', "return (", ("meter/reading/test_reading.py", "readers/test_prices.py"),
    ),
    Mutation(
        "no note on prices that were held over a gap", "readers/price_grid.py",
        "        notes.append(\n            Localised(", "        _ = (\n            Localised(", ("readers/test_prices.py",),
    ),
    Mutation(
        "no note on prices outside the year", "readers/price_grid.py",
        "    if len(utc) > inside.sum():\n", "    if False:\n", ("readers/test_prices.py",),
    ),
    Mutation(
        "a gap in prices measured in intervals instead of hours", "readers/price_grid.py",
        "* step / 60.0\n    if longest", "* 1.0\n    if longest", ("readers/test_prices.py",),
    ),
    Mutation(
        "gaps in prices of more than a day are offered to be held", "readers/price_grid.py",
        "    if longest <= 24:\n", "    if longest <= 240:\n", ("readers/test_prices.py",),
    ),
    Mutation(
        "no note on prices that change inside a step", "billing/price_signal.py",
        "    if terms.split:\n", "    if False:\n", ("billing/test_price_signal.py",),
    ),
    Mutation(
        "no note on a tariff that is younger than the year", "billing/price_signal.py",
        "    if axis.dates[0] < np.datetime64(tariff.valid_from):\n", "    if False:\n", ("billing/test_price_signal.py",),
    ),
    Mutation(
        "a day with an hour missing counts as whole", "meter/reading/reading.py",
        "least: float = 0.98", "least: float = 0.90", ("meter/reading",),
    ),
    Mutation(
        "no day with a gap of a quarter of an hour counts", "meter/reading/reading.py",
        "least: float = 0.98", "least: float = 1.00", ("meter/reading",),
    ),
    Mutation(
        "the short day of a clock change held against 24 hours", "meter/reading/reading.py",
        "covered.to_numpy() >= least * lengths", "covered.to_numpy() >= least * 24.0", ("meter/reading",),
    ),
    Mutation(
        "ten times as many hours called warm enough", "year/comfort.py",
        "WARM_HOURS, COOL_HOURS = 100.0, 400.0", "WARM_HOURS, COOL_HOURS = 1000.0, 4000.0", ("year/test_comfort.py",),
    ),
    Mutation(
        "a few hours more called a little cool", "year/comfort.py",
        "WARM_HOURS, COOL_HOURS = 100.0, 400.0", "WARM_HOURS, COOL_HOURS = 100.0, 402.0", ("year/test_comfort.py",),
    ),
    Mutation(
        "a room at 17.5 degrees called safe", "physics/constants.py",
        "SAFE_ROOM_C = 18.0", "SAFE_ROOM_C = 17.5", ("year/test_comfort.py",),
    ),
    Mutation(
        "the first hour under 18 degrees overlooked", "year/comfort.py",
        "np.asarray(under_18_h) < 1e-9", "np.asarray(under_18_h) < 1.0", ("year/test_comfort.py",),
    ),
    Mutation(
        "recovery lift dropped", "physics/space_step.py",
        "flow + recovery_lift_k(missing, home.recovery_lift_k) + room", "flow + room",
        ("physics/test_step.py",), compiled=False,
    ),
    Mutation(
        "standing loss warms the store", "physics/hot_water.py",
        "cold = cold_c - decay * (cold_c - room_c)", "cold = cold_c + decay * (cold_c - room_c)",
        ("physics/test_hot_water.py",), compiled=False,
    ),
    Mutation(
        "halves of a cent rounded towards zero", "billing/bill.py",
        "np.floor(np.abs(scaled) + (0.5 + TIE))", "np.ceil(np.abs(scaled) - (0.5 + TIE))", ("billing/test_bill.py",),
    ),
    Mutation(
        "amounts below zero rounded upwards", "billing/bill.py",
        "np.copysign(np.floor(np.abs(scaled) + (0.5 + TIE)), scaled)", "np.floor(scaled + (0.5 + TIE))",
        ("billing/test_bill.py",),
    ),
    Mutation(
        "tax on unrounded lines", "billing/charge.py",
        "net = in_units(np.sum([part.cents(currency) for part in parts if part.tax == tax], axis=0), currency)",
        "net = np.sum([part.amounts for part in parts if part.tax == tax], axis=0)", ("billing/test_charge.py",),
    ),
    Mutation(
        "export of an hour netted in each step only", "billing/charges/netting.py",
        "        key = np.searchsorted(starts, np.arange(axis.steps), side=\"right\") - 1\n",
        "        key = np.arange(axis.steps)\n",
        ("tariff/test_tariff_months.py",),
    ),
    Mutation(
        "export of a month netted in each step only", "billing/charges/netting.py",
        "        key = period * max(len(bands), 1) + band\n", "        key = np.arange(axis.steps)\n",
        ("tariff/test_tariff_months.py",),
    ),
    Mutation(
        "export of a month netted across bands", "billing/charges/netting.py",
        "period * max(len(bands), 1) + band", "period", ("tariff/test_tariff_months.py",),
    ),
    Mutation(
        "export set off where the contract nets nothing", "billing/charge.py",
        "    if terms.netting is not None and export_kwh is not None:\n        import_kwh, export_kwh = terms.netting.left_over(import_kwh, export_kwh)\n",
        "    if export_kwh is not None:\n        off = np.minimum(import_kwh, export_kwh)\n        import_kwh, export_kwh = import_kwh - off, export_kwh - off\n        if terms.netting is not None:\n            import_kwh, export_kwh = terms.netting.left_over(import_kwh, export_kwh)\n",
        ("tariff/test_tariff_months.py",),
    ),
    Mutation(
        "cold water coldest in January", "profiles/water.py",
        "COLDEST_DAY = 50", "COLDEST_DAY = 20", ("profiles/test_water.py",),
    ),
    Mutation(
        "cold water of the south in the season of the north", "profiles/water.py",
        "(days / 2 if southern else 0)", "0", ("profiles/test_water.py",),
    ),
    Mutation(
        "defrosting taken off points that hold it", "assemble/series.py",
        ' and "defrost" not in machine.points_hold', "", ("assemble/test_machine.py",),
    ),
    Mutation(
        "capacity not lowered by frost", "assemble/series.py",
        "made.capacity_kw[:, k]) * factor * runs", "made.capacity_kw[:, k]) * runs", ("assemble/test_machine.py",),
    ),
)
# fmt: on
