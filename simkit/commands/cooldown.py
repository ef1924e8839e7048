"""`simkit cooldown`: a case and a logger's file of one night without heating in; time constant and heat loss out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.meter_files import Files, Mapping, Option, read_all
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer

Since = Annotated[
    str | None, typer.Option("--from", metavar="TIME", help='When heating went off, local: "2026-01-20 22:00".')
]
Until = Annotated[str | None, typer.Option("--until", metavar="TIME", help="When it came on again, local.")]
Gain = Annotated[
    float, typer.Option("--gain-w", min=0.0, max=3000.0, help="Heat of people and appliances in that night [W].")
]


def cooldown(
    case: CaseArgument,
    files: Files,
    *,
    since: Since = None,
    until: Until = None,
    gain_w: Gain = 250.0,
    option: Option = None,
    mapping: Mapping = None,
    page: Page = None,
    csv: Csv = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Find time constant and heat loss from one logged night.

    A logger's room and outdoor temperatures from switching the heating off in the evening to switching it on. Let no
    room fall under 18 °C for it.
    """
    require_targets(case, *files, mapping, page=page, csv=csv, force=force)
    home = open_case(case, option)
    from simkit.answers.meter.cooldown import cooldown_answer
    from simkit.meter.account.cooldown import cool_down, night_of

    room, outdoor, notes = night_of(read_all(files, home, mapping, None), since=since, until=until)
    answer = cooldown_answer(cool_down(room, outdoor, home, gain_w=gain_w), notes=notes)
    show_answer(answer, json=json, page=page, csv=csv, force=force)
