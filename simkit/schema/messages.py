"""A table and the section it should be in, the validated section or its faults out, in plain sentences.

Pydantic finds what is wrong; the words are all ours and come from the fields' own bounds, units and meanings. A
validator of a section may bring its own: ``PydanticCustomError("worded", "", {"allowed": ..., "remedy": ...})``.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from pydantic import ValidationError

from simkit.errors import Fault, either, nearest
from simkit.schema.hints import example_of, meaning_of, shown
from simkit.schema.overlay import Part, Table, parts_of
from simkit.schema.section import Section, Way
from simkit.schema.wording import Refusal, is_monthly, reason
from simkit.times_of_day import MONTHS

S = TypeVar("S", bound=Section)
Loc = tuple[int | str, ...]


def plain(value: Any) -> Any:
    """Turn a value that was given in Python into what a file would hold: lists, tables, plain numbers and text."""
    return value if type(value) in (str, int, float, bool, type(None)) else json.loads(as_json(value))


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
        details = _without_echoes(section, error.errors(include_url=False))
        faults = [_worded(section, table, place, detail, elsewhere or {}) for detail in details]
        return None, [*faults, *_choice_faults(section, table, place)]
    faults = [*_choice_faults(section, table, place), *_clashes(found, place)]
    return (None, faults) if faults else (found, [])


def _without_echoes(section: type[Section], details: list[Any]) -> list[Any]:
    """Leave out what only follows from another slip, so that one slip is one sentence.

    A list is called too short where elements of it were refused by themselves; a key is called missing where it stands
    there misspelt.
    """
    meant = set()
    for detail in details:
        if detail["type"] == "extra_forbidden":
            here, _, _, key, _ = _located(section, "", detail["loc"])
            meant.add((*detail["loc"][:-1], key_meant(here, key)))
    return [
        detail
        for detail in details
        if not (detail["type"] == "missing" and detail["loc"] in meant)
        and not (detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"])
    ]


def key_meant(section: type[Section], key: str) -> str | None:
    """Legal key of a section that a misspelt one is nearest to, if any is near."""
    legal = parts_of(section)
    return nearest(key, legal) or nearest(key.lower(), legal)


def _clashes(section: Section, place: str) -> Iterator[Fault]:
    """Faults between keys, of this section and of all beneath it."""
    for fault in section.clashes():
        yield Fault(_bracketed(place), fault.given, fault.allowed, fault.remedy)
    names = {field.alias or name: name for name, field in type(section).model_fields.items()}
    for _, value, below in _beneath(type(section), lambda key: getattr(section, names[key]), place):
        yield from _clashes(value, below)


def _beneath(
    section: type[Section], held: Callable[[str], Any], place: str
) -> Iterator[tuple[type[Section], Any, str]]:
    """Every table beneath one: what it should be, what is `held` there by its key, and its place."""
    for key, part in parts_of(section).items():
        value = held(key) if part.section is not None else None
        if part.section is None or value is None:
            continue
        if not part.many:
            yield part.section, value, f"{place}.{key}" if place else key
        elif isinstance(value, list | tuple):
            yield from ((part.section, e, f"{place}|{key} no. {number}") for number, e in enumerate(value, start=1))


def _bracketed(place: str) -> str:
    """``[a.b]``, with the number of an element of a list behind it: ``[home] window no. 2``."""
    table, _, element = place.partition("|")
    heading = f"[{table}]" if table else ""
    return f"{heading} {element}".strip().replace("|", " ")


def _choice_faults(section: type[Section], table: Any, place: str) -> Iterator[Fault]:
    """Faults of the exactly-one-of groups, of this table and of all beneath it."""
    if not isinstance(table, Mapping):
        return
    misspelt = {key_meant(section, key) for key in table if key not in parts_of(section)}
    for group in section.choices:
        keys = [way.key for way in group if table.get(way.key) is not None]
        if len(keys) == 1:
            yield from _companion_faults(section, table, _bracketed(place), keys[0])
        elif keys or not misspelt & {way.key for way in group}:
            yield _not_one(section, group, keys, _bracketed(place))
    for part, value, below in _beneath(section, table.get, place):
        yield from _choice_faults(part, value, below)


def _not_one(section: type[Section], group: tuple[Way, ...], keys: list[str], where: str) -> Fault:
    """Say that of a group with exactly one way none is given, or several."""
    if keys:
        allowed = "are given together, and exactly one is allowed: they say the same thing"
        return Fault(where, either(keys), allowed, "Keep the one you know best")
    every, first = "both" if len(group) == 2 else "all", group[0].key
    remedy = f"Add the one you know, such as {first} = {shown(example_of(parts_of(section)[first].field))}"
    return Fault(where, either([way.key for way in group]), f"are {every} missing, and exactly one is needed", remedy)


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
        strangers = {key: other.key for other in group for key in other.companions if key not in way.companions}
        for key, owner in strangers.items():
            if table.get(key) is not None:
                yield Fault(where, key, f"belongs to {owner}, which is not given: {chosen} is", f"Take {key} out")


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
        return _no_table(place, value)
    if kind == "missing":
        return _missing(where, place, key, part)
    name = key
    if element is not None:
        name = f"{key} for {MONTHS[element]}" if is_monthly(part.field) else f"{key} no. {element + 1}"
    given = f"{name} = {shown(value)}"
    if kind == "worded":
        return Fault(where, given, details["ctx"]["allowed"], details["ctx"]["remedy"])
    allowed, remedy = reason(Refusal(kind, key, value, part, details.get("ctx", {}), place))
    return Fault(where, given, allowed, remedy)


def _no_table(place: str, value: Any) -> Fault:
    given = f"{place.rpartition('|')[2]} = {shown(value)}"
    if isinstance(value, list):
        return Fault("", given, "is a list, and one table is wanted", f"Write [{place}] with single brackets")
    heading = place.partition("|")[0]
    remedy = "Write keys and values in it" if "|" in place else f"Write [{place}] and its keys beneath it"
    return Fault(f"[{heading}]" if "|" in place else "", given, "is not a table", remedy)


def _unknown_key(here: type[Section], where: str, key: str, elsewhere: Table) -> Fault:
    inside = "of this table" if where else "at the top of the file"
    near = key_meant(here, key)
    if key in elsewhere and near is None:
        return Fault(where, key, f"is not a key {inside}", f"It belongs to [{elsewhere[key]}]: move it there")
    if near is not None:
        return Fault(where, key, f"is not a key {inside}", f"Perhaps {near} is meant")
    return Fault(where, key, f"is not a key {inside}", f"Take it out, or use one of: {', '.join(parts_of(here))}")


def _missing(where: str, place: str, key: str, part: Part) -> Fault:
    if part.section is not None:
        keys = needed_keys(part.section)
        table = f"{place}.{key}" if place else key
        heading = f"[[{table}]]" if part.many else f"[{table}]"
        remedy = f"Add {heading} with {either(keys)}" if keys else f"Add {heading}"
        return Fault(where, f"the table {heading}", f"is missing ({meaning_of(part.field)})", remedy)
    remedy = f"Add a line such as: {key} = {shown(example_of(part.field))}"
    return Fault(where, key, f"is missing ({meaning_of(part.field)})", remedy)


def needed_keys(section: type[Section], known: Table | None = None) -> list[str]:
    """List the keys that a table still needs, those of its choices as "this or that", those of a table beneath with it.

    Parameters
    ----------
    section
        What the table describes.
    known
        What it holds already.
    """
    known = known or {}
    found: list[str] = []
    for key, part in parts_of(section).items():
        if not part.field.is_required():
            continue
        if part.section is None or part.many:
            found += [] if key in known else [key]
        else:
            beneath = needed_keys(part.section, known.get(key, {}))
            found += [f"{key} ({either(beneath)})"] if beneath else []
    for group in section.choices:
        if not any(way.key in known for way in group):
            found.append(" or ".join(way.key for way in group))
    return found
