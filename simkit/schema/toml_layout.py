"""A table and the section it describes in, the text of a TOML file out, its keys in the order of the model."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from simkit.schema.overlay import Part, Table, parts_of
from simkit.schema.section import Section

BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
WIDTH = 100  # own: characters that a line is kept within


def laid_out(section: type[Section], table: Table, *, options: type[Section] | None = None, remark: str = "") -> str:
    """Write a table as TOML.

    Parameters
    ----------
    section
        What the table describes: it gives the order of keys, and a remark above each table.
    table
        Values as a file would hold them.
    options
        What each element of the list ``option`` describes in part, for a case.
    remark
        First lines of the file, without their #.

    Returns
    -------
    str
        The text, with a line break at its end.
    """
    heads = [f"# {line}" for line in remark.splitlines()]
    rest = {key: value for key, value in table.items() if key != "option" or options is None}
    lines = [*heads, *_table(section, rest, "", remarks=True)]
    if options is not None:
        for option in table.get("option", []):
            lines += ["", "[[option]]", *_table(options, option, "option", remarks=False)]
    return "\n".join(lines).lstrip("\n") + "\n"


def _table(section: type[Section], table: Table, path: str, *, remarks: bool) -> Iterator[str]:
    """Lines of a table without its own heading: plain values first, then the tables beneath."""
    parts = parts_of(section)
    order = [*(key for key in parts if key in table), *(key for key in table if key not in parts)]
    beneath = [key for key in order if _is_headed(parts.get(key), table[key])]
    for key in order:
        if key not in beneath:
            yield f"{_key(key)} = {one_line(table[key], len(key) + 3)}"
    for key in beneath:
        below = f"{path}.{_key(key)}" if path else _key(key)
        part = parts[key]
        assert part.section is not None  # _is_headed says so
        if remarks and not path:
            yield from ("", f"# {part.field.description}")
        if part.many:
            for element in table[key]:
                yield from ("", f"[[{below}]]", *_table(part.section, element, below, remarks=remarks))
            continue
        rows = list(_table(part.section, table[key], below, remarks=remarks))
        if not rows or rows[0] != "":
            yield from (f"[{below}]",) if remarks and not path else ("", f"[{below}]")
        yield from rows


def _is_headed(part: Part | None, value: Any) -> bool:
    """Whether a value has a heading of its own; spans of the day stand in one line each instead."""
    if part is None or part.section is None or part.section.one_line:
        return False
    if part.many:
        full = isinstance(value, list | tuple) and len(value) > 0
        return full and all(isinstance(element, Mapping) for element in value)
    return isinstance(value, Mapping)


def _key(key: str) -> str:
    return key if BARE_KEY.fullmatch(key) else json.dumps(key, ensure_ascii=False)


def one_line(value: Any, indent: int = 0) -> str:
    """One value in one line; a list of tables that is too long for it, one table a line."""
    if isinstance(value, Mapping):
        inside = ", ".join(f"{_key(key)} = {one_line(element)}" for key, element in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if not isinstance(value, list | tuple):
        return value.isoformat() if isinstance(value, dt.date) else repr(value)
    elements = [one_line(element) for element in value]
    line = f"[{', '.join(elements)}]"
    if indent + len(line) <= WIDTH or not any(isinstance(element, Mapping) for element in value):
        return line
    return "[\n" + "".join(f"  {element},\n" for element in elements) + "]"
