"""A tariff and what was laid of it in; why it can't be charged, or what has to be said beside it, out."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.tariff.tariff import Tariff


def require_one_price(tariff: Tariff, axis: TimeAxis, off: Floats) -> None:
    """Refuse days that have no price or several: `off` is the share of each step above or below one price."""
    if max(float(off.max()), -float(off.min())) <= 1e-9:
        return
    wrong = np.abs(off) > 1e-9
    bad = axis.dates[np.unique(axis.day[wrong])]
    breaks = np.flatnonzero(np.diff(bad) > np.timedelta64(1, "D"))
    firsts, lasts = bad[np.r_[0, breaks + 1]], bad[np.r_[breaks, len(bad) - 1]]
    spans = [f"{a}" if a == b else f"{a} to {b}" for a, b in zip(firsts, lasts, strict=True)]
    shown = ", ".join(spans[:3]) + (f" and {len(spans) - 3} more stretches" if len(spans) > 3 else "")
    why = "has no price, or more than one, at some time of these days"
    remedy = "Stretch first_date and last_date of its bands, or simulate another year"
    raise CaseError(Fault(f'tariff "{tariff.name}"', shown, why, remedy))


def require_end(tariff: Tariff, last: Tariff, axis: TimeAxis) -> None:
    """Refuse a year that goes on after the tariff has ended."""
    if last.valid_to is None or np.datetime64(last.valid_to) >= axis.dates[-1]:
        return
    first = max(np.datetime64(last.valid_to) + np.timedelta64(1, "D"), axis.dates[0])
    given = f"{first} to {axis.dates[-1]}"
    why = f"has no tariff: it ends on {last.valid_to}"
    remedy = "Add a [[version]] from the next day on, leave valid_to out, or simulate another year"
    raise CaseError(Fault(f'tariff "{tariff.name}"', given, why, remedy))


def approximations(tariff: Tariff) -> tuple[str, ...]:
    """Why the price that control sees is not quite what is charged, one phrase each."""
    found = []
    if any(terms.tier for terms in tariff.versions):
        found.append("it takes every kWh at the price of the last tier")
    if any(terms.demand for terms in tariff.versions):
        found.append("it leaves out the charge on peak power")
    if tariff.netting is not None:
        found.append(f"it leaves out that export is set off against import by the {tariff.netting}")
    return tuple(found)


def granted_note(tariff: Tariff, counted: bool) -> tuple[str, ...]:
    """What is said of granted half-hours, counted or not."""
    if tariff.granted is None:
        return ()
    number = tariff.granted.per_week
    if counted:
        return (f'Scenario: tariff "{tariff.name}" grants {number} cheap half-hours a week, laid by chance.',)
    return (
        f'Tariff "{tariff.name}" may grant {number} cheap half-hours a week; none is counted, since the supplier '
        "chooses them.",
    )
