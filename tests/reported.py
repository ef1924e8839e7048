"""The flagship home made small in, a report on it out, made once: few options, measures and futures keep it quick."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from homes import SAMPLES

from simkit.answers.report.report import Report, report
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.load import read_case

FUTURES = 16
OPTIONS = ("Oil boiler, as lived", "Oil boiler, same comfort", "Cheap-night tariff")
NASTY = '<b>&amp; "=1+1" </b>\u202e'
LONG = "w" * 10_000


@cache
def small_home() -> Case:
    """The estuary home with three options, three measures and few futures, its loss stated."""
    case = read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    options = [option for option in case.stated["option"] if option["name"] in OPTIONS]
    measures = case.stated["money"]["measure"][:3]
    return vary(
        case,
        {"option": options, "money.measure": measures, "uncertainty.lanes": FUTURES, "home.loss.w_per_k": 250.0},
    )


@cache
def small_report(language: str = "en") -> Report:
    """A report on it, with everything that an author may say."""
    return report(small_home(), details={"language": language, "author": "A. Author", "firm": "Invented Ltd"})


def with_content(made: Report, **changes: Any) -> Report:
    """The same report with other sections, or another first page."""
    return replace(made, content=replace(made.content, **changes))


def written(made: Report, path: Path, **how: Any) -> Path:
    return made.write(path, **how)
