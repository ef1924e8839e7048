"""What a case leaves open, ranked, in; what it describes, what was filled in and what would settle it, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, provenance_of
from simkit.case.case import Case
from simkit.decide.assumptions import Assumptions
from simkit.notation import Notation
from simkit.year.year import Year

HEATED_BY = {"heat_pump": "a heat pump", "boiler": "a boiler", "hybrid": "a heat pump with a boiler beside it"}
LEAST_SHOWN = 0.5  # currency: what rounds to nothing is not said to move anything
MATTERS_SHARE = 0.002  # own: of a year's cost; what moves it less is listed apart
ASSUMED = "Assumed for you: "
SHOWN = tuple(Column(name) for name in ("moved_cost", "tried_words", "settled_words", "source_words"))


def description_answer(found: Assumptions) -> Answer:
    """Say what a case describes, and which of the values that were filled in matter most.

    Parameters
    ----------
    found
        What the case leaves open, by how much it moves the cost of a year.
    """
    year, years = found.year, [found.year, *found.options]
    notation, case = year.case.notation, year.case
    notes = tuple(dict.fromkeys(note for one in years for note in one.notes if not note.startswith(ASSUMED)))
    tables = [*_assumption_tables(found), *([_options(found)] if found.options else [])]
    return Answer(
        case.name, "Is the case sound, and what does it leave open?", tuple(_sentences(found, notation)), notation,
        tables=tuple(tables), cautions=cautions_for(years), notes=notes, provenance=provenance_of(year), in_full=True,
        data={
            "case": case.name, "valid": True, "is": case_sentence(year), "heat_loss_w_per_k": year.loss_w_per_k,
            "baseline": case.baseline or (found.options[0].case.name if found.options else None),
            "options": [
                {"name": one.case.name, "note": one.case.note, "is": case_sentence(one)} for one in found.options
            ],
            "assumptions": [
                f"{key} = {row['value_words']} ({row['source_words']})"
                for key, row in zip(found.table.index, found.table.to_dict("records"), strict=True)
            ],
        },
    )  # fmt: skip


def case_sentence(year: Year) -> str:
    """Say what a case describes in one sentence."""
    case, number = year.case, year.case.notation.number
    return (
        f"A home of {number(case.home.floor_area_m2)} m² in {case.site.zone}, heated by {_heated_by(case)}, losing "
        f"{number(year.loss_w_per_k)} W per kelvin; tariff {case.tariff.name}; the year {case.site.year} in "
        f"{number(year.axis.steps)} steps of {year.axis.step_minutes} minutes; money in {case.currency}."
    )


def _sentences(found: Assumptions, notation: Notation) -> list[str]:
    """No fault; then what matters most of what was filled in, and what would settle it."""
    label, table = found.year.case.label, found.table
    if table.empty:
        return [f"{label}: no fault found, and nothing is left open.", case_sentence(found.year)]
    said = [f"{label}: no fault found; {len(table)} values that it leaves open were filled in."]
    rows = zip(table.index, table.to_dict("records"), strict=True)
    ranked = [(key, row) for key, row in rows if row["moved_cost"] >= LEAST_SHOWN]
    if not ranked:
        return [*said, "None of them moves what a year costs.", case_sentence(found.year)]
    key, first = ranked[0]
    most = notation.money(first["moved_cost"])
    said.append(
        f"What matters most is {key}, filled in as {first['tried_words']}: it moves what a year costs by up to {most} "
        f"and would be settled by {first['settled_words']}."
    )
    if ranked[1:]:
        rest = [f"{name} ({notation.money(row['moved_cost'])})" for name, row in ranked[1:4]]
        said.append(f"Then: {', '.join(rest)}.")
    return [
        *said,
        case_sentence(found.year),
        f"Write a value into the case file and it is no longer assumed. {ESTIMATE}",
    ]


def _assumption_tables(found: Assumptions) -> list[Table]:
    """What matters, worst first; then the rest."""
    table = found.table
    if table.empty:
        return []
    least = MATTERS_SHARE * abs(found.year.bill.total)
    matters = table["moved_cost"] >= least
    less = found.year.case.notation.money(least)
    note = (
        "Each value is moved by itself, in the case and in each of its options; the largest "
        "change counts. Two that are off together may move more, or less. Where no spread is known, it is a fifth, two "
        "kelvin or the neighbouring value (own)."
    )
    ranked = Table("assumptions", "Filled in for you, worst first", table[matters], SHOWN, note, first="Value")
    small = table[~matters][["value_words", "source_words"]]
    if small.empty:
        return [ranked]
    title = f"Filled in as well: each moves a year by less than {less}, moves no bill, or wasn't moved"
    return [*([ranked] if matters.any() else []), Table("assumptions_small", title, small, first="Value")]


def _options(found: Assumptions) -> Table:
    rows = [
        {
            "option": one.case.name, "heated_by_words": _heated_by(one.case), "tariff_words": one.case.tariff.name,
            "note_words": one.case.note,
        }
        for one in found.options
    ]  # fmt: skip
    base = found.year.case.baseline or rows[0]["option"]
    return Table(
        "options", "The options", pd.DataFrame(rows).set_index("option"), note=f"Baseline: {base}.", first="Option"
    )


def _heated_by(case: Case) -> str:
    """Name what heats a home."""
    if case.heat_source == "boiler" and case.fuel is not None and case.fuel.kind == "electricity":
        return "electricity directly"
    words = HEATED_BY[case.heat_source]
    return f"{words} ({case.heat_pump.name})" if case.heat_pump and case.heat_source != "boiler" else words
