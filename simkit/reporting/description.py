"""The year of a case and those of its options in; what the case describes, assumes and should be careful about, out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from simkit.answers.cautions import cautions_for
from simkit.case.build import Case
from simkit.reporting.terminal import NAME, NOTE, bullets, heading, paragraph
from simkit.reporting.words import ASSUMED, split_notes
from simkit.year.year import Year

HEATED_BY = {"heat_pump": "a heat pump", "boiler": "a boiler", "hybrid": "a heat pump with a boiler beside it"}


def description_view(year: Year, options: Sequence[Year]) -> RenderableType:
    """Lay out what a case says, what its options are, its cautions and its assumptions.

    Parameters
    ----------
    year
        Year of the case itself.
    options
        Years of its options.
    """
    case = year.case
    parts: list[RenderableType] = [heading(case.name, f"{case.label}: no fault found"), paragraph(sentence(year))]
    if options:
        parts += [heading("Options", f"against {case.baseline or options[0].case.name}")]
        parts += [bullets([option_sentence(option) for option in options]), Text()]
    cautions, assumed, method = all_notes([year, *options])
    for title, texts in (("Cautions", cautions), ("Assumed for you", assumed), ("How it is worked out", method)):
        if texts:
            parts += [heading(title), bullets(texts), Text()]
    closing = "Write a value into the case file and it is no longer assumed." if assumed else ""
    return Group(*parts, Text(closing, style=NOTE if closing else NAME))


def description_object(year: Year, options: Sequence[Year]) -> dict[str, Any]:
    """Make the JSON object of `simkit check`; arguments as for `description_view`."""
    cautions, assumed, method = all_notes([year, *options])
    named = [{"name": option.case.name, "note": option.case.note, "is": sentence(option)} for option in options]
    return {
        "case": year.case.name,
        "valid": True,
        "is": sentence(year),
        "heat_loss_w_per_k": year.loss_w_per_k,
        "baseline": year.case.baseline or (options[0].case.name if options else None),
        "options": named,
        "cautions": cautions,
        "assumptions": assumed,
        "notes": method,
    }


def sentence(year: Year) -> str:
    """Say what a case describes in one sentence."""
    case = year.case
    return (
        f"A home of {case.home.floor_area_m2:g} m² in {case.site.zone}, heated by {_heated_by(case)}, losing "
        f"{year.loss_w_per_k:.0f} W per kelvin; tariff {case.tariff.name}; the year {case.site.year} in "
        f"{year.axis.steps:,} steps of {year.axis.step_minutes} minutes; money in {case.currency}."
    )


def option_sentence(year: Year) -> str:
    """Name an option, and say what its author noted."""
    note = year.case.note or f"Heated by {_heated_by(year.case)}, tariff {year.case.tariff.name}."
    return f"{year.case.name}. {note}"


def all_notes(years: Sequence[Year]) -> tuple[list[str], list[str], list[str]]:
    """Every note of several years once: cautions, assumptions without their opening words, method."""
    notes = tuple(dict.fromkeys(note for year in years for note in year.notes))
    _, assumed, method = split_notes(notes)
    return list(cautions_for(years)), [note.removeprefix(ASSUMED) for note in assumed], method


def _heated_by(case: Case) -> str:
    """Name what heats a home."""
    if case.heat_source == "boiler" and case.fuel is not None and case.fuel.kind == "electricity":
        return "electricity directly"
    words = HEATED_BY[case.heat_source]
    return f"{words} ({case.heat_pump.name})" if case.heat_pump and case.heat_source != "boiler" else words
