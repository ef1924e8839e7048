"""What a report works from, or a year, in; the sheet of what to type into the controller, as an answer, out."""

from __future__ import annotations

from simkit.answers.answer import Answer
from simkit.answers.cautions import cautions_for
from simkit.answers.report.basis import Basis
from simkit.answers.schedule import sheet_table
from simkit.answers.wording import named, provenance_of
from simkit.year.year import Year

QUESTION = "What is typed into the controller, winter and summer?"
NOT_SEARCHED = (
    "They are those that the case states: whether another schedule costs less at the same comfort was not looked for "
    "here. Note what stands in the controller before anything is changed."
)


def settings_answer(year: Year, today: Year | None = None) -> Answer:
    """Say what to type into the controller.

    Parameters
    ----------
    year
        With the settings.
    today
        With those that stand now, against which a change is told; the same when left out.
    """
    said = (f"These are the settings of {named(year.case.name)}, in wall time.", NOT_SEARCHED)
    table = sheet_table(year, today or year)
    return Answer(
        year.case.name, QUESTION, said, year.case.notation, tables=(table,), cautions=cautions_for([year], {"flow"}),
        notes=year.notes, notes_of_case=True, provenance=provenance_of(year),
        data={"case": year.case.name, "settings": table.frame.reset_index().to_dict("records")},
    )  # fmt: skip


def settings(basis: Basis) -> Answer | None:
    """The sheet of what a report advises; nothing where no heat pump runs."""
    if basis.chosen.spf.h4 is None:
        return None
    from simkit.year.simulate import simulate

    return basis.titled(settings_answer(basis.chosen, simulate(basis.case)))
