"""Files of readings and how they are to be taken in, as a command line names them; readings and their weather out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from simkit.case.case import Case
    from simkit.meter.fitting.weather_then import WeatherThen
    from simkit.meter.reading.reading import Readings

Files = Annotated[
    list[Path], typer.Argument(metavar="FILE...", help="Files of readings, one for each meter or logger.")
]
Mapping = Annotated[
    Path | None, typer.Option("--mapping", metavar="FILE.toml", help="What the columns mean, as saved by read --save.")
]
PerUnit = Annotated[
    float | None, typer.Option("--kwh-per-unit", metavar="KWH", help="Gross energy of a m³ (or other unit) of fuel.")
]
Bills = Annotated[
    list[str] | None,
    typer.Option("--bill", metavar="MONTH=AMOUNT", help="A bill to hold it against, as 2026-01=412.5."),
]
Say = Annotated[
    list[str] | None,
    typer.Option(
        "--say",
        metavar="WHAT=ANSWER",
        help="An answer to a question about the file, as clock=utc, label=end, unit=Wh or import_kwh=HEAD+HEAD.",
    ),
]
DegreeDays = Annotated[
    list[str] | None,
    typer.Option(
        "--degree-days",
        metavar="MONTH=VALUE",
        help="Degree-days of a month of the readings, as 2026-01=412 [K·d]: its actual weather. Once for each month.",
    ),
]
BaseC = Annotated[
    float | None, typer.Option("--base-c", metavar="C", help="Base temperature of the degree-days [°C].", min=0, max=30)
]
Option = Annotated[
    str | None, typer.Option("--option", metavar="NAME", help="The option of the case that was lived in.")
]
Draws = Annotated[int, typer.Option("--draws", min=640, max=200_000, help="Draws of the posterior.")]


LessHousehold = Annotated[
    bool,
    typer.Option(
        "--less-household",
        help="Take the household that the case describes (its file, or its profile) off the whole home's meter first.",
    ),
]


def bills_of(texts: list[str] | None) -> dict[str, float]:
    """Months and amounts out of MONTH=AMOUNT."""
    return months_of(texts, "--bill", "is not a month and an amount", "Write for example 2026-01=412.5")


def months_of(texts: list[str] | None, where: str, allowed: str, remedy: str) -> dict[str, float]:
    """Months and numbers out of MONTH=NUMBER, each month once.

    Raises
    ------
    CaseError
        Where one is not written so, or a month is there twice.
    """
    import re

    from simkit.errors import CaseError, Fault

    found: dict[str, float] = {}
    for text in texts or []:
        match = re.fullmatch(r"(\d{4}-(?:0[1-9]|1[0-2]))=(\d+(?:[.,]\d+)?)", text.strip())
        if match is None:
            raise CaseError(Fault(where, text, allowed, remedy))
        if match.group(1) in found:
            raise CaseError(Fault(where, text, "is the second figure for that month", "Leave one of the two"))
        found[match.group(1)] = float(match.group(2).replace(",", "."))
    return found


def said_of(texts: list[str] | None, mapping: Path | None) -> dict[str, Any]:
    """A mapping with the answers of WHAT=ANSWER laid over it.

    Raises
    ------
    CaseError
        Where one is not written so.
    """
    from simkit.errors import CaseError, Fault
    from simkit.meter.reading.mapping import read_mapping
    from simkit.meter.reading.words import QUANTITIES

    said = read_mapping(mapping) if mapping is not None else {}
    for text in texts or []:
        what, sign, answer = (part.strip() for part in text.partition("="))
        if not sign or not answer:
            raise CaseError(Fault("--say", text, "is not a question and its answer", "Write for example clock=utc"))
        if what in QUANTITIES:
            terms = {"column": answer.split("+")}
            said["columns"] = {**said.get("columns", {}), what: terms}
            said.setdefault("others", "guessed")  # an answer to one question leaves the rest as it was taken to be
        else:
            said[what] = answer
    return said


def read_all(
    files: list[Path], case: Case, mapping: Path | None, kwh_per_unit: float | None, *, less_household: bool = False
) -> list[Readings]:
    """Read every file in the zone of the home, and take its household off the whole home's meter where asked.

    Raises
    ------
    DataError
        Where one of them leaves a question open: nothing is built on a reading that is likely wrong.
    """
    found = [read_one(path, case, mapping, kwh_per_unit) for path in files]
    if less_household:
        from simkit.meter.reading.derived import less_own_household

        return less_own_household(case, found)
    return found


def read_one(path: Path, case: Case, mapping: Path | None, kwh_per_unit: float | None) -> Readings:
    """Read a file in the zone of the home.

    Raises
    ------
    DataError
        As in `read_all`.
    """
    from simkit.errors import DataError, Fault
    from simkit.meter.reading.reading import read_meter

    per_unit = kwh_per_unit
    if per_unit is None and case.fuel is not None and case.fuel.unit == "m3":
        per_unit = case.fuel.kwh_per_unit
    found = read_meter(path, zone=case.site.zone, mapping=mapping, kwh_per_unit=per_unit)
    if found.questions:
        file, question = found.report.file, found.questions[0]
        given = f"{question.what}, {question.answer}"
        allowed = f"is only {100 * question.confidence:.0f} % sure, too little to build on"
        remedy = f"Answer it with simkit read {file}, save it with --save, and give that file to --mapping"
        raise DataError(Fault(file, given, allowed, remedy))
    return found


def typed_weather(
    case: Case, readings: list[Readings], degree_days: list[str], base_c: float | None
) -> tuple[list[Readings], WeatherThen]:
    """Weather by degree-days typed in, and the readings summed by the months that those tell of.

    Raises
    ------
    CaseError
        Where the base or a month of the readings is missing, or the degree-days are not written as they should be.
    """
    from simkit.errors import CaseError, Fault
    from simkit.meter.fitting.observations import step_for
    from simkit.meter.fitting.weather_then import from_degree_days
    from simkit.meter.reading.derived import by_month, months_read

    typed = months_of(
        degree_days, "--degree-days", "is not a month and its degree-days", "Write for example 2026-01=412"
    )
    if base_c is None:
        allowed = "say nothing without the temperature that they are counted to"
        raise CaseError(Fault("--base-c", "degree-days", allowed, "Write for example --base-c 15.5"))
    untold = sorted(months_read(readings) - set(typed))
    if untold:
        remedy = f"Write --degree-days {untold[0]}=VALUE as well"
        raise CaseError(Fault("--degree-days", ", ".join(untold), "was read and has no degree-days", remedy))
    return [by_month(one) for one in readings], from_degree_days(case, typed, base_c, step_for(case, readings))
