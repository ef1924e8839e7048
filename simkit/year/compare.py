"""A case with its options in, one simulated year for each out, on one time axis and against one comfort."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import pandas as pd

from simkit.assemble.setting import shared_step
from simkit.case.build import Case
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year


@dataclass(frozen=True, eq=False, repr=False)
class Comparison:
    """The options of a case side by side.

    Attributes
    ----------
    years
        One simulated year by option, in the order of the case.
    baseline
        Name of the option that the others are compared with; the first where the case names none.
    """

    years: tuple[Year, ...]
    baseline: str

    @property
    def base(self) -> Year:
        """The year that the others are compared with."""
        return next(year for year in self.years if year.case.name == self.baseline)

    def saving(self, year: Year) -> float:
        """What an option saves a year against the baseline [currency]."""
        return self.base.bill.total - year.bill.total

    def saving_range(self, year: Year) -> Range:
        """The range of that saving, taken on differences: both options meet the same samples [currency]."""
        return Range.of(self.base.samples.total - year.samples.total)

    def table(self, *, ranges: bool = True) -> pd.DataFrame:
        """One row by option: cost, its range, saving and its range, SPF H4, energy, carbon and comfort.

        Money in the currency of the case, energy in kWh, carbon in kg.
        """
        rows = []
        for year in self.years:
            row: dict[str, object] = {"option": year.case.name, "cost": year.bill.total}
            if ranges:
                cost, saved = year.range(), self.saving_range(year)
                row |= {"cost_low": cost.low, "cost_high": cost.high}
                row |= {"saving": self.saving(year), "saving_low": saved.low, "saving_high": saved.high}
            else:
                row["saving"] = self.saving(year)
            row |= {
                "spf_h4": year.spf.h4,
                "electricity_kwh": year.totals["import"],
                "fuel_kwh": sum(year.fuel_kwh.values()),
                "carbon_kg": year.carbon_kg,
                "min_room_c": year.comfort.min_room_c,
                "degree_hours_below": year.comfort.degree_hours_below,
                "comfort": year.comfort.words,
            }
            rows.append(row)
        return pd.DataFrame(rows).set_index("option")

    def __repr__(self) -> str:
        return "\n".join(repr(year) for year in self.years)

    def _repr_html_(self) -> str:
        return str(self.table().round(2).to_html())


def compare(case: Case, *, before_each: Callable[[str], None] | None = None) -> Comparison:
    """Simulate every option of a case on the step that all of them share.

    Parameters
    ----------
    case
        A home with ``[[option]]`` tables; without any, the case alone.
    before_each
        Called with the name of each option before it is simulated, to show how far it is.
    """
    cases = [option for _, _, option in case.options()]
    step, notes = shared_step(cases)
    years = []
    for option in cases:
        if before_each is not None:
            before_each(option.name)
        years.append(replace(simulate(option, step_minutes=step), step_notes=notes))
    return Comparison(tuple(years), case.baseline or years[0].case.name)
