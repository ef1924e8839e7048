"""Readings of a file in; what was read, whether it can be used, and what to confirm, out."""

from __future__ import annotations

from importlib.metadata import version
from typing import Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.meter.measured import METERS, Measured, figures
from simkit.meter.reading.mapping import PROVEN
from simkit.meter.reading.reading import Readings
from simkit.meter.reading.report import BillCheck, ImportReport
from simkit.meter.reading.words import TEMPERATURES, quantity_of
from simkit.notation import Notation, usual_locale
from simkit.schema.country_codes import country_of_zone

MOST_SHOWN = 5
FIRST_ROWS = 4
MOSTLY_DAYS = 0.9  # own: share of rows that are days, between them a gap or a month
LOST = {
    "duplicates": "Intervals that come twice with the same value: {}; one of each is kept.",
    "contradictions": "Intervals that come more than once with different values: {}; none of them is kept.",
    "spikes": "Values above what a home's connection carries: {}; they are left out.",
    "negatives": "Values below zero: {}; they are left out.",
    "estimated": "Readings that are marked as estimated: {}; they are kept and marked.",
    "rolled": "Times that the register ran over its top: {}; the difference is put right.",
    "swapped": "Times that the meter was swapped or reset: {}; what was used in that span is a gap.",
}


def readings_answer(readings: Readings) -> Answer:
    """Say what a file of readings was found to hold.

    Parameters
    ----------
    readings
        The readings of one file.
    """
    from simkit import figures as drawn

    notation, report = Notation(usual_locale(country_of_zone().get(readings.zone, "")), ""), readings.report
    tables = [_sums(readings), _first_rows(readings), _guesses(readings)]
    tables += [_bills(report.against_bill)] if report.against_bill else []
    carpet = Picture(
        "carpet",
        lambda figure: drawn.what_was_read(readings, notation=notation, figure=figure),
        drawn.what_was_read_sentence(readings, notation=notation),
    )
    said = (_first(readings, notation), *_not_read(readings), *_to_confirm(readings))
    return Answer(
        report.file, "What was read, and can it be used?", said, notation,
        tables=tuple(table for table in tables if len(table.frame)),
        pictures=(carpet,) if readings.step_minutes and readings.step_minutes < 1440 else (),
        notes=report_notes(report, notation), in_full=True, provenance={"simkit": version("home-heat-simkit")},
        data=_data(readings),
    )  # fmt: skip


def _first(readings: Readings, notation: Notation) -> str:
    report = readings.report
    step = f"steps of {notation.brief(report.step_minutes)} minutes" if report.step_minutes else _spans(readings)
    held = [f"{figures(kwh, notation)} kWh by {METERS.get(name, name)}" for name, kwh in report.totals_kwh.items()] + [
        f"temperatures {'of ' if name == 'room_c' else ''}{METERS[name]}"
        for name in readings.quantities
        if name in TEMPERATURES
    ]
    verdict = (
        "they can be used as they are" if report.is_good else "but: what is left out stays a gap, nothing is filled in"
    )
    verdict = "but one thing must be answered before they are used" if readings.questions else verdict
    return f"{notation.number(report.days, 1)} days in {step}: {', '.join(held)}; {verdict}."


def _spans(readings: Readings) -> str:
    """Rows that are civil days, which a clock change makes longer or shorter, or anything else."""
    hours = (readings.frame["end"] - readings.frame.index) / pd.Timedelta(hours=1)
    return "steps of a day" if hours.between(23.0, 25.0).mean() > MOSTLY_DAYS else "spans of odd length"


def _not_read(readings: Readings) -> tuple[str, ...]:
    """Columns that may have held readings and were not read."""
    left = readings.layout.left if readings.layout else ()
    said = [f'column "{head}" ({why or "nothing says of what"})' for head, why in left if not why or quantity_of(head)]
    return (f"Not read: {', '.join(said)}.",) if said else ()


def _to_confirm(readings: Readings) -> tuple[str, ...]:
    """What no reading shows, and what the next file is asked again."""
    guesses = readings.layout.guesses if readings.layout else ()
    asking = {one.key for one in readings.questions}
    open_ = [
        f"{one.what} ({one.answer}: {one.why.removesuffix(': confirm it')})"
        for one in guesses
        if one.confidence < PROVEN and not one.asks and (not one.key or one.key not in asking)
    ]
    asked = tuple(f"{question}." for question in readings.questions)
    return (*asked, f"Please confirm: {'; '.join(open_)}.") if open_ else asked


def _sums(readings: Readings) -> Table:
    """Each quantity: its sum, or its mean, and the share of the time that was read."""
    frame = readings.frame
    hours = np.asarray((frame["end"] - frame.index) / pd.Timedelta(hours=1))
    rows = {
        METERS.get(name, name): {
            "energy_kwh": None if name in TEMPERATURES else float(frame[name].sum()),
            "mean_c": float(frame[name].mean()) if name in TEMPERATURES else None,
            "read_share": float(hours[frame[name].notna()].sum() / max(hours.sum(), 1e-9)),
        }
        for name in readings.quantities
    }
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("quantity").dropna(axis=1, how="all")
    shown = tuple(Measured(str(name)) if name == "energy_kwh" else Column(str(name)) for name in table)
    return Table("sums", "What was read", table, shown, first="By")


def _first_rows(readings: Readings) -> Table:
    """The first readings, in wall time."""
    table = readings.frame.head(FIRST_ROWS)[list(readings.quantities)]
    stamps = pd.DatetimeIndex(table.index).tz_convert(readings.zone).strftime("%Y-%m-%d %H:%M")
    table = table.set_axis(stamps.rename("start"), axis=0)
    return Table("first_rows", "The first readings, in wall time", table, tuple(map(Measured, table)), first="Start")


def _guesses(readings: Readings) -> Table:
    guesses = readings.layout.guesses if readings.layout else ()
    rows = [(one.what, one.answer, one.confidence, one.why) for one in guesses]
    table = pd.DataFrame(rows, columns=["what", "taken_words", "sure_share", "why_words"]).set_index("what")
    return Table("guesses", "What its columns were taken to mean", table, first="What")


def _bills(checks: tuple[BillCheck, ...]) -> Table:
    rows = {
        one.month: {
            "read_kwh": one.read_kwh, "billed_kwh": one.billed_kwh, "read_share": one.covered,
            "off_share": one.read_kwh / one.billed_kwh - 1.0 if one.billed_kwh else None,
        }
        for one in checks
    }  # fmt: skip
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("month")
    return Table("bills", "Held against bills", table, first="Month")


def report_notes(report: ImportReport, notation: Notation) -> tuple[str, ...]:
    """What was left out, put right or is odd in a file, one sentence each."""
    first, last = (f"{stamp:%Y-%m-%d %H:%M}" for stamp in (report.first, report.last))
    number = notation.number
    said = [f"{number(report.rows)} rows, {number(report.used)} readings, {first} to {last} UTC."]
    if report.gaps:
        steps, more = sum(gap.steps for gap in report.gaps), len(report.gaps) - MOST_SHOWN
        shown = "; ".join(str(gap) for gap in report.gaps[:MOST_SHOWN]) + (
            f" and {number(more)} more" if more > 0 else ""
        )
        said.append(f"Gaps: {number(len(report.gaps))}, intervals without a reading: {number(steps)} ({shown}).")
    said += [words.format(number(count)) for name, words in LOST.items() if (count := getattr(report, name))]
    said += [
        f"Rows that are no reading ({what}): {number(count)}; left out."
        for what, count in (report.unread or {}).items()
    ]
    said += [f"Rows on {day}, when the clock changes: {count}." for day, count in report.change_days]
    return (*said, *report.notes, *report.suspicious)


def _data(readings: Readings) -> dict[str, Any]:
    report, guesses = readings.report, readings.layout.guesses if readings.layout else ()
    return {
        "file": report.file, "rows": report.rows, "readings": report.used, "quantities": list(readings.quantities),
        "first": report.first.isoformat(), "last": report.last.isoformat(), "step_minutes": report.step_minutes,
        "totals_kwh": dict(report.totals_kwh),
        "gaps": [[gap.first.isoformat(), gap.end.isoformat(), gap.steps] for gap in report.gaps],
        "usable_as_is": report.is_good and not readings.questions,
        "questions": [[one.key, *(answer for answer, _, _ in one.choices)] for one in readings.questions],
        "guesses": [[one.what, one.answer, one.confidence, one.why] for one in guesses], "mapping": readings.mapping,
    }  # fmt: skip
