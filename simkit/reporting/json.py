"""Simulated years in; the JSON objects that `--json` prints out: stable keys, strict JSON, NaN and infinity as null."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from functools import lru_cache
from importlib.metadata import version
from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np

from simkit.decide.flow.worth import sent_flow
from simkit.reporting.words import comparison_answer, year_answer
from simkit.uncertainty.ranges import Range
from simkit.year.compare import Comparison
from simkit.year.year import Year

# keys of energy_kwh: what every object holds, whatever a home has
ENERGIES = (
    "space_heat", "hot_water", "tap_water", "tap_water_unmet", "heat_pump_electricity", "backup_heater", "immersion",
    "pumps", "standby", "boiler_electricity", "household", "car", "solar", "curtailed", "battery_charge",
    "battery_discharge", "battery_idle", "import", "export",
)  # fmt: skip


def as_json(value: Any) -> str:
    """Write plain data as strict JSON, indented; what is not finite becomes null.

    Parameters
    ----------
    value
        Mappings, lists, texts, numbers, switches and None, NumPy's included.
    """
    return json.dumps(_plain(value), indent=2, ensure_ascii=False, allow_nan=False)


def year_object(year: Year, *, ranged: bool = True) -> dict[str, Any]:
    """Make the object of one year.

    Parameters
    ----------
    year
        The simulated year.
    ranged
        Whether to sample the range as well; without, it is null.

    Returns
    -------
    dict
        Energies in kWh, money in the bill's currency, temperatures in °C, degree-hours in K·h, time in h.
    """
    return {
        "case": year.case.name,
        "answer": year_answer(year, ranged=ranged),
        "steps": year.axis.steps,
        "step_minutes": year.axis.step_minutes,
        "heat_source": year.case.heat_source,
        "heat_loss_w_per_k": year.loss_w_per_k,
        "energy_kwh": {name: year.totals[name] for name in ENERGIES},
        "fuel_kwh": dict(year.fuel_kwh),
        "spf": {name: getattr(year.spf, name) for name in ("h1", "h2", "h3", "h4", "space_h4", "water_h4")},
        "flow": _flow(year),
        "carbon_kg": year.carbon_kg,
        "carbon_source": year.case.carbon.source,
        "bill": _bill(year, ranged=ranged),
        "comfort": _comfort(year),
        "sizing": _sizing(year),
        "balance_kwh": year.balance(),
        "notes": list(year.notes),
        "provenance": _provenance(year),
    }


def comparison_object(comparison: Comparison, *, case_name: str, ranged: bool = True) -> dict[str, Any]:
    """Make the object of a comparison: the object of each option, with its name and what it costs against the baseline.

    Parameters
    ----------
    comparison
        The options.
    case_name
        Name of the home that the options vary.
    ranged
        Whether to sample the ranges as well; without, they are null.
    """
    options = []
    for year in comparison.years:
        saved = comparison.saving_range(year) if ranged else None
        option = {"name": year.case.name, "note": year.case.note} | year_object(year, ranged=ranged)
        option["case"] = case_name
        option["saving"] = {"amount": comparison.saving(year), "range": saved}
        options.append(option)
    answer = comparison_answer(comparison, ranged=ranged)
    return {"case": case_name, "answer": answer, "baseline": comparison.baseline, "options": options}


def _flow(year: Year) -> dict[str, float | None] | None:
    """Flow that the year was designed for and that was sent [°C]; None where no heat pump heated the rooms."""
    found = sent_flow(year)
    return None if found is None else asdict(found)


def _bill(year: Year, *, ranged: bool) -> dict[str, Any]:
    bill = year.bill
    lines = [
        {"label": line.label, "quantity": line.quantity, "unit": line.unit, "amount": line.amount, "kind": line.kind}
        for line in bill.lines
    ]
    return {
        "currency": bill.currency,
        "total": bill.total,
        "range": year.range() if ranged else None,
        "lines": lines,
        "months": bill.months,
        "by_use": year.costs.by_use,
    }


def _comfort(year: Year) -> dict[str, Any]:
    comfort = year.comfort
    return {
        "min_room_c": comfort.min_room_c,
        "degree_hours_below": comfort.degree_hours_below,
        "hours_below_18": comfort.hours_below_18,
        "degree_hours_over": comfort.degree_hours_over,
        "words": comfort.words,
    }


def _sizing(year: Year) -> dict[str, Any] | None:
    found = year.sizing
    if found is None:
        return None
    return {
        "words": found.words,
        "design_load_kw": found.design_load_kw,
        "design_capacity_kw": found.design_capacity_kw,
        "coldest_week_start": found.coldest_week_start.isoformat(),
        "coldest_week_c": found.coldest_week_c,
        "week_lowest_room_c": found.week_lowest_room_c,
        "backup_kwh": found.backup_kwh,
        "hours_short": found.hours_short,
        "share_below_minimum": found.share_below_minimum,
    }


def _provenance(year: Year) -> dict[str, Any]:
    """What the result was made from: version, digest of the case, digest of every file that it names."""
    files = {path.name: _file_digest(path, path.stat().st_mtime_ns) for path in year.case.files}
    return {"simkit": version("home-heat-simkit"), "case_sha256": year.case.digest, "files_sha256": files}


@lru_cache(maxsize=64)
def _file_digest(path: Path, _changed: int) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _plain(value: Any) -> Any:
    """Turn NumPy's numbers and arrays into plain ones, a range into its ends, and what is not finite into None."""
    if isinstance(value, Range):
        value = [value.low, value.high]
    if isinstance(value, Mapping):
        return {str(key): _plain(element) for key, element in value.items()}
    if isinstance(value, str) or value is None or isinstance(value, bool | np.bool_):
        return bool(value) if isinstance(value, np.bool_) else value
    if isinstance(value, np.ndarray):
        return _plain(value.tolist())
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return float(value) if isfinite(value) else None
    if isinstance(value, Iterable):
        return [_plain(element) for element in value]
    raise TypeError(f"{type(value).__name__} has no place in a JSON object")
