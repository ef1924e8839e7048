"""Name of a published table in; its source and its columns out. The tables stand beside this file."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np

from simkit.arrays import Floats

PUBLISHED = Path(__file__).parent / "published"


@cache
def published(name: str) -> tuple[str, list[dict[str, str]]]:
    """Read ``published/<name>.csv``: its source line and its rows as text."""
    lines = (PUBLISHED / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    source = " ".join(line.lstrip("# ") for line in lines if line.startswith("#"))
    return source, list(csv.DictReader(line for line in lines if line and not line.startswith("#")))


def column(table: str, name: str, **only: str) -> Floats:
    """Numbers of a column, of the rows whose other columns hold the texts given."""
    rows = [row for row in published(table)[1] if all(row[key] == text for key, text in only.items())]
    return np.array([float(row[name]) for row in rows])
