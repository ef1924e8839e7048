"""A case with its options in, one simulated year for each out, each on its own step and against one comfort."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from simkit.answered import Answered
from simkit.case.case import Case
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

STEP_SHARE = 0.003  # own: by so much of a bill another length of the steps alone can move it (tested on the samples)


def changes_of(case: Case) -> int:
    """How many tables of its case an option changes."""
    return 0 if case.base is None else sum(case.base.full.get(key) != value for key, value in case.full.items())


def about_even(year: Year, other: Year) -> bool:
    """Whether a difference of cost is too small to tell.

    Options run on the steps that their own edges ask for: between unequal steps less than 0.3 % of the bill says
    nothing.
    """
    near = abs(year.bill.total - other.bill.total) < STEP_SHARE * abs(other.bill.total)
    return near and year.axis.step_minutes != other.axis.step_minutes


@dataclass(frozen=True, eq=False, repr=False)
class Comparison(Answered):
    """The options of a case side by side.

    Attributes
    ----------
    years
        One simulated year by option, in the order of the case.
    baseline
        Name of the option that the others are compared with; the first where the case names none.
    """

    answered_by = "simkit.answers.comparison:comparison_answer"
    years: tuple[Year, ...]
    baseline: str

    @property
    def base(self) -> Year:
        """The year that the others are compared with."""
        return next(year for year in self.years if year.case.name == self.baseline)

    @property
    def stated(self) -> Case:
        """The case as it stands, of which these are options."""
        case = self.base.case
        return case.base or case

    def saving(self, year: Year) -> float:
        """What an option saves a year against the baseline [currency]."""
        return self.base.bill.total - year.bill.total

    def saving_range(self, year: Year) -> Range:
        """The range of that saving, taken on differences: both options meet the same samples [currency]."""
        return Range.of(self.base.samples.total - year.samples.total, self.saving(year))

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
                "comfort": year.comfort.worded(year.case.notation.number),
            }
            rows.append(row)
        return pd.DataFrame(rows).set_index("option")

    def __repr__(self) -> str:
        return "\n".join(repr(year) for year in self.years)


def compare(case: Case, *, before_each: Callable[[str], None] | None = None) -> Comparison:
    """Simulate every option of a case as it would be alone: each on the step that its own edges ask for.

    Parameters
    ----------
    case
        A home with ``[[option]]`` tables; without any, the case alone.
    before_each
        Called with the name of each option before it is simulated, to show how far it is.
    """
    cases = [option for _, _, option in case.options()]
    years = []
    for option in cases:
        if before_each is not None:
            before_each(option.name)
        years.append(simulate(option))
    return Comparison(tuple(years), case.baseline or years[0].case.name)
