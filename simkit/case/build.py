"""A table of what the user said in, a validated `Case` out: defaults, checks, options and `vary`.

Every part is checked by itself, then all parts together, so that one reading tells every fault. A part that a change
didn't touch is taken over as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from simkit.bounds import OPTIONS
from simkit.case.case import Case, Head, Made, tariff_stem
from simkit.case.defaults import full_table
from simkit.case.heating.boiler import kwh_of_this_fuel
from simkit.case.home.rooms import RoomList
from simkit.case.rules import RULES
from simkit.case.shipped import default_table
from simkit.errors import CaseError, Fault, nearest, perhaps, raise_all
from simkit.schema.hints import meaning_of
from simkit.schema.messages import checked, needed_keys, plain
from simkit.schema.overlay import Table, lay_path, overlay, parts_of
from simkit.schema.renamed import with_new_names
from simkit.schema.section import Section, doubled
from simkit.tariff.tariff import Tariff, read_tariff_noted

__all__ = ["Case", "case_from", "options_of", "vary"]

SECTIONS: dict[str, type[Section]] = {
    name: part.section for name, part in parts_of(Case).items() if part.section is not None
}
OPTIONAL = tuple(name for name in SECTIONS if not parts_of(Case)[name].field.is_required())
HEADS = parts_of(Head)
ELSEWHERE = {key: name for name, section in reversed(SECTIONS.items()) for key in parts_of(section) if key not in HEADS}
LISTS: dict[str, type[Section]] = {"room": RoomList}  # what holds each list of tables that stands by itself
PER_FILE = ("option", "baseline")  # what is said once for a file, and never by an option


@dataclass(frozen=True)
class Setting:
    """Where a table came from: the folder of its relative paths, its name in messages, the case it is a change of."""

    folder: Path
    label: str
    before: Case | None = None
    renamed: tuple[str, ...] = ()


def case_from(stated: Table, *, folder: str | Path = ".", label: str = "case") -> Case:
    """Make a case from a table as it would stand in a file.

    Parameters
    ----------
    stated
        Keys and tables; what is left out is filled in from ``defaults.toml``. ``tariff`` is a path or a `Tariff`.
    folder
        Folder to which relative paths refer.
    label
        What messages call it, usually the name of the file.

    Returns
    -------
    Case
        The case; its options are checked too.

    Raises
    ------
    CaseError
        With every fault of the case and of its options.
    """
    stated, renamed = with_new_names(stated)
    setting = Setting(Path(folder), label, renamed=renamed)
    case, faults = _assembled(stated, setting)
    _, more = _options(stated, replace(setting, before=case), known=faults)
    raise_all(_labelled([*faults, *more], label))
    assert case is not None  # no fault, so there is one
    return case


def options_of(case: Case) -> list[Case]:
    """Every ``[[option]]`` of a case laid over it, each a whole case under the option's own name."""
    cases, faults = _options(case.stated, Setting(case.folder, case.label, case, case._made.renamed), known=[])
    raise_all(_labelled(faults, case.label))
    return cases


def vary(case: Case, changes: Mapping[str, Any] | None = None, /, **more: Any) -> Case:
    """Change a case by dotted paths and check it again.

    Parameters
    ----------
    case
        What to start from; it stays as it is.
    changes
        Values by path: ``{"controls.design_flow_c": 45, "home.window.0.area_m2": 6}``. None drops a key, so that its
        default holds again, or an optional table. ``tariff`` takes a path or a `Tariff`; its prices are
        ``tariff.band.0.price_per_kwh``.
    **more
        The same for keys that stand before all tables: ``name="with a battery"``.

    Returns
    -------
    Case
        A new case. Its options are checked when they are asked for.

    Raises
    ------
    CaseError
        With every fault of the changed case.
    """
    stated: Table = case.stated
    for path, value in {**(changes or {}), **more}.items():
        if path.startswith("tariff."):
            stated = {**stated, "tariff": _varied_tariff(case, stated["tariff"], path, value)}
            continue
        try:
            said = value if isinstance(value, Tariff) else plain(value)
            stated = lay_path(Case, stated, case.full, path, said)
        except CaseError as error:
            raise CaseError(_labelled(error.faults, case.label)) from None
    changed, faults = _assembled(stated, Setting(case.folder, case.label, case, case._made.renamed))
    raise_all(_labelled(faults, case.label))
    assert changed is not None  # no fault, so there is one
    changed._made = replace(changed._made, base=case.base)
    return changed


def _varied_tariff(case: Case, held: Any, path: str, value: Any) -> Tariff:
    current = held if isinstance(held, Tariff) else case.tariff
    table = current.model_dump(by_alias=True, exclude_none=True, mode="json")
    label = f"{case.label}, tariff"
    try:
        table = lay_path(Tariff, table, table, path.removeprefix("tariff."), plain(value))
    except CaseError as error:
        raise CaseError(_labelled(error.faults, label)) from None
    tariff, faults = checked(Tariff, table)
    raise_all(_labelled(faults, label))
    assert tariff is not None  # no fault, so there is one
    return tariff


def _labelled(faults: Iterable[Fault], label: str) -> list[Fault]:
    """Put the name of the file, or of the option, before the place of every fault."""
    return [
        replace(
            fault, where=f"{label}{'' if fault.where.startswith(',') else ': '}{fault.where}" if fault.where else label
        )
        for fault in faults
    ]


def _options(stated: Table, setting: Setting, *, known: list[Fault]) -> tuple[list[Case], list[Fault]]:
    """Every option laid over the case, and what is wrong with them that isn't `known` of the case itself."""
    tables = stated.get("option", [])
    if not isinstance(tables, list):
        return [], [Fault("", "option", "is not a list of tables", "Write [[option]] once for each alternative")]
    cases: list[Case] = []
    many = Fault("", f"{len(tables)} options", f"are more than {OPTIONS}", "Keep those that you would choose")
    faults = [many] * (len(tables) > OPTIONS)
    for number, table in enumerate(tables[:OPTIONS], start=1):
        name = table.get("name") if isinstance(table, Mapping) else None
        label = f', option "{name}"' if isinstance(name, str) and name else f", option no. {number}"
        case, wrong = _option(stated, table, replace(setting, label=f"{setting.label}{label}"))
        faults += _labelled([fault for fault in wrong if fault not in known], label)
        cases += [case] if case is not None else []
    given = [table.get("name") for table in tables if isinstance(table, Mapping)]
    names = [name for name in given if isinstance(name, str)]
    faults += doubled(names, 'option "{}"', "Give every option a name of its own")
    baseline = stated.get("baseline")
    if isinstance(baseline, str) and baseline and baseline not in names:
        listed = "The options of this case are: " + ", ".join(f'"{name}"' for name in names)
        remedy = perhaps(baseline, names, listed if names else "This case lists no [[option]]: take baseline out")
        faults.append(Fault("", f'baseline = "{baseline}"', "is not the name of an option", remedy))
    return cases, faults


def _option(stated: Table, table: Any, setting: Setting) -> tuple[Case | None, list[Fault]]:
    if not isinstance(table, Mapping):
        return None, [Fault("", "", "is not a table", "Write [[option]] and its keys beneath it")]
    faults = [
        Fault("", key, "can't be changed by an option", "Write it once, before all tables")
        for key in PER_FILE
        if key in table
    ]
    if "name" not in table:
        remedy = 'Add a line such as: name = "as installed"'
        faults.append(Fault("", "name", "is missing (what to call the option)", remedy))
    base = {key: value for key, value in stated.items() if key not in (*PER_FILE, "note")}
    dropped, wrong = _dropped(table.get("without", []))
    for part in dropped:
        base.pop(part, None)
    over = {key: value for key, value in table.items() if key not in (*PER_FILE, "without")}
    case, more = _assembled(overlay(Case, base, over), setting)
    faults += [*wrong, *more]
    if faults or case is None:
        return None, faults
    case._made = replace(case._made, base=setting.before)
    return case, faults


def _dropped(without: Any) -> tuple[list[str], list[Fault]]:
    """Parts that an option does without, and what is wrong with their list."""
    if not isinstance(without, list) or not all(isinstance(part, str) for part in without):
        remedy = 'Write for example without = ["battery"]'
        return [], [Fault("", "without", "is not a list of names of tables", remedy)]
    faults = []
    for part in without:
        if part not in OPTIONAL:
            remedy = perhaps(part, OPTIONAL, f"Parts that can be dropped are: {', '.join(OPTIONAL)}")
            faults.append(Fault("", f'without "{part}"', "names no part that a home can do without", remedy))
    return [part for part in without if part in OPTIONAL], faults


def _assembled(stated: Table, setting: Setting) -> tuple[Case | None, list[Fault]]:
    """Fill in, check every part by itself and all parts together; `where` of the faults is without the label."""
    full = full_table(Case, stated)
    parts, faults = _heads(full)
    for name in SECTIONS:
        if name in full:
            sound = full if name != "controls" or "comfort" in parts else _without_comfort(stated, full)
            part, wrong = _part(name, stated, sound, setting.before)
            faults += wrong
            parts |= {name: part} if part is not None else {}
    tariff, wrong, told = _tariff(stated.get("tariff"), setting)
    parts |= {"tariff": tariff} if tariff is not None else {}
    broken = frozenset(full.keys() - parts.keys())
    if isinstance(full.get("heat_source"), str):
        parts.setdefault("heat_source", full["heat_source"])
    faults += [*(fault for rule in RULES for fault in rule(parts, broken)), *wrong]
    if faults or tariff is None:
        return None, faults
    del parts["tariff"]
    case = Case.model_construct(**{**parts, "tariff": parts["tariff_file"]})
    renamed = tuple(dict.fromkeys((*setting.renamed, *told)))
    case._made = Made(stated, full, setting.folder, setting.label, tariff, renamed=renamed)
    return case, []


def _heads(full: Table) -> tuple[dict[str, Any], list[Fault]]:
    """The keys before all tables, and what stands there and shouldn't."""
    heads = {key: value for key, value in full.items() if key not in SECTIONS and key != "option"}
    if isinstance(heads.get("tariff"), Tariff):
        heads["tariff"] = f"{tariff_stem(heads['tariff'])}.toml"
    strange = [key for key, value in heads.items() if key not in HEADS and isinstance(value, Mapping | list)]
    faults = [_strange_table(key) for key in strange]
    head, wrong = checked(Head, {key: value for key, value in heads.items() if key not in strange}, elsewhere=ELSEWHERE)
    parts = {} if head is None else {name: getattr(head, name) for name in Head.model_fields}
    return parts, [*faults, *wrong]


def _strange_table(name: str) -> Fault:
    """A table that no case has."""
    if name == "band":
        remedy = 'Name that file here: tariff = "file.toml"'
        return Fault("", "[[band]]", "belongs to a tariff file, not to a case", remedy)
    near = nearest(name, SECTIONS) or nearest(name.lower().replace(" ", "_"), SECTIONS)
    remedy = f"Perhaps [{near}] is meant" if near else f"Take it out, or use one of: {', '.join(SECTIONS)}"
    return Fault("", f"[{name}]", "is not a table of a case", remedy)


def _part(name: str, stated: Table, full: Table, before: Case | None) -> tuple[Any, list[Fault]]:
    """One section or list of sections, from the earlier case where nothing of it moved."""
    if before is not None and stated.get(name) is before.stated.get(name) and full[name] == before.full.get(name):
        return getattr(before, name), []
    if parts_of(Case)[name].many:
        rows, faults = checked(LISTS[name], {name: full[name]})
        return (None if rows is None else getattr(rows, name)), faults
    part, faults = checked(SECTIONS[name], full[name], name)
    if name == "fuel":
        faults = [kwh_of_this_fuel(fault, full[name]) for fault in faults]
    if faults and name not in stated:
        keys = ", ".join(needed_keys(SECTIONS[name], full[name]))
        meaning = meaning_of(parts_of(Case)[name].field)
        return None, [Fault("", f"the table [{name}]", f"is missing ({meaning})", f"Add [{name}] with {keys}")]
    return part, faults


def _without_comfort(stated: Table, full: Table) -> dict[str, Any]:
    """The tables, with [controls] not following a [comfort] that is refused: one fault is enough."""
    said, comfort = stated.get("controls"), default_table()["comfort"]
    if not isinstance(full["controls"], Mapping):
        return dict(full)
    own = {key: comfort[key] for key in ("periods", "setback_c") if not isinstance(said, Mapping) or key not in said}
    return {**full, "controls": {**full["controls"], **own}}


def _tariff(held: Any, setting: Setting) -> tuple[Tariff | None, list[Fault], tuple[str, ...]]:
    """The tariff that a path names, or that is there already; what is wrong with it, and its old names."""
    before = setting.before
    if not isinstance(held, str) or not held:
        return held if isinstance(held, Tariff) else None, [], ()
    if before is not None and before.stated.get("tariff") == held:
        return before.tariff, [], ()
    try:
        tariff, told = read_tariff_noted(setting.folder / held)
    except CaseError as error:
        return None, [replace(fault, where=f'tariff = "{held}", {fault.where}') for fault in error.faults], ()
    return tariff, [], told
