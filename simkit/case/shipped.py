"""The package's own ``defaults.toml`` in, its table and the source of every value out."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

DEFAULTS = files("simkit.case") / "defaults.toml"
Sources = dict[tuple[str, ...], str]


@cache
def default_table() -> dict[str, Any]:
    """The whole of ``defaults.toml``; not to be changed."""
    return tomllib.loads(DEFAULTS.read_text(encoding="utf-8"))


@cache
def default_sources() -> Sources:
    """The source of each default: the remark behind its line, by its path."""
    found: Sources = {}
    heading: tuple[str, ...] = ()
    for line in DEFAULTS.read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            heading = tuple(part.strip('"') for part in re.findall(r'"[^"]*"|[^.\[\]]+', line.split("]")[0] + "]"))
        elif match := re.match(r"(\w+) = .*?  # (.*)$", line):
            found[(*heading, match[1])] = match[2]
    return found
