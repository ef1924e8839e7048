"""Seasonal figures of a machine, and a measured one, in; how well the heat pump does, and what may be compared, out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, provenance_of, wrong_first
from simkit.notation import Notation, in_notation
from simkit.performance.field_trials import WHY_THEY_DIFFER
from simkit.performance.measured import Translated
from simkit.year.seasonal import Seasonal

MEANS = (
    "SPF, the seasonal performance factor, is heat per electricity over the year; H4 is the widest boundary: it counts "
    "back-up and immersion heaters, circulation pumps and standby as well."
)
BOUNDARIES_MEAN = (
    "H1 counts the compressor alone, H2 the source fan too, H3 heaters too, H4 pumps and standby too. SCOP is the "
    "standard's reference season: machine, heater and off-modes, no hot water and no circulation pump. Only figures of "
    "one boundary may be compared."
)


def performance_answer(seasonal: Seasonal, *, measured: Translated | None = None) -> Answer:
    """Say how well the heat pump does over a year.

    Parameters
    ----------
    seasonal
        The year's figures beside the standard's and the field's.
    measured
        What was measured, put at boundary H4.
    """
    year = seasonal.year
    notation = year.case.notation
    said = performance_sentences(seasonal, notation)
    said += [] if seasonal.year.spf.h4 is None else [seasonal.year.cycling.worded(notation)]
    said += [] if measured is None else [measured_sentence(measured, seasonal, notation)]
    columns = ("spf", "spf_low", "spf_high", "boundary_words", "source_words")
    names = {"low": "spf_low", "high": "spf_high", "boundary": "boundary_words", "source": "source_words"}
    frame = seasonal.table.rename(columns=names)
    figures = Table(
        "figures",
        "Figures, each with its boundary",
        frame,
        tuple(map(Column, columns)),
        BOUNDARIES_MEAN,
        first="Figure",
    )
    return Answer(
        year.case.name, "How well does the heat pump do over a year?", (*said, ESTIMATE), notation,
        tables=(figures, _reasons()),
        cautions=cautions_for([year]), notes=year.notes, notes_of_case=True, provenance=provenance_of(year),
        data=_data(seasonal, measured, said),
    )  # fmt: skip


def _reasons() -> Table:
    """Why figures of one machine differ."""
    by, why = zip(*(reason.split(": ") for reason in WHY_THEY_DIFFER), strict=True)
    frame = pd.DataFrame({"reason_words": why}, index=pd.Index(by, name="by"))
    return Table("reasons", "Why figures differ", frame, first="By")


def performance_sentences(seasonal: Seasonal, notation: Notation) -> list[str]:
    """The year's seasonal performance, what it means, and whether it is sensible for its flow temperature."""
    h4, band = seasonal.year.spf.h4, seasonal.band
    if h4 is None:
        return ["No heat pump ran in this year."]
    place = "less than" if round(h4, 1) < band.low else "more than" if round(h4, 1) > band.high else "within"
    sensible = f"{notation.number(band.low, 1)} to {notation.number(band.high, 1)}"
    flow = f"{notation.number(band.design_flow_c)}\u00a0°C"
    source = "a band of our own" if band.source == "own" else f"by {band.source}"
    said = (
        f"over the year the heat pump gives {notation.number(h4, 2)} units of heat for one of electricity (SPF H4): "
        f"{place} the {sensible} that is sensible at a design flow of {flow} ({source})"
    )
    return [wrong_first(seasonal.year, said), MEANS]


def measured_sentence(measured: Translated, seasonal: Seasonal, notation: Notation) -> str:
    """What was measured, put at H4 with its range and beside the simulated year; or why that can't be done."""
    reasons = "; ".join(in_notation(reason, notation) for reason in measured.reasons)
    if measured.h4 is None or measured.low is None or measured.high is None:
        return f"What was measured gives no SPF H4: {reasons}."
    low, high = notation.number(measured.low, 2), notation.number(measured.high, 2)
    said = f"Measured: SPF H4 {notation.number(measured.h4, 2)} (between {low} and {high})"
    if measured.measured is not None and measured.boundary != "h4":
        said += f", from {notation.number(measured.measured, 2)} at {str(measured.boundary).upper()}"
    simulated = seasonal.year.spf.h4
    if simulated is not None:
        inside = measured.low <= simulated <= measured.high
        said += ", which the simulated year fits" if inside else ", which the simulated year does not fit"
    return f"{said}: {reasons}."


def _data(seasonal: Seasonal, measured: Translated | None, said: list[str]) -> dict[str, Any]:
    """The object of a machine's seasonal figures, each with its boundary."""
    rows = [{"figure": figure, **row} for figure, row in seasonal.table.to_dict("index").items()]
    found = None
    if measured is not None:
        found = {
            "spf": measured.measured, "boundary": measured.boundary, "h4": measured.h4, "low": measured.low,
            "high": measured.high, "words": said[-1],
        }  # fmt: skip
    cycling = None if seasonal.year.spf.h4 is None else {
        name: value for name, value in vars(seasonal.year.cycling).items() if name != "by_outdoor"
    }  # fmt: skip
    return {"case": seasonal.year.case.name, "figures": rows, "cycling": cycling, "measured": found}
