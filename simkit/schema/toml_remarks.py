"""The text of a TOML file and what it is to say in, the same text with its remarks and its order kept out."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from simkit.schema.overlay import Table


def remarks_kept(source: str, table: Table) -> str | None:
    """Change a TOML text so that it says what a table says, and leave everything else in it as it is.

    Parameters
    ----------
    source
        Text of the file as it is.
    table
        What it is to say.

    Returns
    -------
    str or None
        The changed text; None where the text can't be kept, so that the file is laid out anew.
    """
    import tomlkit

    try:
        document = tomlkit.parse(source)
        _change(document, table)
        changed = tomlkit.dumps(document)
        same = tomllib.loads(changed) == table
    except Exception:  # whatever the editor of TOML trips over, a file laid out anew is as good a file
        return None
    return changed if same else None


def _change(document: Any, table: Table) -> None:
    """Make a parsed table say what a plain one says, touching only what differs."""
    for key in [key for key in document if key not in table]:
        del document[key]
    for key, value in table.items():
        if key not in document:
            document[key] = value
            continue
        old = document[key]
        if isinstance(value, Mapping) and isinstance(old, Mapping):
            _change(old, value)
            continue
        if _are_tables(value) and _are_tables(old) and len(value) == len(old):
            for before, after in zip(old, value, strict=True):
                _change(before, after)
            continue
        held = old.unwrap() if hasattr(old, "unwrap") else old
        if held != value or type(held) is not type(value):
            document[key] = value


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(element, Mapping) for element in value)
