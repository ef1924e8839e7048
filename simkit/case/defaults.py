"""What the user said in, the same with every default filled in out, and where each filled value comes from.

All values stand in ``defaults.toml``. A default that belongs to one of several ways (`Section.choices`) is filled in
only where that way was chosen; a way of its own only where the user chose none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pydantic.fields import FieldInfo

from simkit.case.derived_defaults import followers
from simkit.case.shipped import default_sources, default_table
from simkit.kept.memory import memo
from simkit.schema.hints import shown
from simkit.schema.overlay import Table, parts_of
from simkit.schema.section import Section

SPECIAL = ("each", "by_kind", "derived")
NOTHING: Table = {}
_last: dict[type[Section], tuple[Table, Table, dict[str, Any]]] = {}  # what each section was filled from, and became


@memo
def _claims(section: type[Section]) -> dict[str, tuple[frozenset[str], bool]]:
    """For each key of a choice: the keys that decide over it, and whether it is a way of its own."""
    found: dict[str, tuple[frozenset[str], bool]] = {}
    for group in section.choices:
        ways = frozenset(way.key for way in group)
        for way in group:
            found[way.key] = (ways, True)
            for companion in way.companions:
                chosen, _ = found.get(companion, (frozenset(), False))
                found[companion] = (chosen | {way.key}, False)
    return found


def filled(section: type[Section], said: Table, defaults: Table, each: Table) -> dict[str, Any]:
    """Fill a table with the defaults of its section, deeply.

    Parameters
    ----------
    section
        What the table describes.
    said
        What the user said.
    defaults
        The table of defaults that belongs to it.
    each
        What every element of a list of tables beneath it is given.

    Returns
    -------
    dict
        A new table; a value of the wrong kind is left as it is, for the check that follows.
    """
    result = dict(said)
    claims = _claims(section)
    unclaimed: tuple[frozenset[str], bool] = (frozenset(), True)
    for key, part in parts_of(section).items():
        value, elements = defaults.get(key), each.get(key, {})
        beneath = result.get(key)
        if part.section is not None and not part.many:
            if isinstance(beneath, Mapping) or (
                beneath is None and isinstance(value, Mapping) and part.field.is_required()
            ):
                result[key] = _filled_again(part.section, beneath or NOTHING, value or {}, elements)
        elif key in result:
            if part.section is not None and elements and isinstance(beneath, list | tuple):
                result[key] = [filled(part.section, e, elements, {}) if isinstance(e, Mapping) else e for e in beneath]
        elif value is not None:
            # due outside all choices, as a way where none was chosen, or beside the one that was
            deciding, own = claims.get(key, unclaimed)
            result |= {key: value} if own != any(other in said for other in deciding) else {}
    return result


def _filled_again(section: type[Section], said: Table, defaults: Table, each: Table) -> dict[str, Any]:
    """The same, from the last time where nothing moved: of a thousand variants of a case each changes a key or two."""
    known = _last.get(section)
    if known is not None and known[0] is said and known[1] == defaults:
        return known[2]
    made = filled(section, said, defaults, each)
    _last[section] = said, defaults, made
    return made


def by_kind(said: Table) -> dict[str, dict[str, Any]]:
    """Defaults of emitters and fuel that depend on their kind, by section.

    An unknown kind is given those of the first one: it is refused by itself, and nothing more need be said.
    """
    found: dict[str, dict[str, Any]] = {}
    for section, kinds in default_table()["by_kind"].items():
        table = said.get(section)
        kind = table.get("kind") if isinstance(table, Mapping) else None
        first = next(iter(kinds))
        found[section] = kinds[kind if isinstance(kind, str) and kind in kinds else first]
    return found


def full_table(section: type[Section], said: Table) -> dict[str, Any]:
    """Fill a whole case: general defaults, those by kind, and those that follow from something else.

    Parameters
    ----------
    section
        The class of the whole case.
    said
        What the user said.
    """
    defaults = {key: value for key, value in default_table().items() if key not in SPECIAL}
    for name, table in by_kind(said).items():
        defaults[name] = {**defaults.get(name, {}), **table}
    for (name, key), value, _ in followers(said):
        defaults[name] = {**defaults.get(name, {}), key: value}
    return filled(section, said, defaults, default_table()["each"])


class Assumed(NamedTuple):
    """A value that was filled in.

    Parameters
    ----------
    paths
        Where it stands, more than once in a list of tables: ``home.window.0.shading``.
    key
        How a person finds it in the file: ``[home.window] shading``.
    value
        What was filled in.
    source
        Where that comes from.
    field
        What the key may hold.
    """

    paths: tuple[str, ...]
    key: str
    value: Any
    source: str
    field: FieldInfo

    @property
    def said(self) -> str:
        """The value and its source; a list of tables without its brackets."""
        text = shown(self.value)
        if isinstance(self.value, list) and self.value and isinstance(self.value[0], Mapping):
            rows = ([f"{k} {v:g}" if isinstance(v, float) else f"{k} {v}" for k, v in e.items()] for e in self.value)
            text = "; ".join(", ".join(row) for row in rows)
        return f"{self.key} = {text} ({self.source})"


def assumed(section: type[Section], said: Table, full: Table) -> tuple[Assumed, ...]:
    """Every value that was filled in, with its source; values marked silent are left out."""
    sources = default_sources()
    sources = sources | {path[1:]: why for path, why in sources.items() if path[0] == "each"}
    sources |= {place: why for place, _, why in followers(said)}
    for name in by_kind(said):
        begin = ("by_kind", name, full.get(name, {}).get("kind"))
        sources |= {(name, *path[3:]): why for path, why in sources.items() if path[:3] == begin}
    found: dict[str, Assumed] = {}
    for path, value, field in _filled_in(section, said, full, ()):
        names = tuple(part for part in path if not part.isdigit())
        why = sources.get(names, "")
        if why and "(silent)" not in why:
            key = f"[{'.'.join(names[:-1])}] {names[-1]}" if len(names) > 1 else names[-1]
            one = Assumed((".".join(path),), key, value, why, field)
            before = found.get(one.said)
            found[one.said] = one._replace(paths=(*before.paths, *one.paths)) if before else one
    return tuple(found.values())


def _filled_in(
    section: type[Section], said: Table, full: Table, path: tuple[str, ...]
) -> list[tuple[tuple[str, ...], Any, FieldInfo]]:
    found: list[tuple[tuple[str, ...], Any, FieldInfo]] = []
    parts = parts_of(section)
    for key, value in full.items():
        part, before = parts.get(key), said.get(key)
        if part is None:
            continue
        if part.section is not None and isinstance(value, Mapping):
            found += _filled_in(part.section, before if isinstance(before, Mapping) else {}, value, (*path, key))
        elif part.section is not None and isinstance(before, list):
            for place, (was, now) in enumerate(zip(before, value, strict=True)):
                found += _filled_in(part.section, was, now, (*path, key, str(place)))
        elif key not in said:
            found.append(((*path, key), value, part.field))
    return found
