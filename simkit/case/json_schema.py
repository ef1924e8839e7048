"""Nothing in, the JSON schema of a case file out, for editors that complete keys and show what they mean."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from simkit.case.build import OPTIONAL
from simkit.case.case import Case
from simkit.case.derived_defaults import FOLLOWERS
from simkit.case.shipped import default_table
from simkit.schema.messages import needed_keys
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

PARTIAL = "_in_part"


def case_schema() -> dict[str, Any]:
    """Describe a case file as a JSON schema (draft 2020-12).

    Returns
    -------
    dict
        Keys, types, bounds and meanings. Keys that have a default are not required; of several ways to say the same
        thing exactly one is; an ``[[option]]`` takes every table in part.
    """
    schema = Case.model_json_schema(by_alias=True)
    definitions = schema["$defs"]
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "simkit case"
    for section, given in _filled(Case, ()):
        table = schema if section is Case else definitions[section.__name__]
        table["required"] = [key for key in table.get("required", []) if key not in given]
        groups = [_one_of(group, given) for group in section.choices]
        if groups:
            table["allOf"] = groups
    _without_water(definitions["HotWater"])
    schema["required"].remove("hot_water")
    schema = _without_null(schema)
    definitions = schema["$defs"]
    partial = {f"{name}{PARTIAL}": _in_part(table) for name, table in definitions.items()}
    option = _in_part({key: value for key, value in schema.items() if key not in ("$defs", "$schema", "title")})
    for key in ("baseline", "description"):
        option["properties"].pop(key, None)
    option["properties"]["without"] = {
        "type": "array",
        "items": {"enum": list(OPTIONAL)},
        "description": "Parts of the case that this option does without.",
    }
    schema["properties"]["option"] = {
        "type": "array",
        "items": {**option, "required": ["name"]},
        "description": "Alternatives to compare: a name and whatever differs from the case.",
    }
    schema["$defs"] = {**definitions, **partial}
    return schema


def _without_water(table: dict[str, Any]) -> None:
    """Of a cylinder that something else heats nothing needs to be said."""
    told = {"required": table.pop("required"), "allOf": table.pop("allOf")}
    by_other = {"properties": {"heated_by": {"const": "something else"}}, "required": ["heated_by"]}
    table["anyOf"] = [by_other, told]


def _filled(section: type[Section], path: tuple[str, ...]) -> Iterator[tuple[type[Section], set[str]]]:
    """Every section beneath one, with the keys that a default may fill in."""
    yield section, _given(section, path)
    for key, part in parts_of(section).items():
        if part.section is not None:
            yield from _filled(part.section, (*path, key))


def _given(section: type[Section], path: tuple[str, ...]) -> set[str]:
    """Keys of one section that a default may fill in: plain values, and tables whose every needed key has one."""
    table: Any = default_table()
    each: Any = table["each"]
    kinds: Any = table["by_kind"].get(path[0], {}) if len(path) == 1 else {}
    for key in path:
        table, each = (level.get(key, {}) if isinstance(level, Mapping) else {} for level in (table, each))
    levels = [level for level in (table, each, *kinds.values()) if isinstance(level, Mapping)]
    given = {key for level in levels for key, value in level.items() if not isinstance(value, Mapping)}
    given |= {key for place, key in FOLLOWERS if (place,) == path}
    for key, part in parts_of(section).items():
        if part.section is not None and not part.many:
            beneath = dict.fromkeys(_given(part.section, (*path, key)))
            given |= set() if needed_keys(part.section, beneath) else {key}
    return given


def _one_of(group: Any, given: set[str]) -> dict[str, Any]:
    """Exactly one way of a group; none where a default says which."""
    ways = [{"required": [way.key]} for way in group]
    none = [{"not": {"anyOf": ways}}] if any(way.key in given for way in group) else []
    return {"oneOf": [*ways, *none]}


def _without_null(value: Any) -> Any:
    """Drop the null that stands for a key left out: TOML has none."""
    if isinstance(value, list):
        return [_without_null(element) for element in value]
    if not isinstance(value, dict):
        return value
    result = {key: _without_null(element) for key, element in value.items() if key != "default" or element is not None}
    kinds = result.get("anyOf")
    if isinstance(kinds, list) and {"type": "null"} in kinds:
        kept = [kind for kind in kinds if kind != {"type": "null"}]
        del result["anyOf"]
        result = {**kept[0], **result} if len(kept) == 1 else {**result, "anyOf": kept}
    return result


def _in_part(value: Any) -> Any:
    """The same with nothing required, at any depth."""
    if isinstance(value, list):
        return [_in_part(element) for element in value]
    if not isinstance(value, dict):
        return value
    result = {key: _in_part(element) for key, element in value.items() if key not in ("required", "allOf")}
    if isinstance(result.get("$ref"), str):
        result["$ref"] += PARTIAL
    return result
