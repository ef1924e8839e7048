"""What became of a table of homes: its parts, and what could not be run."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answered import Answered
from simkit.case.case import Case
from simkit.stock.together import Loads, together

MARK = b"simkit"  # key of a file's own words, in its metadata
MISSING = "not_run.csv"  # rows that were not run


def standing(path: Path) -> dict[str, Any] | None:
    """What a part that is there says of itself; None where it is no part of ours."""
    import pyarrow as pa
    from pyarrow import parquet

    try:
        said = json.loads((parquet.read_schema(path).metadata or {})[MARK])
    except (pa.ArrowInvalid, OSError, KeyError, ValueError):
        return None
    return said if isinstance(said, dict) else None


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

    @cached_property
    def together(self) -> Loads:
        """What all homes import together in the usual weather, by option and tariff."""
        return together((standing(part) or {}).get("together", ()) for part in self.parts)

    def frame(self, columns: Sequence[str] | None = None) -> pd.DataFrame:
        """The results as one frame, a row a home-year, or these of their columns.

        Memory is that of the columns that are asked for: a hundred thousand home-years take about a megabyte each.
        """
        from pyarrow import concat_tables, parquet

        held = [parquet.ParquetFile(part).read(columns=list(columns) if columns else None) for part in self.parts]
        frame = concat_tables(held, promote_options="permissive").to_pandas()
        return frame.reindex(columns=list(columns)) if columns else frame  # of no home-year, no column is there
