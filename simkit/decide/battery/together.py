"""A home with panels and battery in; what each is worth after the others, a schedule among them, out.

Panels, battery and clever timing chase the same cheap or free kilowatt-hours, so that their savings don't add up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import pandas as pd

from simkit.case.build import Case, vary
from simkit.decide.battery.size import without_panels
from simkit.decide.schedule.search import best_schedule
from simkit.errors import Fault, raise_all
from simkit.year.simulate import simulate
from simkit.year.year import Year

PARTS = ("solar", "battery", "schedule")


@dataclass(frozen=True, eq=False, repr=False)
class Together:
    """What panels, battery and the best schedule save in every combination.

    Attributes
    ----------
    rows
        What `table` gives.
    currency
        Of its money.
    """

    rows: pd.DataFrame
    currency: str

    def table(self) -> pd.DataFrame:
        """One row by combination: cost, saving, sum of its parts' own savings, and by how much that sum is too high.

        Money in the currency of the case; comfort beside it. A saving is that of the bill: the battery's wear at its
        stated price, which is paid when it is replaced, and what is left after it stand beside it.
        """
        return self.rows

    @property
    def sentence(self) -> str:
        """By how much the savings don't add up."""
        last = self.rows.iloc[-1]
        way = "more" if last["too_high_by"] >= 0 else "less"
        return (
            f"Together they save {last['saving']:,.0f} {self.currency} a year; their own savings added up come to "
            f"{abs(last['too_high_by']):,.0f} {self.currency} {way} than that."
        )

    def __repr__(self) -> str:
        return f"{self.rows.round(1).to_string()}\n{self.sentence}"


def together(case: Case, *, before_each: Callable[[str], None] | None = None) -> Together:
    """Simulate the home with none, each, each pair and all of panels, battery and the best schedule.

    The schedule is searched anew for what stands beside it, and holds the needed comfort. A battery behind the panels'
    inverter has one of its own where they are left out.

    Parameters
    ----------
    case
        A home with panels and a battery.
    before_each
        Called with the equipment of each search before it begins.

    Raises
    ------
    CaseError
        Where the case lacks panels or a battery.
    """
    faults = [
        Fault(case.label, f"[{name}]", "is missing, and nothing can be said of what it adds", f"Add a [{name}] table")
        for name in ("solar", "battery")
        if getattr(case, name) is None
    ]
    raise_all(faults)
    years: dict[tuple[str, ...], Year] = {}
    for equipment in ((), ("solar",), ("battery",), ("solar", "battery")):
        if before_each is not None:
            before_each(" and ".join(equipment) or "neither panels nor battery")
        home = case if "solar" in equipment else without_panels(case)
        found = best_schedule(home if "battery" in equipment else vary(home, {"battery": None}))
        years[equipment] = simulate(found.today.case)
        years[(*equipment, "schedule")] = simulate(found.case)
    bare, rows = years[()].bill.total, []
    for parts in (held for count in range(len(PARTS) + 1) for held in combinations(PARTS, count)):
        year = years[parts]
        saving, added = bare - year.bill.total, sum(bare - years[(part,)].bill.total for part in parts)
        wear = year.case.battery.wear_per_kwh * year.totals["battery_discharge"] if year.case.battery else 0.0
        rows.append(
            {"with": " + ".join(parts) or "none", "cost": year.bill.total, "saving": saving, "sum_of_parts": added,
             "too_high_by": added - saving, "wear": wear, "after_wear": saving - wear, "comfort": year.comfort.words}
        )  # fmt: skip
    return Together(pd.DataFrame(rows).set_index("with"), case.currency)
