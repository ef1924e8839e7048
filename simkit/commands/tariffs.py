"""`simkit tariffs`: a case and tariff files in; the tariffs ranked for this home, as it is and after shifting, out."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.case.case import Case
    from simkit.decide.tariff.ranking import TariffRanking


class Held(StrEnum):
    """What may be held as it is."""

    water = "water"
    car = "car"
    rooms = "rooms"


Tariffs = Annotated[
    list[Path] | None,
    typer.Argument(
        metavar="[TARIFF]...",
        help="Tariff files (TOML); without any, those beside the case's own that are sold in its country and currency.",
    ),
]
Keep = Annotated[list[Held] | None, typer.Option("--keep", help="What stays as it is; may be given several times.")]
Preheat = Annotated[
    float, typer.Option("--preheat", metavar="KELVIN", min=0.0, max=3.0, help="Most that rooms are warmed ahead.")
]
Granted = Annotated[
    bool,
    typer.Option(
        "--with-granted", help="Rank tariffs whose supplier may grant cheap half-hours with those as well: a scenario."
    ),
]
Ahead = Annotated[
    bool, typer.Option("--day-ahead", help="Set real control of hourly prices against perfect knowledge of them.")
]


def tariffs(
    case: CaseArgument, tariffs: Tariffs = None, *, option: Option = None, keep: Keep = None, preheat: Preheat = 1.0,
    with_granted: Granted = False, day_ahead: Ahead = False, page: Page = None, figure: Figure = None, csv: Csv = None,
    no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Rank tariffs for a home, as it is and after shifting.

    Prints which tariff suits the home and why, then what each costs, what its prices and what moving save, and what is
    moved.
    """
    require_targets(case, *(tariffs or []), page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    files = list(tariffs) if tariffs else beside(home)
    announce_compiling()
    ranged = not no_range
    from simkit.answers.money.tariff import tariff_answer
    from simkit.decide.tariff.day_ahead import DayAhead
    from simkit.decide.tariff.day_ahead import day_ahead as by_control
    from simkit.decide.tariff.ranking import rank_tariffs
    from simkit.decide.tariff.shifting import Shifting

    held = {one.value for one in keep or []}
    shifting = Shifting("water" not in held, "car" not in held, 0.0 if "rooms" in held else preheat)
    with progress(len(files) + 2 + ranged) as begin:
        ranking = rank_tariffs(home, files, shifting=shifting, granted=with_granted, before_each=begin)
        if ranged:
            begin("likely ranges")
            _ = ranking.samples
        ahead: dict[str, DayAhead] = {}
        if day_ahead:
            begin("hourly prices")
            ahead = {one.tariff.name: by_control(one, shifting=shifting) for one in _hourly(home, ranking)}
        begin("what it comes to")
        answer = tariff_answer(ranking, ranged=ranged, ahead=ahead)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)


def beside(case: Case) -> list[Path]:
    """Tariff files beside the case's own one that are in its currency and, where they say so, sold in its country.

    Raises
    ------
    CaseError
        Where one of them can't be read.
    """
    from simkit.tariff.tariff import read_tariff

    folder = (case.folder / case.tariff_file).parent
    files = [path for path in sorted(folder.glob("*.toml")) if path.name != "case.toml"]
    found = zip(files, map(read_tariff, files), strict=True)
    here = (None, case.site.country)
    return [path for path, one in found if one.currency == case.currency and one.sold_in in here]


def _hourly(case: Case, ranking: TariffRanking) -> list[Case]:
    """The home on each of the tariffs that have a file of prices."""
    from simkit.case.build import vary

    rows = [row for row in ranking.rows if not row.as_is.granted]
    return [vary(case, tariff=row.tariff) for row in rows if any(terms.series for terms in row.tariff.versions)]
