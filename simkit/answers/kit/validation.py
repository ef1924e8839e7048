"""What the kit was checked against in; how much of it agrees, group by group, and where it does not, out."""

from __future__ import annotations

from functools import partial
from math import floor, isfinite, log10

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.figures.validation import claims_by_group, claims_by_group_sentence
from simkit.notation import NONE, PLAIN
from simkit.validation.checked import Checked
from simkit.validation.claim import MEMORY

SHOWN = tuple(
    Column(name) for name in ("source_words", "points", "expected_words", "got_words", "allowed_words", "agrees_words")
)
BESIDE = (Column("naive_words"), Column("naive_off_words"), Column("off_words"))
MOST_DIGITS = 6


def validation_answer(found: Checked) -> Answer:
    """Say what the kit was checked against and what came of it.

    Parameters
    ----------
    found
        Every claim with what the kit gives for it.
    """
    return Answer(
        "simkit", "What was it checked against, and does it agree?",
        (_count(found), *_departures(found), _apart(found)), PLAIN,
        tables=(
            Table("groups", "Claims by group", found.groups, first="Group"),
            *(_table(name, rows) for name, rows in found.table.groupby("group", sort=False)),
            _shortcuts(found.table),
        ),
        pictures=(Picture("claims", partial(_draw, found), claims_by_group_sentence(found.table)),),
    )  # fmt: skip


def _draw(found: Checked, figure: object) -> object:
    return claims_by_group(found.table, figure=figure)  # type: ignore[arg-type]


def _count(found: Checked) -> str:
    outside = found.outside
    return (
        f"{len(outside)} claims from outside were computed anew here, {PLAIN.number(float(outside['points'].sum()))} "
        f"values in all: {int(outside['agrees'].sum())} agree as near as their source allows."
    )


def _departures(found: Checked) -> tuple[str, ...]:
    rows = found.off.to_dict("records")
    return tuple(
        f"“{_bare(str(says))}” does not: {_figure(row['got'])} against {_figure(row['expected'])} ± "
        f"{_figure(row['tolerance'])} ({row['reason']})."
        for says, row in zip(found.off.index, rows, strict=True)
    )


def _apart(found: Checked) -> str:
    remembered = int((found.table["group"] == MEMORY).sum())
    own = len(found.table) - len(found.outside) - remembered
    return (
        f"{remembered} more are only remembered and prove nothing, and {own} were derived here: they show that the kit "
        "does what was meant, not that it was meant rightly."
    )


def _table(name: object, rows: pd.DataFrame) -> Table:
    frame = pd.DataFrame(
        {
            "source_words": rows["source"],
            "points": rows["points"],
            "expected_words": rows["expected"].map(_figure),
            "got_words": rows["got"].map(_figure),
            "allowed_words": [
                reason if tolerance == 0.0 else f"{_bound(tolerance)}: {reason}"
                for tolerance, reason in zip(rows["tolerance"], rows["reason"], strict=True)
            ],
            "agrees_words": rows["agrees"],
        }
    )
    note = "Of several values the one that is met least well is shown."
    return Table(str(name).replace(" ", "_"), str(name).capitalize(), frame, SHOWN, note=note, first="Claim")


def _shortcuts(table: pd.DataFrame) -> Table:
    rows = table.dropna(subset=["naive_error"])
    frame = pd.DataFrame(
        {
            "naive_words": rows["naive"],
            "naive_off_words": rows["naive_error"].astype(float).map(PLAIN.brief_share),
            "off_words": rows["relative_error"].map(PLAIN.brief_share),
        }
    )
    return Table("shortcuts", "Shortcuts that are often taken, beside simkit", frame, BESIDE, first="Claim")


def _bare(claim: str) -> str:
    """A claim without its unit."""
    return claim.partition(" [")[0]


def _bound(value: float) -> str:
    """A tolerance, without zeros that say nothing."""
    written = _figure(value)
    return written.rstrip("0").rstrip(".") if "." in written else written


def _figure(value: float) -> str:
    """A number with four figures, and no more decimals than tell something."""
    if not isfinite(value):
        return NONE
    if value == 0.0:
        return "0"
    if abs(value) < 10.0**-MOST_DIGITS:
        return f"{value:.0e}".replace("-", "−")
    digits = min(max(3 - floor(log10(abs(value))), 0), MOST_DIGITS)
    return PLAIN.number(value, digits)
