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
    Mapping,
    Option,
    PerUnit,
    read_all,
    typed_weather,
)
from simkit.commands.outputs import Json, needs, require_new, require_targets, show
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.meter.fitting.fitted import Fit
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
    draws: Draws = 20_000,
    write: Write = None,
    json: Json = False,
) -> None:
    """Fit a home to readings.

    Prints heat loss, efficiency, household and hot water with their ranges, what the readings can't tell apart, how
    well it follows the meters, and the plain energy signature beside it. The weather that was comes from temperatures
    in the files, from the case's own file, or from degree-days typed in; else it is the usual one, which is said.
    """
    require_targets(("--write", write, (".toml",)))
    require_new("--write", write)
    found, readings = fitted(
        case, files, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws, degree_days=degree_days,
        base_c=base_c,
    )  # fmt: skip
    signature = signature_sentences(found)
    from simkit.reporting.terminal import sections

    signed = ("Energy signature", "the plain method, for comparison", signature)
    show(
        lambda: fit_object(found, readings) | {"signature": list(signature)},
        lambda: sections([(found.case.name, "fitted home", found.sentences()), signed]),
        json=json,
    )
    if write is not None:
        from simkit.case.load import write_case

        write_case(found.fitted_case(), write)
        typer.echo(f"Written: {write}", err=True)


def fitted(
    case: Path, files: list[Path], *, option: str | None, mapping: Path | None, kwh_per_unit: float | None, draws: int,
    degree_days: list[str] | None = None, base_c: float | None = None,
) -> tuple[Fit, list[Readings]]:  # fmt: skip
    """Read the files and fit the home, with a progress bar."""
    needs("emcee", "the posterior")
    home = open_case(case, option)
    announce_compiling()
    with progress(5) as begin:
        begin("reading")
        readings = read_all(files, home, mapping, kwh_per_unit)
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


def signature_sentences(found: Fit) -> tuple[str, ...]:
    """The energy signature of the whole home's days, or why there is none."""
    from simkit.errors import DataError
    from simkit.meter.account.signature import energy_signature

    rows = found.residuals[found.residuals["days"] < 1.1]
    meter = next((name for name in ("import_kwh", "heat_pump_kwh", "fuel_kwh") if (rows["meter"] == name).any()), None)
    if meter is None and (rows["meter"] == "net_kwh").any():
        return ("With panels a day follows the sun as well as the cold: no signature is drawn.",)
    if meter is None:
        return ("There are no single days to draw it from.",)
    rows = rows[rows["meter"] == meter].set_index("start")
    try:
        return energy_signature(rows["measured"], rows["outdoor_c"]).sentences()
    except DataError as problem:
        return (str(problem),)


def fit_object(found: Fit, readings: list[Readings]) -> dict[str, Any]:
    """A fit as plain data."""
    return {
        "case": found.case.name,
        "files": [one.report.file for one in readings],
        "unknowns": {
            str(name): {key: row[key] for key in ("unit", "prior", "low", "middle", "high", "spread_left")}
            for name, row in found.table.to_dict("index").items()
        },
        "tied": [list(pair) for pair in found.tied()],
        "metrics": {
            name: {"nmbe": m.nmbe, "cv_rmse": m.cv_rmse, "nmbe_less_one": m.nmbe_less_one,
                   "cv_rmse_less_one": m.cv_rmse_less_one, "count": m.count}
            for name, m in found.metrics.items()
        },
        "draws": len(found.draws),
        "notes": list(found.sentences()),
    }  # fmt: skip
