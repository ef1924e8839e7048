"""`simkit tariffs`: a case and tariff files in; the tariffs ranked for this home, as it is and after shifting, out."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.case.build import Case
    from simkit.decide.tariff.ranking import TariffRanking


class Held(StrEnum):
    """What may be held as it is."""

    water = "water"
    car = "car"
    rooms = "rooms"


Tariffs = Annotated[
    list[Path] | None,
    typer.Argument(
        metavar="[TARIFF]...", help="Tariff files (TOML); without any, all beside the case's own in its currency."
    ),
]
Option = Annotated[
    str | None,
    typer.Option("--option", metavar="NAME", help="Take this option of the case instead of the case itself."),
]
Keep = Annotated[list[Held] | None, typer.Option("--keep", help="What stays as it is; may be given several times.")]
Preheat = Annotated[
    float, typer.Option("--preheat", metavar="KELVIN", min=0.0, max=3.0, help="Most that rooms are warmed ahead.")
]
Slots = Annotated[
    bool, typer.Option("--extra-slots", help="Rank tariffs with extra cheap half-hours with those as well: a scenario.")
]
Ahead = Annotated[
    bool, typer.Option("--day-ahead", help="Set real control of hourly prices against perfect knowledge of them.")
]
Figure = Annotated[
    Path | None, typer.Option("--figure", metavar="FILE.png", help="Write the picture (png, svg or pdf).")
]


def tariffs(
    case: CaseArgument, tariffs: Tariffs = None, *, option: Option = None, keep: Keep = None, preheat: Preheat = 1.0,
    extra_slots: Slots = False, day_ahead: Ahead = False, figure: Figure = None, no_range: NoRange = False,
    json: Json = False,
) -> None:  # fmt: skip
    """Rank tariffs for a home, as it is and after shifting.

    Prints why the winner wins, then what each tariff costs, what its prices and what moving save, and what is moved.
    """
    require_targets(("--figure", figure, (".png", ".svg", ".pdf")))
    if figure is not None:
        needs("matplotlib", "--figure")
    home = open_case(case, option)
    files = list(tariffs) if tariffs else beside(home)
    announce_compiling()
    ranged = not no_range
    from simkit.decide.tariff.day_ahead import DayAhead
    from simkit.decide.tariff.day_ahead import day_ahead as by_control
    from simkit.decide.tariff.ranking import rank_tariffs
    from simkit.decide.tariff.shifting import Shifting

    held = {one.value for one in keep or []}
    shifting = Shifting("water" not in held, "car" not in held, 0.0 if "rooms" in held else preheat)
    with progress(len(files) + 2 + ranged + (figure is not None)) as begin:
        ranking = rank_tariffs(home, files, shifting=shifting, extra_slots=extra_slots, before_each=begin)
        if ranged:
            begin("likely ranges")
            _ = ranking.samples
        ahead: dict[str, DayAhead] = {}
        if day_ahead:
            begin("hourly prices")
            ahead = {one.tariff.name: by_control(one, shifting=shifting) for one in _hourly(home, ranking)}
        picture = b""
        if figure is not None:
            begin("figure")
            picture = _picture(ranking, figure, ranged=ranged)
    from simkit.reporting.results.tariffs import tariffs_object, tariffs_view

    if json:
        from simkit.reporting.json import as_json

        typer.echo(as_json(tariffs_object(ranking, ranged=ranged, ahead=ahead)))
    else:
        from simkit.reporting.terminal import console

        console().print(tariffs_view(ranking, ranged=ranged, ahead=ahead))
    if figure is not None:
        from simkit.schema.toml_file import write_whole

        write_whole(figure, picture)
        typer.echo(f"Written: {figure}", err=True)


def beside(case: Case) -> list[Path]:
    """Tariff files in the folder of the case's own one that are in its currency, in order of the alphabet.

    Raises
    ------
    CaseError
        Where one of them can't be read.
    """
    from simkit.tariff.tariff import read_tariff

    folder = (case.folder / case.tariff_file).parent
    found = sorted(folder.glob("*.toml"))
    return [path for path in found if path.name != "case.toml" and read_tariff(path).currency == case.currency]


def _hourly(case: Case, ranking: TariffRanking) -> list[Case]:
    """The home on each of the tariffs that have a file of prices."""
    from simkit.case.build import vary

    rows = [row for row in ranking.rows if not row.as_is.extra_slots]
    return [vary(case, tariff=row.tariff) for row in rows if any(terms.series for terms in row.tariff.versions)]


def _picture(ranking: TariffRanking, path: Path, *, ranged: bool) -> bytes:
    from io import BytesIO

    from simkit.figures.tariff.ranking import tariff_bars

    table = ranking.table(ranges=ranged)
    figure: Any = tariff_bars(table, currency=ranking.case.currency, own=ranking.own.name).figure
    content = BytesIO()
    figure.savefig(content, format=path.suffix[1:].lower(), dpi=160)
    return content.getvalue()
