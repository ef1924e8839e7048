"""A table and what is laid over it in, one table out: how options and `vary` change a case.

Tables are plain dictionaries as they stand in the file. Nothing is changed in place: what a change doesn't touch is
the same object afterwards, so that a part which nobody moved can be known by its identity.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import UnionType
from typing import Any, NamedTuple, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from simkit.errors import CaseError, Fault
from simkit.kept.memory import memo
from simkit.schema.section import Section, Way

Table = Mapping[str, Any]


class Part(NamedTuple):
    """One key of a section: its field, the section beneath it (if it is a table), and whether it is a list of them."""

    field: FieldInfo
    section: type[Section] | None
    many: bool


@memo
def parts_of(section: type[Section]) -> dict[str, Part]:
    """Every key of a section as it is written in the file, in the order of the model."""
    found: dict[str, Part] = {}
    for name, field in section.model_fields.items():
        kind: Any = field.annotation
        if get_origin(kind) in (Union, UnionType):
            kind = next(one for one in get_args(kind) if one is not type(None))
        many = get_origin(kind) is tuple
        kind = get_args(kind)[0] if many else kind
        is_table = isinstance(kind, type) and issubclass(kind, Section)
        found[field.alias or name] = Part(field, kind if is_table else None, many)
    return found


@memo
def _rivals(section: type[Section]) -> dict[str, tuple[Way, tuple[Way, ...]]]:
    """For each key that chooses a way: the way, and the other ways of its group."""
    return {
        way.key: (way, tuple(other for other in group if other is not way))
        for group in section.choices
        for way in group
    }


def overlay(section: type[Section], base: Table, over: Table, *, by_name: bool = True) -> dict[str, Any]:
    """Lay one table over another, deeply.

    A key that chooses one of several ways to say the same thing drops the other ways that stood in `base`. Lists are
    replaced whole, but those of rooms are merged by their names. A value of None drops the key.

    Parameters
    ----------
    section
        What the tables describe.
    base
        What stands already.
    over
        What is laid over it.
    by_name
        Whether lists may be merged by name; `vary`, which says whole lists, sets them as they are.

    Returns
    -------
    dict
        A new table; `base` is left as it was.
    """
    result = dict(base)
    parts, rivals = parts_of(section), _rivals(section)
    for key, value in over.items():
        if value is None:
            result.pop(key, None)
            continue
        if key in rivals:
            way, others = rivals[key]
            for other in others:
                if other.key in result and other.key not in over:
                    result.pop(other.key)
                    for companion in other.companions:
                        if companion not in way.companions:
                            result.pop(companion, None)
        part = parts.get(key)
        beneath = result.get(key)
        if part is not None and part.section is not None and not part.many and isinstance(value, Mapping):
            result[key] = overlay(part.section, beneath if isinstance(beneath, Mapping) else {}, value, by_name=by_name)
        elif by_name and part is not None and part.section is not None and part.section.merged_by_name:
            result[key] = _by_name(part.section, beneath, value)
        else:
            result[key] = value
    return result


def _by_name(section: type[Section], base: Any, over: Any) -> Any:
    """Lay one list over another, element by element of the same name; new names are added."""
    if not (isinstance(base, list) and isinstance(over, list) and all(isinstance(e, Mapping) for e in (*base, *over))):
        return over
    result = list(base)
    for element in over:
        place = next((i for i, e in enumerate(base) if e.get("name") == element.get("name")), None)
        if place is None:
            result.append(element)
        else:
            result[place] = overlay(section, base[place], element)
    return result


def lay_path(section: type[Section], said: Table, full: Table, path: str, value: Any) -> dict[str, Any]:
    """Set one value by its dotted path, such as ``controls.design_flow_c`` or ``home.window.0.area_m2``.

    Parameters
    ----------
    section
        What the tables describe.
    said
        What the user said; the value is laid over it.
    full
        The same with every default, from which a list is taken that only stands there.
    path
        Keys joined by dots; elements of a list by their number from 0, or by their name.
    value
        What to set; None drops the key.

    Returns
    -------
    dict
        A new table; `said` is left as it was.
    """
    keys = path.split(".")
    return overlay(section, said, _nested(keys, value, said, full, path=path), by_name=False)


def _beneath(table: Any, key: str) -> Any:
    return table.get(key) if isinstance(table, Mapping) else None


def _nested(keys: list[str], value: Any, said: Any, full: Any, *, path: str) -> dict[str, Any]:
    """Make ``{"a": {"b": value}}`` of ``["a", "b"]``; a list on the way is copied, from `full` if `said` has none."""
    key, rest = keys[0], keys[1:]
    if not rest:
        return {key: value}
    said, full = _beneath(said, key), _beneath(full, key)
    found = full if said is None else said
    if isinstance(found, list):
        return {key: _changed_list(list(found), rest, value, path)}
    if found is not None and not isinstance(found, Mapping):
        allowed = f"can't be set: {key} is a value, with nothing beneath it"
        raise CaseError(Fault("", path, allowed, f"Set {key} itself"))
    return {key: _nested(rest, value, said, full, path=path)}


def _changed_list(items: list[Any], keys: list[str], value: Any, path: str) -> list[Any]:
    index, rest = keys[0], keys[1:]
    named = [str(i) for i, e in enumerate(items) if isinstance(e, Mapping) and e.get("name") == index]
    index = named[0] if named else index
    if not index.isdecimal() or int(index) >= len(items):
        numbers = f"Elements are counted from 0 to {len(items) - 1}" if items else "The list is empty"
        raise CaseError(Fault("", path, f'can\'t be set: "{index}" is no element of that list', numbers))
    place = int(index)
    if not rest:
        items[place] = value
        return items
    element = items[place]
    if not isinstance(element, Mapping):
        raise CaseError(Fault("", path, "can't be set: that element is a value", f"Leave .{'.'.join(rest)} away"))
    items[place] = _merged(element, _nested(rest, value, element, element, path=path))
    return items


def _merged(base: Table, over: Table) -> dict[str, Any]:
    """Lay one table over another, deeply, whatever they describe; None drops a key."""
    result = dict(base)
    for key, value in over.items():
        beneath = base.get(key)
        if value is None:
            result.pop(key, None)
        elif isinstance(value, Mapping) and isinstance(beneath, Mapping):
            result[key] = _merged(beneath, value)
        else:
            result[key] = value
    return result
