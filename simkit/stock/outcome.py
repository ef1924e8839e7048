"""What became of a table of homes: its parts, and what could not be run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from simkit.answered import Answered
from simkit.case.case import Case

MISSING = "not_run.csv"  # rows that were not run


@dataclass(frozen=True, eq=False, repr=False)
class Stock(Answered):
    """Every home of a table, simulated.

    Attributes
    ----------
    table, folder
        The file, and where the parts are.
    parts
        Parquet files of results, a row a home-year.
    homes, years
        How many homes the table holds, and how many home-years stand in the parts.
    missing
        Rows that were not run: line, name, reason.
    kept
        How many parts were there already.
    case
        The case that rows without a place stand on.
    """

    answered_by = "simkit.stock.answer:stock_answer"
    table: Path
    folder: Path
    parts: tuple[Path, ...]
    homes: int
    years: int
    missing: tuple[tuple[int, str, str], ...]
    kept: int
    case: Case

    def frame(self, columns: Sequence[str] | None = None) -> pd.DataFrame:
        """The results as one frame, a row a home-year, or these of their columns.

        Memory is that of the columns that are asked for: a hundred thousand home-years take about a megabyte each.
        """
        from pyarrow import concat_tables, parquet

        held = [parquet.ParquetFile(part).read(columns=list(columns) if columns else None) for part in self.parts]
        frame = concat_tables(held, promote_options="permissive").to_pandas()
        return frame.reindex(columns=list(columns)) if columns else frame  # of no home-year, no column is there
