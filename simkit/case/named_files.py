"""What is said of a home in; the same with every path of a file of data in it turned, out.

Paths stand in [weather], in [household], as the tariff, and again inside the lines that a measure changes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from simkit.case.money.money import changed_paths
from simkit.schema.toml_layout import one_line

Turn = Callable[[str], str]
FILE_KEYS = ("tariff", "weather.file", "household.file")
FILE_TABLES = ("weather", "household")


def with_files_turned(table: Mapping[str, Any], turn: Turn) -> dict[str, Any]:
    """Turn every path of a table of plain values, a case or one of its options; a tariff that is no path stays.

    Parameters
    ----------
    table
        Keys as in a case file.
    turn
        Makes the new path of the old one.
    """
    result = dict(table)
    for name in FILE_TABLES:
        result |= {name: _turned_table(result[name], turn)} if isinstance(result.get(name), Mapping) else {}
    if isinstance(result.get("tariff"), str):
        result["tariff"] = turn(result["tariff"])
    money = result.get("money")
    if isinstance(money, Mapping) and isinstance(money.get("measure"), list | tuple):
        measures = [
            {**one, "changes": [_turned_line(line, turn) for line in one.get("changes") or ()]}
            for one in money["measure"]
        ]
        result["money"] = {**money, "measure": measures}
    return result


def files_named(table: Mapping[str, Any]) -> list[str]:
    """Every path of a file of data that a table of plain values names, as it is written there."""
    found: list[str] = []

    def keep(name: str) -> str:
        found.append(name)
        return name

    with_files_turned(table, keep)
    return found


def _turned_table(table: Mapping[str, Any], turn: Turn) -> dict[str, Any]:
    """A table whose key `file` is a path."""
    return {**table, "file": turn(table["file"])} if isinstance(table.get("file"), str) else dict(table)


def _turned_line(line: str, turn: Turn) -> str:
    """A line of a measure with its path turned; one without a path stays as it was written."""
    try:
        ((path, value),) = changed_paths((line,)).items()
    except ValueError:  # no line at all: it is told where the measure is checked
        return line
    if path in FILE_KEYS and isinstance(value, str):
        new: Any = turn(value)
    elif path in FILE_TABLES and isinstance(value, Mapping):
        new = _turned_table(value, turn)
    else:
        return line
    return f"{path} = {one_line(new)}"
