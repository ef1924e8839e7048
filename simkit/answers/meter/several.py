"""Homes of a folder, fitted, in; one summary of them, and a line for each that was not, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.meter.fit import NINE
from simkit.answers.meter.measured import METERS, Measured, between
from simkit.answers.wording import provenance_of
from simkit.meter.fitting.fitted import LEVEL
from simkit.meter.fitting.several import SeveralFits
from simkit.notation import Notation


def several_answer(several: SeveralFits) -> Answer:
    """Say what a folder of readings tells of its homes.

    Parameters
    ----------
    several
        The homes of the folder.
    """
    notation = several.case.notation
    tables = [table for table in (_homes(several.table), _refused(several.refused)) if len(table.frame)]
    return Answer(
        several.folder, "What do the readings say of these homes?", tuple(several_sentences(several, notation)),
        notation, tables=tuple(tables), provenance=provenance_of(several),
        notes=("The weather of each home is that of its own file, or else of its case.",),
        data={"homes": several.table.astype(object).where(several.table.notna(), None).to_dict("index"),
              "refused": several.refused},
    )  # fmt: skip


def several_sentences(several: SeveralFits, notation: Notation) -> list[str]:
    """How many were fitted, how well they would have been predicted, what they lose, and which to look at."""
    table, total = several.table, len(several.table) + len(several.refused)
    said = [f"Of {total} homes {len(table)} were fitted."]
    if several.refused:
        said.append(f"Not fitted, each for a reason of its own below: {', '.join(several.refused)}.")
    if not len(table):
        return said
    held = table.dropna(subset=["day_off_share"])
    if len(held):
        inside, days = int(held["inside_count"].sum()), int(held["count"].sum())
        line = int((held["line_off_share"] < held["day_off_share"]).sum())
        worse = f" In {line} of them a straight line on the temperature does better: trust that sooner." if line else ""
        off = notation.share(float(held["day_off_share"].median()))
        said.append(
            f"Tried on their own days, each third predicted from the others: {inside} of {days} days lie in the range "
            f"that should hold {round(LEVEL * days)}, and a day is {off} off in the middle home.{worse}"
        )
    said.append(f"They lose {between(table['fitted'].min(), table['fitted'].max(), notation)} W/K. {NINE}")
    other = table[(table["described"] < table["fitted_low"]) | (table["described"] > table["fitted_high"])]
    if len(other):
        said.append(f"Not what they were taken to be: {', '.join(other.index)}.")
    strained = [f"{name} ({words})" for name, words in table["strained"].items() if words]
    if strained:
        said.append(f"Driven to the edge of what was thought possible, so look there first: {'; '.join(strained)}.")
    return said


def _homes(table: pd.DataFrame) -> Table:
    shown = (
        Measured("described", title="Heat loss as described [W/K]"),
        Measured("fitted", "fitted_low", "fitted_high", title="As the readings have it [W/K]"),
        Column("meter_words"), *(Column(name) for name in ("count", "inside_count", "day_off_share", "line_off_share")),
    )  # fmt: skip
    frame = table.assign(meter_words=table["meter"].map(METERS) if len(table) else None)
    frame["inside_count"] = frame["inside_count"].astype(np.float64) if len(table) else None
    return Table("homes", "The homes, each fitted to its own readings", frame, shown, first="Home")


def _refused(refused: dict[str, str]) -> Table:
    frame = pd.DataFrame({"why_words": list(refused.values())}, index=pd.Index(list(refused), name="home"))
    return Table("refused", "Not fitted", frame, first="Home")
