"""A table and the section it should be in, the validated section or its faults out, in plain sentences.

Pydantic finds what is wrong; the words are all ours and come from the fields' own bounds, units and meanings. A
validator of a section may bring its own words with ``PydanticCustomError("worded", "", {"allowed": ..., "remedy": ...})``.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeVar, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from simkit.case.hints import bounds_of, example_of, out_of_bounds, shown, span_of, time_hint, wrong_kind
from simkit.case.overlay import Part, Table, parts_of
from simkit.case.section import Section
from simkit.errors import Fault, nearest

S = TypeVar("S", bound=Section)
MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
Loc = tuple[int | str, ...]


def as_json(table: Any) -> str:
    """Write a table as JSON, with NaN left to be found, times as "HH:MM" and NumPy numbers as plain ones."""
    return json.dumps(table, default=_plain, ensure_ascii=False)


def _plain(value: Any) -> Any:
    if isinstance(value, Section):
        return value.model_dump(by_alias=True, exclude_none=True)
    if isinstance(value, dt.time):
        return value.strftime("%H:%M") if not value.second and not value.microsecond else value.isoformat()
    if isinstance(value, dt.date):
        return value.isoformat()
    if hasattr(value, "tolist"):
        return value.tolist()
    return str(value)


def checked(
    section: type[S], table: Any, place: str = "", *, elsewhere: Table | None = None
) -> tuple[S | None, list[Fault]]:
    """Validate one table.

    Parameters
    ----------
    section
        What it should be.
    table
        What was given, a dictionary if all is well.
    place
        Where it stands, such as ``heat_pump``; a dotted path for a table within a table, empty for the whole file.
    elsewhere
        Names of keys that live in other tables, with those tables, for a key that stands in the wrong one.

    Returns
    -------
    section
        The frozen section, or None if anything is wrong.
    faults
        Everything that is wrong, `where` without the name of the file.
    """
    try:
        found = section.model_validate_json(as_json(table))
    except ValidationError as error:
        faults = [
            _worded(section, table, place, details, elsewhere or {}) for details in error.errors(include_url=False)
        ]
        return None, [*faults, *_choice_faults(section, table, place)]
    faults = [*_choice_faults(section, table, place), *_clashes(found, place)]
    return (None, faults) if faults else (found, [])


def _clashes(section: Section, place: str) -> Iterator[Fault]:
    """Faults between keys, of this section and of all beneath it."""
    for fault in section.clashes():
        yield Fault(_bracketed(place), fault.given, fault.allowed, fault.remedy)
    for key, part in parts_of(type(section)).items():
        if part.section is None:
            continue
        name = next(name for name, field in type(section).model_fields.items() if field is part.field)
        value = getattr(section, name)
        below = f"{place}.{key}" if place else key
        if isinstance(value, Section):
            yield from _clashes(value, below)
        elif value is not None:
            for number, element in enumerate(value, start=1):
                yield from _clashes(element, f"{place}|{key} no. {number}")


def _bracketed(place: str) -> str:
    """``[a.b]``, with the number of an element of a list behind it: ``[home] window no. 2``."""
    table, _, element = place.partition("|")
    heading = f"[{table}]" if table else ""
    return f"{heading} {element}".strip().replace("|", " ")


def _choice_faults(section: type[Section], table: Any, place: str) -> Iterator[Fault]:
    """Faults of the exactly-one-of groups, of this table and of all beneath it."""
    if not isinstance(table, Mapping):
        return
    where = _bracketed(place)
    for group in section.choices:
        keys = [way.key for way in group if table.get(way.key) is not None]
        names = _either([way.key for way in group])
        if not keys:
            example = example_of(parts_of(section)[group[0].key].field)
            yield Fault(
                where,
                names,
                "are all missing, and exactly one is needed",
                f"Add the one you know, such as {group[0].key} = {shown(example)}",
            )
        elif len(keys) > 1:
            yield Fault(
                where,
                _both(keys),
                "are given together, and exactly one is allowed: they say the same thing",
                "Keep the one you know best",
            )
        else:
            yield from _companion_faults(section, table, where, keys[0])
    for key, part in parts_of(section).items():
        value = table.get(key)
        if part.section is not None and isinstance(value, Mapping) and not part.many:
            yield from _choice_faults(part.section, value, f"{place}.{key}" if place else key)


def _companion_faults(section: type[Section], table: Table, where: str, chosen: str) -> Iterator[Fault]:
    for group in section.choices:
        way = next((way for way in group if way.key == chosen), None)
        if way is None:
            continue
        for key in way.needs:
            if table.get(key) is None:
                field = parts_of(section)[key].field
                yield Fault(
                    where,
                    key,
                    f"is missing, and {chosen} needs it ({meaning_of(field)})",
                    f"Add a line such as: {key} = {shown(example_of(field))}",
                )
        for other in group:
            for key in other.companions:
                if key not in way.companions and table.get(key) is not None and key in table:
                    yield Fault(
                        where, key, f"belongs to {other.key}, which is not given: {chosen} is", f"Take {key} out"
                    )


def _either(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


_both = _either


def meaning_of(field: FieldInfo) -> str:
    """Meaning of a field as it stands within a sentence."""
    extra = field.json_schema_extra
    meaning = str(extra.get("meaning", "")) if isinstance(extra, dict) else ""
    return meaning[:1].lower() + meaning[1:] if meaning[1:2].islower() else meaning


def _located(section: type[Section], place: str, loc: Loc) -> tuple[type[Section], str, Part | None, str, int | None]:
    """Follow pydantic's location: the innermost section, its place, the field, its key and the element in its list."""
    here: type[Section] = section
    part: Part | None = None
    key = ""
    element: int | None = None
    for position, step in enumerate(loc):
        if isinstance(step, int):
            element = step
            if part is not None and part.section is not None and position + 1 < len(loc):
                place, here = f"{place}|{key} no. {step + 1}", part.section
                part, key, element = None, "", None
            continue
        if part is not None and part.section is not None:
            place, here = f"{place}.{key}" if place else key, part.section
        elif part is not None:
            continue  # a branch of a union: the field stays
        key, element = str(step), None
        part = parts_of(here).get(key)
    return here, place, part, key, element


def _worded(section: type[Section], table: Any, place: str, details: Any, elsewhere: Table) -> Fault:
    here, place, part, key, element = _located(section, place, details["loc"])
    where, kind, value = _bracketed(place), details["type"], details["input"]
    if kind == "extra_forbidden":
        return _unknown_key(here, where, key, elsewhere)
    if part is None:
        remedy = f"Write [{place}] and its keys beneath it" if place else "Write keys and [tables]"
        return Fault("", f"{place} = {shown(value)}", "is not a table", remedy)
    if kind == "missing":
        return _missing(where, place, key, part)
    name = key
    if element is not None:
        name = f"{key} for {MONTH_NAMES[element]}" if _is_monthly(part.field) else f"{key} no. {element + 1}"
    given = f"{name} = {shown(value)}"
    if kind == "worded":
        return Fault(where, given, details["ctx"]["allowed"], details["ctx"]["remedy"])
    allowed, remedy = _reason(kind, key, value, part, element, details.get("ctx", {}), place)
    return Fault(where, given, allowed, remedy)


def _reason(
    kind: str, key: str, value: Any, part: Part, element: int | None, ctx: Mapping[str, Any], place: str
) -> tuple[str, str]:
    """What is allowed and why, and what to do."""
    field = part.field
    why = f" ({meaning_of(field)})"
    if kind in ("greater_than_equal", "less_than_equal"):
        return f"is outside {span_of(field)}{why}", out_of_bounds(key, value, field)
    if kind in ("float_type", "int_type", "finite_number", "int_from_float", "float_parsing", "int_parsing"):
        return wrong_kind(key, value, field, why)
    if kind == "literal_error":
        return _not_a_word(key, value, field, why, ctx)
    if kind == "string_pattern_mismatch":
        return time_hint(key, value, field, why)
    if kind in ("too_short", "too_long") and bounds_of(field) is not None and _is_monthly(field):
        return (
            f"is {len(value)} values, and twelve are wanted, January to December{why}",
            "Write one value for each month",
        )
    if kind == "too_short":
        return (
            f"is empty, and at least one entry is needed{why}",
            f"Write for example {key} = {shown(example_of(field))}",
        )
    if kind in ("string_too_short", "string_too_long"):
        length = f"{ctx.get('min_length') or ctx.get('max_length')}"
        extent = "is too short" if kind == "string_too_short" else "is too long"
        return (
            f"{extent}, {length} characters is the limit{why}",
            f"Write for example {key} = {shown(example_of(field))}",
        )
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        if isinstance(value, list):
            return f"is a list, and one table is wanted{why}", f"Write [{_path(place, key)}] with single brackets"
        return f"is not a table{why}", f"Write [{_path(place, key)}] and its keys beneath it"
    if kind in ("tuple_type", "list_type"):
        return _no_list(key, value, part, why, place)
    return _wrong_type(kind, key, field, why)


def _path(place: str, key: str) -> str:
    table = place.partition("|")[0]
    return f"{table}.{key}" if table else key


def _no_list(key: str, value: Any, part: Part, why: str, place: str) -> tuple[str, str]:
    if part.section is not None:
        if isinstance(value, Mapping):
            return (
                f"is one table, and a list of tables is wanted{why}",
                f"Write [[{_path(place, key)}]] with double brackets",
            )
        return f"is not a list of tables{why}", f"Write [[{_path(place, key)}]] and its keys beneath it, once for each"
    if _is_monthly(part.field):
        return f"is not a list of twelve values, January to December{why}", (
            f"Write twelve values in brackets: {key} = {shown(example_of(part.field))}"
        )
    return f"is not a list{why}", f"Write it in brackets: {key} = {shown(example_of(part.field))}"


def _wrong_type(kind: str, key: str, field: FieldInfo, why: str) -> tuple[str, str]:
    example = f"{key} = {shown(example_of(field))}"
    if kind == "string_type":
        return f"is not text{why}", f"Write text in quotes, such as {example}"
    if kind == "bool_type":
        return f"is not true or false{why}", f"Write {key} = true or {key} = false, without quotes"
    return f"can't be used here{why}", f"Write for example {example}"


def _not_a_word(key: str, value: Any, field: FieldInfo, why: str, ctx: Mapping[str, Any]) -> tuple[str, str]:
    words = _words(field)
    names = ", ".join(f'"{word}"' for word in words)
    allowed = f"is none of {names}{why}" if words else f"is none of {ctx.get('expected', 'the legal words')}{why}"
    near = None
    if isinstance(value, str):
        plain = {word.lower(): word for word in words}
        found = nearest(value.strip().lower().replace("_", " "), plain) or nearest(value.strip().lower(), plain)
        near = plain[found] if found else None
    return allowed, f'Perhaps {key} = "{near}" is meant' if near else "Write one of these words, in quotes"


def _words(field: FieldInfo) -> list[str]:
    found: list[str] = []
    queue: list[Any] = [field.annotation]
    while queue:
        kind = queue.pop(0)
        arguments = get_args(kind)
        found += [argument for argument in arguments if isinstance(argument, str)]
        queue += [argument for argument in arguments if not isinstance(argument, str)]
    return found


def _is_monthly(field: FieldInfo) -> bool:
    extra = field.json_schema_extra
    return isinstance(extra, dict) and "low" in extra


def _unknown_key(here: type[Section], where: str, key: str, elsewhere: Table) -> Fault:
    legal = parts_of(here)
    inside = f"in {where}" if where else "at the top of the file"
    near = nearest(key, legal) or nearest(key.lower(), legal)
    if key in elsewhere and near is None:
        return Fault(where, key, f"is not a key {inside}", f"It belongs to [{elsewhere[key]}]: move it there")
    if near is not None:
        return Fault(where, key, f"is not a key {inside}", f"Perhaps {near} is meant")
    return Fault(where, key, f"is not a key {inside}", f"Take it out, or use one of: {', '.join(legal)}")


def _missing(where: str, place: str, key: str, part: Part) -> Fault:
    if part.section is not None:
        keys = needed_keys(part.section)
        table = _path(place, key)
        heading = f"[[{table}]]" if part.many else f"[{table}]"
        remedy = f"Add {heading} with {_either(keys)}" if keys else f"Add {heading}"
        return Fault(where, f"the table {heading}", f"is missing ({meaning_of(part.field)})", remedy)
    remedy = f"Add a line such as: {key} = {shown(example_of(part.field))}"
    return Fault(where, key, f"is missing ({meaning_of(part.field)})", remedy)


def needed_keys(section: type[Section], known: Iterable[str] = ()) -> list[str]:
    """Keys that a section can't do without, those of its choices written as "this or that"."""
    keys = [key for key, part in parts_of(section).items() if part.field.is_required() and key not in known]
    return [*keys, *(" or ".join(way.key for way in group) for group in section.choices)]
