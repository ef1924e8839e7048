"""A case with a battery in; what it saves by its size, what each further kWh saves, and where that stops paying, out.

A saving is always that of the bill. Wear, at the stated price of a kWh given, is paid when the battery is replaced:
where a table values a battery by one year, wear and what is left after it stand beside the saving; where years are
counted (worth, measures), the battery's price over its life stands for wear, so that it never counts twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.electricity import through_inverter
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.power.battery import Battery
from simkit.decide.variants import run_variants
from simkit.errors import CaseError, Fault
from simkit.notation import Notation

SIZES_KWH = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
LEAST_EFFICIENCY = 0.5  # what a case may state
KNEE_SHARE = 0.5  # own: past the knee a kWh saves less than half of what the first one did


def require_battery(case: Case) -> Battery:
    """The battery of a case, or one sentence that it has none."""
    if case.battery is None:
        remedy = 'Add usable_kwh, charge_kw and discharge_kw, or give `vary` a table for "battery"'
        raise CaseError(Fault(case.label, "[battery]", "is missing, and there is nothing to size or to judge", remedy))
    return case.battery


@dataclass(frozen=True, eq=False, repr=False)
class SizeCurve:
    """What a battery saves by its size, its power left as it is.

    Attributes
    ----------
    usable_kwh
        Sizes, rising, (n,) [kWh].
    saving
        Saved a year against no battery, (n,) [currency].
    wear
        Cost of wear a year at the stated price of a kWh given, (n,) [currency]; not taken off the saving.
    cycles
        Full cycles a year, (n,).
    notation
        How its amounts are written.
    """

    usable_kwh: Floats
    saving: Floats
    wear: Floats
    cycles: Floats
    notation: Notation

    @property
    def next_kwh(self) -> Floats:
        """What each further kWh saves, from the size before (from none for the first), (n,) [currency/kWh]."""
        found: Floats = np.diff(self.saving, prepend=0.0) / np.diff(self.usable_kwh, prepend=0.0)
        return found

    @property
    def after_wear(self) -> Floats:
        """Saving a year less wear, (n,) [currency]."""
        return self.saving - self.wear

    @property
    def knee_kwh(self) -> float:
        """Largest size up to which every further kWh still saves half of the most that one did [kWh]; 0 for none."""
        gained = self.next_kwh
        enough = gained >= KNEE_SHARE * max(float(gained.max()), 0.0)
        if gained.max() <= 0.0:
            return 0.0
        first = int(np.argmax(gained))
        past = np.flatnonzero(~enough[first:])
        return float(self.usable_kwh[-1] if not len(past) else self.usable_kwh[first + past[0] - 1])

    def table(self) -> pd.DataFrame:
        """One row by size: saving, what its last kWh added, wear, what is left after it, and cycles."""
        columns = {
            "saving": self.saving, "next_kwh": self.next_kwh, "wear": self.wear, "after_wear": self.after_wear,
            "cycles": self.cycles,
        }  # fmt: skip
        return pd.DataFrame(columns, index=pd.Index(self.usable_kwh, name="usable_kwh"))

    def __repr__(self) -> str:
        return self.notation.frame(self.table())


def saving_by_size(case: Case, sizes_kwh: Sequence[float] | None = None) -> SizeCurve:
    """Work out what a battery saves by its size, every size a simulated and charged year.

    Parameters
    ----------
    case
        A home with a battery, whose powers, efficiencies and switches hold for every size.
    sizes_kwh
        Usable contents, each above 0 [kWh]; None for its own, one more, and those of `SIZES_KWH`, as far as its power
        fills them in a day.
    """
    battery = require_battery(case)
    if sizes_kwh is None:
        known = {*SIZES_KWH, battery.usable_kwh, battery.usable_kwh + 1.0}
        sizes_kwh = [size for size in known if size <= battery.day_kwh]
    if not sizes_kwh or min(sizes_kwh) <= 0:
        remedy = "Give sizes above 0, such as 2, 5 and 10"
        raise CaseError(Fault(case.label, f"sizes_kwh = {list(sizes_kwh)}", "are not all sizes above 0", remedy))
    setting, loss = setting_for(case), loss_w_per_k(case)
    sizes = np.array(sorted(set(sizes_kwh)), dtype=np.float64)
    cases = [vary(case, {"battery": None}), *(vary(case, {"battery.usable_kwh": float(size)}) for size in sizes)]
    bare, *homes = (home_inputs(one, setting, loss) for one in cases)
    made = run_variants(case, setting, [bare, *homes])
    given = made.totals.battery_discharge[1:]
    kept = np.array([home.home.usable_kwh for home in homes])
    return SizeCurve(sizes, made.cost[0] - made.cost[1:], given * battery.wear_per_kwh, given / kept, case.notation)


def without_panels(case: Case) -> Case:
    """The case without panels; a battery behind their inverter then has an inverter of its own, just as good.

    That one's loss, which its efficiencies left out, is then in them, and its powers are those outside it.
    """
    battery, changes = case.battery, {"solar": None}
    if battery is None or battery.coupling == "ac":
        return vary(case, changes)
    through = through_inverter(battery)
    own = {
        "battery.coupling": "ac",
        "battery.charge_efficiency": max(battery.charge_efficiency * through, LEAST_EFFICIENCY),
        "battery.discharge_efficiency": max(battery.discharge_efficiency * through, LEAST_EFFICIENCY),
        "battery.charge_kw": battery.charge_kw / through,
        "battery.discharge_kw": battery.discharge_kw * through,
    }
    return vary(case, changes | own)
