"""A change of the example home in, the case or the sentences of its faults out: what the tests of the case share."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from simkit.case.build import Case, case_from
from simkit.errors import CaseError
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

HERE = Path(__file__).parent
EXAMPLE = HERE / "example.toml"

JARGON = (
    "pydantic",
    "Input should",
    "validation error",
    "type=",
    "Traceback",
    "NoneType",
    "dict_",
    "{'",
    "Section",
    "float_",
)


@lru_cache(maxsize=1)
def _example() -> dict[str, Any]:
    return tomllib.loads(EXAMPLE.read_text(encoding="utf-8"))


def table(*without: str, **changes: Any) -> dict[str, Any]:
    """The example as it stands in its file, with whole top-level keys replaced or dropped."""
    stated = copy.deepcopy(_example()) | changes
    return {key: value for key, value in stated.items() if key not in without}


def with_path(path: str, value: Any, base: dict[str, Any] | None = None) -> dict[str, Any]:
    """The example with one value set by its dotted path, exactly as given; `...` drops the key."""
    stated = table() if base is None else base
    *way, last = path.split(".")
    here: Any = stated
    for key in way:
        here = here[int(key)] if isinstance(here, list) else here.setdefault(key, {})
    if value is ...:
        del here[last]
    elif isinstance(here, list):
        here[int(last)] = value
    else:
        here[last] = value
    return stated


def made(stated: Mapping[str, Any]) -> Case:
    """The case of a table, seen from the folder of the example."""
    return case_from(stated, folder=HERE, label="case.toml")


def sentences(stated: Mapping[str, Any]) -> list[str]:
    """Every fault of a table as its sentence; fails where there is none, or where a sentence isn't one."""
    try:
        made(stated)
    except CaseError as error:
        found = [str(fault) for fault in error.faults]
        for sentence in found:
            assert_plain(sentence)
        return found
    raise AssertionError("the table has no fault")


def only(stated: Mapping[str, Any]) -> str:
    """The one sentence of a table that has exactly one fault."""
    found = sentences(stated)
    assert len(found) == 1, found
    return found[0]


def assert_plain(sentence: str) -> None:
    """Fail where a message isn't plain sentences in plain words."""
    assert sentence.endswith(".")
    assert ".." not in sentence.replace("...", "").replace("../", "")
    assert "  " not in sentence
    assert "\n" not in sentence
    for word in JARGON:
        assert word not in sentence, f"{word} in: {sentence}"


def sections(section: type[Section] = Case) -> Iterator[type[Section]]:
    """Every section beneath one, itself left out, each once."""
    seen: set[type[Section]] = set()
    queue = [section]
    while queue:
        for part in parts_of(queue.pop()).values():
            if part.section is not None and part.section not in seen:
                seen.add(part.section)
                queue.append(part.section)
                yield part.section
