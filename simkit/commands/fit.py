"""`simkit fit`: a case and files of readings in; the fitted home, with what can't be known, out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.meter_files import (
    BaseC,
    DegreeDays,
    Draws,
    Files,
    LessHousehold,
    Mapping,
    Option,
    PerUnit,
    read_all,
    read_one,
    typed_weather,
)
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.meter.fitting.fitted import Fit
    from simkit.meter.fitting.several import SeveralFits
    from simkit.meter.reading.reading import Readings

Write = Annotated[
    Path | None, typer.Option("--write", metavar="CASE.toml", help="Write the fitted home as a case file (a new one).")
]


def fit(
    case: CaseArgument,
    files: Files,
    *,
    option: Option = None,
    mapping: Mapping = None,
    kwh_per_unit: PerUnit = None,
    degree_days: DegreeDays = None,
    base_c: BaseC = None,
    less_household: LessHousehold = False,
    draws: Draws = 20_000,
    write: Write = None,
    page: Page = None,
    figure: Figure = None,
    csv: Csv = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Fit a home to readings, or every home of a folder to its file.

    Prints heat loss, efficiency, household and hot water with their ranges, what the readings can't tell apart, how
    well it follows the meters, and the plain energy signature beside it. The weather that was comes from temperatures
    in the files, from the case's own file, or from degree-days typed in; else it is the usual one, which is said.

    A folder holds one file for each home, and beside it, where a home is not as CASE, a case file of the same name:
    one summary of them all, and a line for each that can't be read.
    """
    require_targets(case, *files, mapping, page=page, figure=figure, csv=csv, write=write, force=force)
    if any(file.is_dir() for file in files):
        of_one: dict[str, Any] = {
            "--write": write,
            "--degree-days": degree_days,
            "--figure": figure,
            "--less-household": less_household,
        }
        several = _folder(case, files, of_one, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws)
        show_answer(several.answer(), json=json, page=page, csv=csv, force=force)
        return
    found, files_read = fitted(
        case, files, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws, degree_days=degree_days,
        base_c=base_c, less_household=less_household,
    )  # fmt: skip
    from simkit.answers.meter.fit import fit_answer
    from simkit.case.load import write_case

    answer = fit_answer(found, files=tuple(one.report.file for one in files_read))
    show_answer(
        answer, json=json, page=page, figure=figure, csv=csv, force=force,
        write=(write, lambda path: write_case(found.fitted_case(), path)),
    )  # fmt: skip
    if write is not None and found.unsaid:
        typer.echo(f"Note in that file: {found.unsaid}", err=True)


def _folder(
    case: Path, files: list[Path], of_one: dict[str, Any], *, option: str | None, mapping: Path | None,
    kwh_per_unit: float | None, draws: int,
) -> SeveralFits:  # fmt: skip
    """Fit every home of a folder, with a progress bar."""
    from simkit.errors import CaseError, Fault, raise_all
    from simkit.meter.fitting.several import files_of, fit_folder

    faults = [
        Fault("", name, "is of one home, and a folder holds several", "Leave it out, or name one file")
        for name, given in of_one.items()
        if given
    ]
    if len(files) > 1:
        faults.append(Fault("", str(files[0]), "stands beside other files", "Name the folder alone"))
    raise_all(faults, CaseError)
    home = open_case(case, option)
    announce_compiling()
    with progress(len(files_of(files[0]))) as begin:
        return fit_folder(
            home, files[0], lambda path, of: read_one(path, of, mapping, kwh_per_unit), draws=draws, tell=begin
        )


def fitted(
    case: Path, files: list[Path], *, option: str | None, mapping: Path | None, kwh_per_unit: float | None, draws: int,
    degree_days: list[str] | None = None, base_c: float | None = None, less_household: bool = False,
) -> tuple[Fit, list[Readings]]:  # fmt: skip
    """Read the files and fit the home, with a progress bar."""
    home = open_case(case, option)
    announce_compiling()
    with progress(5) as begin:
        begin("reading")
        readings = read_all(files, home, mapping, kwh_per_unit, less_household=less_household)
        weather = None
        if degree_days:
            readings, weather = typed_weather(home, readings, degree_days, base_c)
        from simkit.meter.fitting.fitting import fit as fit_home

        found = fit_home(home, readings, weather=weather, draws=draws, progress=_telling(begin))
    return found, readings


def _telling(begin: Callable[[str], None]) -> Callable[[str, float], None]:
    """Move the bar on whenever another part of the work begins."""
    said: list[str] = []

    def tell(what: str, _share: float) -> None:
        if not said or said[-1] != what:
            said.append(what)
            begin(what)

    return tell
