"""A home with panels and battery in; what each is worth after the others, a schedule among them, out.

Panels, battery and clever timing chase the same cheap or free kilowatt-hours, so that their savings don't add up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

import pandas as pd

from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.battery.size import without_panels
from simkit.decide.battery.worth import with_trial_battery
from simkit.decide.schedule.search import best_schedule
from simkit.notation import Notation
from simkit.year.simulate import simulate
from simkit.year.year import Year

PARTS = ("solar", "battery", "schedule")
PANELS_KWP, PANELS_TILT_DEG = 4.0, 35.0  # own: common on a house


@dataclass(frozen=True, eq=False, repr=False)
class Together:
    """What panels, battery and the best schedule save in every combination.

    Attributes
    ----------
    rows
        What `table` gives.
    notation
        How its numbers are written.
    assumed
        What was assumed where the case has no panels or no battery; None where it has both.
    """

    rows: pd.DataFrame
    notation: Notation
    assumed: str | None = None

    def table(self) -> pd.DataFrame:
        """One row by combination: cost, saving, sum of its parts' own savings, and by how much that sum is too high.

        Money in the currency of the case; comfort beside it. A saving is that of the bill: the battery's wear at its
        stated price, which is paid when it is replaced, and what is left after it stand beside it.
        """
        return self.rows

    def __repr__(self) -> str:
        return self.notation.frame(self.rows, 1)


def together(case: Case, *, before_each: Callable[[str], None] | None = None) -> Together:
    """Simulate the home with none, each, each pair and all of panels, battery and the best schedule.

    The schedule is searched anew for what stands beside it, and holds the needed comfort. A battery behind the panels'
    inverter has one of its own where they are left out.

    Parameters
    ----------
    case
        A home; panels and a battery of a usual size are assumed where it has none, and `assumed` says so.
    before_each
        Called with the equipment of each search before it begins.
    """
    said = []
    for name, trial in (("battery", with_trial_battery), ("solar", with_trial_panels)):
        if getattr(case, name) is None:
            case, assumed = trial(case)
            said.append(assumed)
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
             "too_high_by": added - saving, "wear": wear, "after_wear": saving - wear,
             "comfort": year.comfort.worded(case.notation.number)}
        )  # fmt: skip
    return Together(pd.DataFrame(rows).set_index("with"), case.notation, " ".join(said) or None)


def with_trial_panels(case: Case) -> tuple[Case, str]:
    """A home without panels with usual ones that face the equator, and a sentence that says so."""
    side, azimuth = ("south", 180.0) if case.site.latitude_deg >= 0 else ("north", 0.0)
    array = {"kwp": PANELS_KWP, "tilt_deg": PANELS_TILT_DEG, "azimuth_deg": azimuth}
    made = vary(case, {"solar": {"array": [array], "inverter_kw": PANELS_KWP}})
    size, tilt = (case.notation.brief(value) for value in (PANELS_KWP, PANELS_TILT_DEG))
    return made, (
        f"The case has no panels: {size} kWp at {tilt}° to the {side} are assumed. State your own as [solar]."
    )
