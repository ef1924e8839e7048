"""An explanation in; the chain, what moves the figure, and what was checked, as an answer, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import provenance_of
from simkit.explaining.chain import Candidates, Explanation
from simkit.explaining.where import Standing

ALONE = "Each is moved alone and the year is run again; the heat loss stays as it was found."
MOST = 8  # inputs that are shown
MOST_CANDIDATES = 40  # figures that are shown
MORE = (
    "Where none of these is meant, write what it belongs to before it: input, worth, cause, week, season, range, flow, "
    "tariff, moved, measure or spread, such as “tariff 412”."
)


def explanation_answer(found: Explanation) -> Answer:
    """Say why a figure is what it is.

    Parameters
    ----------
    found
        The figure with its chain.
    """
    figure, notation = found.figure, found.figure.notation
    year, end = figure.years[-1], found.links[-1]
    made = f"{end.what}: {end.worked}" if end.worked else f"It stands in {end.source}"
    said = [f"{figure.label[:1].upper()}{figure.label[1:]}: {figure.text()}.", f"{made}."]
    if found.moved:
        first = found.moved[0]
        said.append(f"What moves it most: {first.name}; {first.how}, and it becomes {figure.written(first.value)}.")
    tables = [_chain(found)]
    if found.moved:
        tables.append(_moved(found))
    return Answer(
        year.case.name, f"Why {figure.text()}?", tuple(said), notation, tables=tuple(tables),
        cautions=cautions_for(list(figure.years)), notes=found.checked, provenance=provenance_of(year), in_full=True,
        data={
            "case": year.case.name, "key": figure.key, "label": figure.label, "value": figure.amount,
            "links": [link._asdict() for link in found.links], "moved": [moved._asdict() for moved in found.moved],
        },
    )  # fmt: skip


def _chain(found: Explanation) -> Table:
    """One row by link, from the inputs to the figure."""
    notation = found.figure.notation
    frame = pd.DataFrame(
        {
            "worked_words": [link.worked for link in found.links],
            "is_words": [link.text(notation) for link in found.links],
            "source_words": [link.source for link in found.links],
        },
        index=pd.Index([link.what for link in found.links], name="link"),
    )
    return Table("chain", "From the inputs to the figure", frame, tuple(map(Column, frame.columns)), first="What")


def _moved(found: Explanation) -> Table:
    """One row by input, the strongest first."""
    figure, shown = found.figure, found.moved[:MOST]
    frame = pd.DataFrame(
        {
            "moved_by_words": [moved.how for moved in shown],
            "moved_to_words": [figure.written(moved.value) for moved in shown],
        },
        index=pd.Index([moved.name for moved in shown], name="input"),
    )
    return Table("moves", "What moves it most", frame, tuple(map(Column, frame.columns)), ALONE, first="Input")


def candidates_answer(found: Candidates) -> Answer:
    """Ask which figure is meant.

    Parameters
    ----------
    found
        Those that it may be.
    """
    shown = found.figures[:MOST_CANDIDATES]
    frame = pd.DataFrame(
        {
            "is_words": [figure.text() for figure in shown],
            "note_words": [f"{figure.label}{_whose(figure.key, figure.years[-1].case.name)}" for figure in shown],
        },
        index=pd.Index([figure.key for figure in shown], name="key"),
    )
    columns = (Column("is_words"), Column("note_words", title="What it is"))
    table = Table("candidates", "Figures that may be meant", frame, columns, first="Ask for")
    return Answer(
        found.name, f"Which figure is meant by {found.asked}?",
        (f"{found.notation.number(len(found.figures))} figures may be meant: ask for one of them by its name.", MORE),
        found.notation,
        tables=(table,), data={"case": found.name, "asked": found.asked, "keys": [one.key for one in found.figures]},
    )  # fmt: skip


def _whose(key: str, name: str) -> str:
    return f" ({name})" if key.startswith("option.") else ""


def standing_answer(found: Standing) -> Answer:
    """Say where a number stands in a report, and what it is there.

    Parameters
    ----------
    found
        The number, and its places.
    """
    shown = found.places[:MOST_CANDIDATES]
    frame = pd.DataFrame(
        {
            "note_words": [place.where for place in shown], "is_words": [place.text for place in shown],
            "meaning_words": [place.means for place in shown],
        },
        index=pd.Index([place.heading for place in shown], name="section"),
    )  # fmt: skip
    columns = (Column("note_words", title="Where"), Column("is_words"), Column("meaning_words"))
    count = len(found.places)
    said = (
        f"The report shows {found.asked} in {'one place' if count == 1 else f'{found.notation.number(count)} places'}, "
        "and no chain is kept for it.",
        "The section in which it stands says in its notes how it was worked out. Write “input” before a key of the "
        "case to see a value that it rests on.",
    )
    table = Table("places", "Where it stands", frame, columns, first="Section")
    return Answer(
        found.name, f"Where does {found.asked} come from?", said, found.notation, tables=(table,),
        data={"case": found.name, "asked": found.asked, "places": [place._asdict() for place in found.places]},
    )  # fmt: skip
