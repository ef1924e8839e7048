"""An answer in; its JSON object and its main table as CSV out: plain numbers, whatever the locale."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from math import isfinite
from typing import Any

import numpy as np

from simkit.answers.answer import Answer
from simkit.uncertainty.ranges import Range


def answer_json(answer: Answer) -> str:
    """Write an answer as strict JSON, indented; what is not finite becomes null."""
    return as_json(answer.as_object)


def answer_csv(answer: Answer) -> str:
    """Write the main table of an answer as CSV: a row of names, a point for the decimals, commas between.

    Nothing where it has no table, such as where no measure can be advised.
    """
    if not answer.tables:
        return ""
    table = answer.tables[0]
    frame = table.frame.rename_axis(table.frame.index.name or table.name)
    return str(frame.to_csv(lineterminator="\n"))


def as_json(value: Any) -> str:
    """Write plain data as strict JSON, indented; a range becomes its ends, what is not finite null.

    Parameters
    ----------
    value
        Mappings, lists, texts, numbers, switches and None, NumPy's included.
    """
    return json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False)


def plain(value: Any) -> Any:
    """Turn NumPy's numbers and arrays into plain ones, and what is not finite into None."""
    if isinstance(value, Mapping):
        return {str(key): plain(element) for key, element in value.items()}
    if isinstance(value, np.ndarray | np.generic | Range):
        return plain([value.low, value.high] if isinstance(value, Range) else value.tolist())
    if isinstance(value, str | bool | int) or value is None:
        return value
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Iterable) or hasattr(value, "isoformat"):
        return value.isoformat() if hasattr(value, "isoformat") else [plain(element) for element in value]
    raise TypeError(f"{type(value).__name__} has no place in a JSON object")
