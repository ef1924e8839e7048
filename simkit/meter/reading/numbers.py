"""Cells with numbers as people write them in, floats out."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from simkit.arrays import Floats

MISSING = frozenset(("", "-", "--", "na", "n/a", "nan", "null", "none", "x", "missing", "?"))
MARKS = (-999.0, -9999.0, -99.9, 9999.0, 99999.0)
_BLANKS = re.compile(r"[\s'\u00a0\u2009]")
_UNIT = re.compile(r"[^\d.,eE+-].*$")


def numbers_of(cells: list[str], decimal: str) -> Floats:
    """Read numbers; NaN where a cell is empty, marks a missing value or is no number, (n,)."""
    plain = (
        pd.Series(cells, dtype=str).str.strip()
        if any(" " in cell for cell in cells[:50])
        else pd.Series(cells, dtype=str)
    )
    if decimal == ",":
        plain = plain.str.replace(".", "", regex=False).str.replace(",", ".", regex=False)
    elif any("," in cell for cell in cells):
        plain = plain.str.replace(",", "", regex=False)
    found = np.array(pd.to_numeric(plain, errors="coerce"), dtype=np.float64)
    odd = np.flatnonzero(np.isnan(found))
    for k in odd[: len(odd) if len(odd) < 100_000 else 0]:
        text = str(plain.iloc[k])
        if text.lower() in MISSING:
            continue
        bare = _UNIT.sub("", _BLANKS.sub("", text))
        try:
            found[k] = float(bare)
        except ValueError:
            continue
    found[~np.isfinite(found)] = np.nan
    found[np.isin(found, MARKS)] = np.nan
    return found
