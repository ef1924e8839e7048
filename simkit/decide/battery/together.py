"""A home with panels and battery in; what each is worth after the others, a schedule among them, out.

Panels, battery and clever timing chase the same cheap or free kilowatt-hours, so that their savings don't add up.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import pandas as pd

from simkit.assemble.setting import shared_step
from simkit.case.build import Case, vary
from simkit.decide.battery.size import without_panels
from simkit.decide.schedule.search import best_schedule
from simkit.errors import CaseError, Fault
from simkit.year.simulate import simulate
from simkit.year.year import Year

PARTS = ("solar", "battery", "schedule")
FORESIGHT = {"share": "fills to its share", "tomorrow": "knows tomorrow's weather", "yesterday": "takes yesterday's"}


def interaction_years(case: Case, *, before_each: Callable[[str], None] | None = None) -> dict[tuple[str, ...], Year]:
    """Simulate the home with none, each, each pair and all of panels, battery and the best schedule.

    The schedule is searched anew for what stands beside it, and holds the needed comfort. A battery behind the panels'
    inverter has one of its own where they are left out.

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
    if faults:
        raise CaseError(faults)
    step, _ = shared_step([case])
    made: dict[tuple[str, ...], Year] = {}
    for equipment in ((), ("solar",), ("battery",), ("solar", "battery")):
        if before_each is not None:
            before_each(" and ".join(equipment) or "neither panels nor battery")
        home = case if "solar" in equipment else without_panels(case)
        found = best_schedule(home if "battery" in equipment else vary(home, {"battery": None}))
        made[equipment] = simulate(found.today.case, step_minutes=step)
        made[(*equipment, "schedule")] = simulate(found.case, step_minutes=step)
    return made


def interaction_table(years: dict[tuple[str, ...], Year]) -> pd.DataFrame:
    """One row by combination: cost, saving, the sum of its parts' own savings, and by how much that sum is too high.

    Money in the currency of the case; comfort beside it. A saving is that of the bill: the battery's wear at its stated
    price, which is paid when it is replaced, and what is left after it stand beside it.
    """
    bare = years[()].bill.total
    alone = {part: bare - years[(part,)].bill.total for part in PARTS}
    rows = []
    for count in range(len(PARTS) + 1):
        for parts in combinations(PARTS, count):
            year = years[parts]
            saving, added = bare - year.bill.total, sum(alone[part] for part in parts)
            name, worn = " + ".join(parts) or "none", year.case.battery.wear_per_kwh if year.case.battery else 0.0
            wear = worn * year.totals["battery_discharge"]
            rows.append((name, year.bill.total, saving, added, added - saving, wear, saving - wear, year.comfort.words))
    columns = ["with", "cost", "saving", "sum_of_parts", "too_high_by", "wear", "after_wear", "comfort"]
    return pd.DataFrame(rows, columns=columns).set_index("with")


def interaction_sentence(table: pd.DataFrame, currency: str) -> str:
    """Say by how much the savings don't add up."""
    last = table.iloc[-1]
    way = "more" if last["too_high_by"] >= 0 else "less"
    return (
        f"Together they save {last['saving']:,.0f} {currency} a year; their own savings added up come to "
        f"{abs(last['too_high_by']):,.0f} {currency} {way} than that."
    )


def foresight_table(case: Case) -> pd.DataFrame:
    """The same battery rule without a forecast, with tomorrow's weather foreseen, and with yesterday's taken for it.

    Returns
    -------
    DataFrame
        By kind of fill: what it goes by, cost [currency], what was given back and exported [kWh]. The difference of the
        last two rows is what a perfect forecast is worth to this rule.
    """
    if case.battery is None or case.battery.fill_below_price is None:
        remedy = "Add fill_below_price to [battery]: a forecast matters to a battery that the grid fills"
        raise CaseError(Fault(case.label, "[battery] fill_below_price", "is missing", remedy))
    step, _ = shared_step([case])
    rows = []
    for kind, words in FORESIGHT.items():
        year = simulate(vary(case, {"battery.fill_by": kind}), step_minutes=step)
        rows.append((kind, words, year.bill.total, year.totals["battery_discharge"], year.totals["export"]))
    columns = ["fill_by", "goes_by", "cost", "battery_discharge_kwh", "export_kwh"]
    return pd.DataFrame(rows, columns=columns).set_index("fill_by")
