"""A netting period and a time axis in; what is left of import and export once they are set off, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.billing.charges.hours import interval_starts
from simkit.clock import TimeAxis
from simkit.tariff.tariff import NETTING_MINUTES, Tariff


@dataclass(frozen=True, eq=False)
class Netting:
    """Groups of steps within which export is set off against import, kilowatt-hour for kilowatt-hour.

    Attributes
    ----------
    order
        Steps sorted by group, (steps,).
    starts
        Where each group begins in that order, (groups,).
    group
        Group of each step, (steps,).
    """

    order: Ints
    starts: Ints
    group: Ints

    def left_over(self, import_kwh: Floats, export_kwh: Floats) -> tuple[Floats, Floats]:
        """Import and export that are still charged and paid, same shapes as given.

        What a group has too much of is taken off in proportion, so that each step keeps its share.
        """
        bought, sold = (np.add.reduceat(kwh[self.order], self.starts, axis=0) for kwh in (import_kwh, export_kwh))
        off = np.minimum(bought, sold)
        keep_in = 1.0 - np.divide(off, bought, out=np.zeros_like(off), where=bought > 0)
        keep_out = 1.0 - np.divide(off, sold, out=np.zeros_like(off), where=sold > 0)
        return import_kwh * keep_in[self.group], export_kwh * keep_out[self.group]


def netting_of(tariff: Tariff, axis: TimeAxis, bands: Sequence[Floats]) -> Netting | None:
    """Lay a netting period on a time axis; None without one, or where the steps are as long as it is.

    Parameters
    ----------
    tariff
        The tariff.
    axis
        The time axis.
    bands
        Share of each step in each band, (steps,) each; over a day or more, only what lies in one band is set off.
    """
    if tariff.netting is None:
        return None
    minutes = NETTING_MINUTES.get(tariff.netting)
    if minutes is not None:
        starts = interval_starts(axis, minutes, utc=tariff.clock == "utc")
        if starts is None or len(starts) == axis.steps:
            return None
        key = np.searchsorted(starts, np.arange(axis.steps), side="right") - 1
    else:
        period = {"day": axis.day, "month": axis.month - 1, "year": np.zeros(axis.steps, np.int64)}[tariff.netting]
        band = np.argmax(bands, axis=0) if len(bands) else np.zeros(axis.steps, np.int64)
        key = period * max(len(bands), 1) + band
    _, group = np.unique(key, return_inverse=True)
    order = np.argsort(group, kind="stable")
    return Netting(order, np.flatnonzero(np.diff(group[order], prepend=-1)), group)
