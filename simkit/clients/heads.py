"""The head of a column as a person writes it in; the name by which its values are known out."""

from __future__ import annotations

import re

from simkit.case.build import SECTIONS
from simkit.case.case import Case
from simkit.errors import Fault, perhaps
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

# What is asked of a home, in the order of the template, with what is written there.
PLAIN = {
    "name": "what the client is called, and the report",
    "place": "a case file beside the table, or a sample home; what it says holds where a row is silent",
    "area": "heated floor area in m²",
    "fuel a year": "what heating burnt in a usual year with its unit: 1850 litres, 16000 kWh",
    "tariff": "a tariff file beside the table, or the name of a sample; empty for that of the place",
    "offer": "price of the heat pump as offered, fitted, tax included and grants taken off",
    "heat pump kW": "its heat at 7 °C outdoors and 35 °C flow; empty for the machine of the place",
}
REQUIRED = ("name", "place", "area", "offer")
FOLDED = {head.casefold(): head for head in PLAIN}


def head_of(written: str, where: str) -> tuple[str, Fault | None]:
    """The name of a column, and what is wrong with it.

    Small and large letters, underscores and a unit in brackets make no difference; with a dot in it it is a key of a
    case file.
    """
    head = " ".join(re.sub(r"[(\[].*?[)\]]", "", written).replace("\ufeff", "").split())
    if "." in head:
        return head, unknown_key(head, written, where)
    plain = " ".join(head.replace("_", " ").casefold().split())
    if plain in FOLDED:
        return FOLDED[plain], None
    listed = f"Columns are {', '.join(PLAIN)}, and keys of a case file such as controls.design_flow_c"
    return "", Fault(where, f'column "{written}"', "is not known", perhaps(plain, FOLDED, listed))


def unknown_key(head: str, written: str, where: str) -> Fault | None:
    """Why a dotted key is none of a case; None where it is one."""
    section: type[Section] | None = Case
    keys = head.split(".")
    for depth, key in enumerate(keys):
        if section is not None and key.isdigit() and depth:
            continue
        known = SECTIONS if depth == 0 else parts_of(section) if section is not None else {}
        if key not in known:
            remedy = perhaps(key, known, "Use a key of a case file, as `simkit check` names them")
            return Fault(where, f'column "{written}"', "is no key of a case file", remedy)
        section = SECTIONS[key] if depth == 0 else parts_of(section)[key].section if section else None
    return None
