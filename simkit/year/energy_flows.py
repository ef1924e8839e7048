"""A year's steps in; where each kilowatt-hour came from and what it went to, as a table of sources by uses, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

USES = {
    "household": ("household_kw",),
    "rooms and water": ("heat_pump_kw", "backup_heater_kw", "immersion_kw", "pumps_kw", "standby_kw", "boiler_kw"),
    "car": ("car_kw",),
    "battery": ("battery_charge_kw",),
    "battery's own": (),
    "to the grid": ("export_kw",),
    "given up": ("curtailed_kw",),
}
SOURCES = {"panels": "solar_kw", "battery": "battery_discharge_kw", "grid": "import_kw"}


def energy_flows(hourly: pd.DataFrame, hours: float) -> pd.DataFrame:
    """Share each step's energy out: panels serve the home first, then the battery, then the grid.

    Within a step the uses of the home take each source in proportion; what is sold comes from the panels first, what is
    given up from the panels alone, and what charges the battery from the panels before the grid.

    Parameters
    ----------
    hourly
        A frame of `Year.hourly`.
    hours
        Length of a step [h].

    Returns
    -------
    DataFrame
        Sources by uses [kWh]; rows add up to what each source gave, columns to what each use took.
    """
    given = {name: hourly[column].to_numpy(dtype=np.float64) for name, column in SOURCES.items()}
    uses = {name: hourly[list(columns)].to_numpy(dtype=np.float64).sum(axis=1) for name, columns in USES.items()}
    uses["battery's own"] = np.maximum(sum(given.values()) - sum(uses.values()), 0.0)
    home = ["household", "rooms and water", "car", "battery's own"]
    load = sum(uses[name] for name in home)
    table = pd.DataFrame(0.0, index=list(SOURCES), columns=list(USES))
    left = dict(given)
    table.loc["panels", "given up"] = uses["given up"].sum() * hours
    left["panels"] = np.maximum(left["panels"] - uses["given up"], 0.0)
    still = np.asarray(load)
    for source in SOURCES:
        taken = np.minimum(left[source], still)
        for name in home:
            part = np.divide(uses[name], load, out=np.zeros_like(still), where=np.asarray(load) > 0)
            table.loc[source, name] = float((taken * part).sum() * hours)
        left[source], still = left[source] - taken, still - taken
    for use in ("battery", "to the grid"):
        still = uses[use]
        for source in SOURCES:
            taken = np.minimum(left[source], still)
            table.loc[source, use] = float(taken.sum() * hours)
            left[source], still = left[source] - taken, still - taken
    return table.loc[:, table.sum() > 0.0]
