"""A frame of steps in; the part of it, or the small table, that a figure draws out. No drawing here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import CaseError, Fault, nearest, raise_all
from simkit.notation import Ends
from simkit.quantities import QUANTITIES
from simkit.weather.coldest import coldest_week as coldest_rows


def need(frame: pd.DataFrame, names: Iterable[str], where: str) -> None:
    """Raise one fault for each column that `frame` lacks."""
    faults = []
    for name in names:
        if name not in frame.columns:
            near = nearest(name, [str(column) for column in frame.columns])
            remedy = f"Rename {near}, or pass" if near else "Pass"
            meaning = QUANTITIES[name].label.lower() if name in QUANTITIES else "a column of the nomenclature"
            faults.append(Fault(where, f"column {name}", f"is missing: {meaning}", f"{remedy} the frame of a year"))
    raise_all(faults, CaseError)


def given(frame: pd.DataFrame, names: Iterable[str]) -> Floats | None:
    """Return the sum of those of `names` that `frame` has, shape (rows,), or None where they say nothing but zero."""
    columns = [frame[name].to_numpy(dtype=np.float64) for name in names if name in frame.columns]
    total = np.nansum(columns, axis=0) if columns else np.zeros(len(frame))
    return total if np.any(total != 0) else None


def ends_of(row: pd.Series, of: str) -> Ends | None:
    """The range of a value of a row, from its columns `of` with _low and _high; None where the table has none."""
    low, high = row.get(f"{of}_low"), row.get(f"{of}_high")
    return None if low is None or high is None or pd.isna(low) or pd.isna(high) else Ends(float(low), float(high))


def in_zone(hourly: pd.DataFrame, zone: str | None) -> pd.DataFrame:
    """Return the frame with its stamps in `zone`; None leaves its own clock."""
    index = hourly.index
    if not isinstance(index, pd.DatetimeIndex):
        remedy = "Pass the frame of a year, which carries its stamps in the index"
        raise CaseError(Fault("frame", f"an index of {index.dtype}", "has no time", remedy))
    if zone is None:
        return hourly
    return hourly.set_axis((index.tz_localize("UTC") if index.tz is None else index).tz_convert(zone), axis=0)


def step_hours(frame: pd.DataFrame) -> float:
    """Length of the steps of a frame [h]."""
    index = pd.DatetimeIndex(frame.index)
    return float((index[1] - index[0]) / pd.Timedelta(hours=1)) if len(index) > 1 else 1.0


def coldest_week(hourly: pd.DataFrame) -> pd.DataFrame:
    """Return the seven civil days in a row, by the frame's own clock, with the lowest mean of `outdoor_c`."""
    need(hourly, ["outdoor_c"], "coldest week")
    day, _ = pd.factorize(pd.DatetimeIndex(hourly.index).normalize())
    return hourly.iloc[coldest_rows(hourly["outdoor_c"].to_numpy(), day, step_hours(hourly))]


def one_date(hourly: pd.DataFrame, date: str | dt.date) -> pd.DataFrame:
    """Return the steps of one civil date by the frame's own clock."""
    try:
        wanted = pd.Timestamp(date).date()
    except ValueError:
        raise CaseError(Fault("date", f'"{date}"', "is not a date", "Write year-month-day: 2026-01-15")) from None
    days = pd.DatetimeIndex(hourly.index).date
    found = hourly[days == wanted]
    if found.empty:
        allowed = f"is not in the frame, which runs from {days[0]} to {days[-1]}"
        raise CaseError(Fault("date", str(wanted), allowed, "Choose a date inside it"))
    return found


LEAST_HEAT = 0.005  # own


def by_outdoor(hourly: pd.DataFrame, *, width_k: float = 2.0, fewest: int = 5) -> pd.DataFrame:
    """Return median, 10th and 90th percentile of COP by outdoor temperature, for space heat and for hot water.

    Parameters
    ----------
    hourly
        Frame with `outdoor_c`, `cop`, `heat_pump_kw`, and `water_share` where the two uses are to be told apart.
    width_k
        Width of a bin [K]; bins are centred on its multiples.
    fewest
        Bins with fewer steps than this are left out, and so are those with under `LEAST_HEAT` of the heat of their use:
        in a few summer hours a machine that runs for minutes has a COP that says nothing of it.

    Returns
    -------
    DataFrame
        Columns use ("space heat", "hot water"), outdoor_c (centre of the bin), low, cop, high, steps. A step counts as
        hot water where more than half of the running time was; steps in which the heat pump stood still do not count.
    """
    need(hourly, ["outdoor_c", "cop", "heat_pump_kw"], "COP by outdoor temperature")
    runs = (hourly["heat_pump_kw"] > 0) & hourly["cop"].notna() & (hourly["cop"] > 0)
    water = hourly["water_share"] if "water_share" in hourly.columns else pd.Series(0.0, index=hourly.index)
    table = pd.DataFrame(
        {
            "use": np.where(water[runs] > 0.5, "hot water", "space heat"),
            "outdoor_c": (hourly.loc[runs, "outdoor_c"] / width_k).round() * width_k,
            "cop": hourly.loc[runs, "cop"],
            "heat": hourly.loc[runs, "cop"] * hourly.loc[runs, "heat_pump_kw"],
        }
    )
    if len(table):
        heat = table.groupby(["use", "outdoor_c"])["heat"].transform("sum")
        table = table[heat >= LEAST_HEAT * table.groupby("use")["heat"].transform("sum")]
    grouped = table.groupby(["use", "outdoor_c"])["cop"]
    found = pd.DataFrame(
        {
            "low": grouped.quantile(0.1),
            "cop": grouped.median(),
            "high": grouped.quantile(0.9),
            "steps": grouped.size(),
        }
    ).reset_index()
    return found[found["steps"] >= fewest].reset_index(drop=True)
