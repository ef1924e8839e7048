"""A table of seasonal figures and a measured one in; what the terminal and `--json` show of them out."""

from __future__ import annotations

from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.performance.measured import Translated
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import NAME, NOTE, heading, paragraph
from simkit.reporting.words import ESTIMATE


def spf_view(name: str, table: pd.DataFrame, words: str, measured: Translated | None) -> RenderableType:
    """Lay out the seasonal figures of a machine: the verdict, one row by figure, and what was measured."""
    verdict, _, reasons = words.partition(". ")
    rows = []
    for figure, row in table.iterrows():
        value = "not available" if pd.isna(row["spf"]) else f"{row['spf']:.2f}"
        if not pd.isna(row["low"]):
            value = f"{row['low']:.1f} to {row['high']:.1f}"
        rows.append((str(figure), str(row["boundary"]).split(":")[0], value))
    grid = Grid(("Figure", "Boundary", "heat per electricity"), tuple(rows), words=(0, 1))
    parts = [heading(name, "seasonal performance"), paragraph(f"{verdict}.".replace("..", "."), NAME), grid, Text()]
    if measured is not None:
        parts += [heading("Measured"), paragraph(measured.words)]
    boundaries = (
        "H1 compressor, H2 with the source fan, H3 with back-up heater and immersion, H4 with circulation pumps and "
        "standby. SCOP of EN 14825 holds machine, heater and off-modes, no hot water and no circulation pump. "
    )
    return Group(*parts, Text(f"{reasons} {boundaries}{ESTIMATE}".strip(), style=NOTE))


def spf_object(name: str, table: pd.DataFrame, words: str, measured: Translated | None) -> dict[str, Any]:
    """Make the object of a machine's seasonal figures: stable keys, each figure with its boundary."""
    rows = [{"figure": figure, **row} for figure, row in table.to_dict("index").items()]
    said = None
    if measured is not None:
        said = {
            "spf": measured.measured, "boundary": measured.boundary, "h4": measured.h4, "low": measured.low,
            "high": measured.high, "words": measured.words,
        }  # fmt: skip
    return {"case": name, "figures": rows, "answer": words, "measured": said}
