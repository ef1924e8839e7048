"""A simulated year in; what is bought in each band of its tariff, and for which use, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.billing.charges.on_axis import laid
from simkit.physics.records import Flows
from simkit.year.costs import ELECTRIC_USES, electric_uses
from simkit.year.simulate import Year

OTHER = "battery_kwh"


def load_by_band(year: Year) -> pd.DataFrame:
    """Bought electricity by band and use.

    Parameters
    ----------
    year
        The simulated year.

    Returns
    -------
    DataFrame
        One row by band, the cheapest first, in kWh: `heating_kwh`, `hot_water_kwh`, `household_kwh`, `car_kwh` and
        `battery_kwh` (what went into the battery); `price_per_kwh` with tax, and `share` of all that is bought. A
        tariff without bands is one row. Of solar each use is taken to have its share of the step.
    """
    axis, tariff = year.axis, year.case.tariff
    terms = laid(tariff, axis, year.case.site.country)
    energy = [line for line in terms.bought.lines if line.kind == "energy"]
    bought = year.run.trace[:, Flows._fields.index("grid_import")] * axis.hours
    uses = {name.replace("_cost", "_kwh"): power for name, power in electric_uses(year).items()}
    charged = year.run.trace[:, Flows._fields.index("battery_charge")]
    drawn = np.sum(list(uses.values()), axis=0) + charged
    share = bought / np.where(drawn > 0, drawn, 1.0)
    parts = {**uses, OTHER: charged}
    if not energy:
        weights, names, prices = np.ones((1, axis.steps)), ["All of it"], [year.bill.mean_price_per_kwh]
    else:
        weights = terms.bought.weights[[line.row for line in energy]]
        names = [line.label for line in energy]
        prices = [line.price * (1.0 + line.tax) for line in energy]
    rows = {name: weights @ (power * share) for name, power in parts.items()}
    frame = pd.DataFrame(rows, index=pd.Index(names, name="band"))
    total = float(frame.to_numpy().sum())
    frame["price_per_kwh"] = prices
    frame["share"] = frame[list(parts)].sum(axis=1) / total if total else 0.0
    return frame.sort_values("price_per_kwh")


USES = tuple(name.replace("_cost", "_kwh") for name in ELECTRIC_USES)
