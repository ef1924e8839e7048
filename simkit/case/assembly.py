"""A table of what the user said in, a validated `Case` out: defaults, checks, options and `vary`.

Every part is checked by itself, then all parts together, so that one reading tells every fault. A part that a change
didn't touch is taken over as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from simkit.case.case import Case, Head, Made
from simkit.case.defaults import full_table
from simkit.case.messages import checked, needed_keys
from simkit.case.overlay import Table, lay_path, overlay, parts_of
from simkit.case.rules import crossing_faults
from simkit.case.section import Section
from simkit.case.tariff import Tariff, read_tariff
from simkit.errors import CaseError, Fault, nearest, raise_all

SECTIONS: dict[str, type[Section]] = {
    name: part.section for name, part in parts_of(Case).items() if part.section is not None
}
OPTIONAL = tuple(name for name in SECTIONS if not parts_of(Case)[name].field.is_required())
ELSEWHERE = {
    key: name for name, section in reversed(SECTIONS.items()) for key in parts_of(section) if key not in parts_of(Head)
}


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
    case, faults = _assembled(stated, folder=Path(folder), label=label)
    if case is not None:
        _, more = options_of(case)
        faults = [*faults, *more]
    raise_all(faults)
    assert case is not None
    return case


def vary(case: Case, changes: Mapping[str, Any] | None = None, /, **more: Any) -> Case:
    """Change a case by dotted paths and check it again.

    Parameters
    ----------
    case
        What to start from; it stays as it is.
    changes
        Values by path: ``{"controls.design_flow_c": 45, "home.window.0.area_m2": 6}``. None drops a key, so that its
        default holds again, or an optional table. ``tariff`` takes a path or a `Tariff`, ``tariff.band.0.price_per_kwh``
        a price.
    **more
        The same for keys that stand before all tables: ``name="with a battery"``.

    Returns
    -------
    Case
        A new case.

    Raises
    ------
    CaseError
        With every fault of the changed case.
    """
    stated: Table = case.stated
    for path, value in {**(changes or {}), **more}.items():
        if path.startswith("tariff."):
            stated = {**stated, "tariff": _varied_tariff(case, stated, path, value)}
        else:
            try:
                stated = lay_path(Case, stated, {**case.full, **stated}, path, value)
            except CaseError as error:
                raise CaseError(_labelled(error.faults, case.label)) from None
    changed, faults = _assembled(stated, folder=case.folder, label=case.label, before=case)
    raise_all(faults)
    assert changed is not None
    return changed


def _varied_tariff(case: Case, stated: Table, path: str, value: Any) -> Tariff:
    current = stated["tariff"] if isinstance(stated["tariff"], Tariff) else case.tariff
    table = current.model_dump(by_alias=True, exclude_none=True, mode="json")
    try:
        table = lay_path(Tariff, table, table, path.removeprefix("tariff."), value)
    except CaseError as error:
        raise CaseError(_labelled(error.faults, f"{case.label}, tariff")) from None
    tariff, faults = checked(Tariff, table)
    raise_all(_labelled(faults, f"{case.label}, tariff"))
    assert tariff is not None
    return tariff


def _labelled(faults: Iterable[Fault], label: str) -> list[Fault]:
    return [replace(fault, where=f"{label}: {fault.where}" if fault.where else label) for fault in faults]


def options_of(case: Case) -> tuple[list[Case], list[Fault]]:
    """Every option of a case laid over it, and what is wrong with them."""
    tables = case.stated.get("option", ())
    if not isinstance(tables, list | tuple):
        remedy = "Write [[option]] with double brackets, once for each alternative"
        return [], [Fault(case.label, "option", "is not a list of tables", remedy)]
    cases: list[Case] = []
    faults: list[Fault] = []
    for place, table in enumerate(tables, start=1):
        made, wrong = _option(case, table, place)
        faults += wrong
        if made is not None:
            cases.append(made)
    names = [table.get("name") for table in tables if isinstance(table, Mapping)]
    for name in sorted({str(name) for name in names if names.count(name) > 1}):
        faults.append(
            Fault(case.label, f'option "{name}"', "stands more than once", "Give every option a name of its own")
        )
    if case.baseline is not None and case.baseline not in names:
        near = nearest(case.baseline, [str(name) for name in names])
        listed = ", ".join(f'"{name}"' for name in names) or "none"
        remedy = f'Perhaps "{near}" is meant' if near else f"The options of this case are: {listed}"
        faults.append(Fault(case.label, f'baseline = "{case.baseline}"', "is not the name of an option", remedy))
    return cases, faults


def _option(case: Case, table: Any, place: int) -> tuple[Case | None, list[Fault]]:
    label = f"{case.label}, option no. {place}"
    if not isinstance(table, Mapping):
        return None, [Fault(label, "", "is not a table", "Write [[option]] and its keys beneath it")]
    name = table.get("name")
    if not isinstance(name, str) or not name:
        return None, [
            Fault(label, "name", "is missing (what to call the option)", 'Add a line such as: name = "as installed"')
        ]
    label = f'{case.label}, option "{name}"'
    faults = [
        Fault(label, key, "can't be changed by an option", "Write it once, before all tables")
        for key in ("option", "baseline")
        if key in table
    ]
    base = {key: value for key, value in case.stated.items() if key not in ("option", "baseline", "note")}
    dropped = table.get("without", [])
    if not isinstance(dropped, list) or not all(isinstance(part, str) for part in dropped):
        faults.append(
            Fault(label, "without", "is not a list of names of tables", 'Write for example without = ["battery"]')
        )
        dropped = []
    for part in dropped:
        if part not in OPTIONAL:
            near = nearest(part, OPTIONAL)
            remedy = f'Perhaps "{near}" is meant' if near else f"Parts that can be dropped are: {', '.join(OPTIONAL)}"
            faults.append(Fault(label, f'without "{part}"', "names no part that a home can do without", remedy))
        base.pop(part, None)
    over = {key: value for key, value in table.items() if key not in ("option", "baseline", "without")}
    made, wrong = _assembled(overlay(Case, base, over), folder=case.folder, label=label, before=case)
    return (made if not faults else None), [*faults, *wrong]


def _assembled(
    stated: Table, *, folder: Path, label: str, before: Case | None = None
) -> tuple[Case | None, list[Fault]]:
    """Fill in, check every part by itself and all parts together; parts that `before` has already are taken from it."""
    full = full_table(Case, stated)
    parts: dict[str, Any] = {}
    faults: list[Fault] = []
    held = stated.get("tariff")
    heads = {key: value for key, value in full.items() if key not in SECTIONS and key != "option"}
    if isinstance(held, Tariff):
        heads["tariff"] = f"{held.name}.toml"
    strange = {key for key, value in heads.items() if key not in parts_of(Head) and isinstance(value, Mapping | list)}
    faults += [_strange_table(key, heads.pop(key)) for key in sorted(strange)]
    head, wrong = checked(Head, heads, elsewhere=ELSEWHERE)
    faults += wrong
    if head is not None:
        parts |= {name: getattr(head, name) for name in Head.model_fields}
    for name in SECTIONS:
        if name in full:
            part, wrong = _part(name, stated, full, before)
            faults += wrong
            if part is not None:
                parts[name] = part
    tariff, wrong = _tariff(held, folder, label, before)
    if tariff is not None:
        parts["tariff"] = tariff
    broken = frozenset(full.keys() - parts.keys())
    faults = [*_labelled([*faults, *crossing_faults(parts, broken)], label), *wrong]
    if faults or tariff is None:
        return None, faults
    values = {name: value for name, value in parts.items() if name != "tariff"}
    case = Case.model_construct(**{**values, "tariff": values["tariff_file"]})
    case._made = Made(stated, full, folder, label, tariff)
    return case, []


def _strange_table(name: str, value: Any) -> Fault:
    """A table that no case has."""
    if name == "band":
        return Fault(
            "", "[[band]]", "is not a table of a case", "This looks like a tariff file: name it in tariff = ..."
        )
    near = nearest(name, SECTIONS) or nearest(name.lower().replace(" ", "_"), SECTIONS)
    remedy = f"Perhaps [{near}] is meant" if near else f"Take it out, or use one of: {', '.join(SECTIONS)}"
    return Fault("", f"[{name}]", "is not a table of a case", remedy)


def _part(name: str, stated: Table, full: Table, before: Case | None) -> tuple[Section | None, list[Fault]]:
    """One section, from the earlier case where nothing of it moved."""
    if before is not None and stated.get(name) is before.stated.get(name) and full[name] == before.full.get(name):
        part: Section | None = getattr(before, name)
        return part, []
    section = SECTIONS[name]
    part, faults = checked(section, full[name], name)
    if faults and name not in stated:
        keys = needed_keys(section, full[name])
        why = parts_of(Case)[name].field.description or ""
        return None, [
            Fault("", f"the table [{name}]", f"is missing ({why.rstrip('.')})", f"Add [{name}] with {', '.join(keys)}")
        ]
    return part, faults


def _tariff(held: Any, folder: Path, label: str, before: Case | None) -> tuple[Tariff | None, list[Fault]]:
    """The tariff that a path names, or that is there already."""
    if isinstance(held, Tariff):
        return held, []
    if not isinstance(held, str) or not held:
        return None, []
    if before is not None and before.stated.get("tariff") == held and before.folder == folder:
        return before.tariff, []
    try:
        return read_tariff(folder / held), []
    except CaseError as error:
        return None, [replace(fault, where=f'{label}: tariff = "{held}": {fault.where}') for fault in error.faults]
