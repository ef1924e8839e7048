"""A case and tariffs or their files in; the home on each of them, with one name each, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault, raise_all
from simkit.tariff.tariff import Tariff, read_tariff


def homes_on(case: Case, tariffs: Sequence[Tariff | str | Path]) -> list[Case]:
    """The home on its own tariff and on each of the others, every fault told at once."""
    faults: list[Fault] = []
    found = [case]
    for given in tariffs:
        try:
            tariff = given if isinstance(given, Tariff) else read_tariff(given)
            if tariff == case.tariff:
                continue
            found.append(vary(case, tariff=tariff))
        except CaseError as error:
            name = f'tariff "{given.name}", ' if isinstance(given, Tariff) else ""
            faults += [replace(fault, where=f"{name}{fault.where}") for fault in error.faults]
    names = [home.tariff.name for home in found]
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        faults.append(Fault("", f'tariff "{name}"', "is given more than once", "Give every tariff a name of its own"))
    raise_all(faults)
    return found
