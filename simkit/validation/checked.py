"""The table of claims in; each with what the kit gives here beside it, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import pandas as pd

from simkit.answered import Answered
from simkit.validation.claim import APART, GROUPS, Claim
from simkit.validation.claims import (
    dates,
    fuels,
    handbooks,
    heat,
    libraries,
    money,
    open_data,
    ours,
    practice,
    real_years,
    sky,
    standards,
)

# without a simulated year
PLAIN = (standards, handbooks, sky, heat, fuels, money, dates, open_data, real_years, libraries, ours)
CLAIMS: tuple[Claim, ...] = tuple(
    sorted((claim for room in (*PLAIN, practice) for claim in room.CLAIMS), key=lambda claim: GROUPS.index(claim.group))
)


@dataclass(frozen=True, eq=False)
class Checked(Answered):
    """What the kit was checked against, computed anew.

    Attributes
    ----------
    table
        A row per claim, by `says`: ``group``, ``source``, ``points``, the ``expected``,
        ``got`` and ``tolerance`` of its
        worst point, ``reason``, ``agrees``, ``relative_error``, and the ``naive`` method with its ``naive_error``.
    """

    answered_by: ClassVar[str] = "simkit.answers.kit.validation:validation_answer"

    table: pd.DataFrame

    @property
    def outside(self) -> pd.DataFrame:
        """The claims from outside: neither remembered only nor derived here."""
        return self.table[~self.table["group"].isin(APART)]

    @property
    def off(self) -> pd.DataFrame:
        """The claims that the kit does not agree with."""
        return self.table[~self.table["agrees"].astype(bool)]

    @property
    def groups(self) -> pd.DataFrame:
        """Claims, those that agree and values compared, by group."""
        by = self.table.groupby("group", sort=False)
        return pd.DataFrame({"claims": by.size(), "agreeing": by["agrees"].sum(), "points": by["points"].sum()})


def checked() -> Checked:
    """Compute everything that the kit was checked against: some seconds, and some more to compile the first time.

    Returns
    -------
    Checked
    """
    rows = [claim.result() for claim in CLAIMS]
    return Checked(pd.DataFrame(rows).set_index("claim").astype({"agrees": bool}))
