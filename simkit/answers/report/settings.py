"""A year in; the sheet of what to type into the controller, as an answer of its own and as a section, out."""

from __future__ import annotations

from simkit.answers.answer import Answer
from simkit.answers.cautions import cautions_for
from simkit.answers.report.basis import Basis
from simkit.answers.schedule import sheet_table
from simkit.answers.wording import provenance_of, wrong_first
from simkit.errors import CaseError, Fault
from simkit.notation import named
from simkit.year.year import Year

QUESTION = "What is typed into the controller, winter and summer?"
KEEP_A_NOTE = "Note what stands in the controller before anything is changed, and tell whoever set it up."
NOT_SEARCHED = (
    "They are those that the case states: whether another schedule costs less at the same comfort was not looked for "
    "here."
)
SEARCHED = "They are the cheapest that were found at the same comfort or better."


def settings_answer(year: Year, today: Year | None = None, *, searched: bool = False) -> Answer:
    """Say what to type into the controller.

    Parameters
    ----------
    year
        With the settings.
    today
        With those that stand now, against which a change is told; the same when left out.
    searched
        Whether they are the best that a search found.

    Raises
    ------
    CaseError
        Where no heat pump heats the home.
    """
    if year.spf.h4 is None:
        allowed = "is not heated by a heat pump, so that its controller has nothing to be told"
        raise CaseError(
            Fault(year.case.label, year.case.name, allowed, "Name an option with a heat pump: --option NAME")
        )
    said = (
        wrong_first(year, f"these are the settings of {named(year.case.name)}, in wall time"),
        SEARCHED if searched else NOT_SEARCHED,
        KEEP_A_NOTE,
    )  # fmt: skip
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
