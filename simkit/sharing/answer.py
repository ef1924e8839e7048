"""A home made to be shared in; what was taken out, and how far its results moved, as an answer, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.wording import provenance_of
from simkit.sharing.private import KEPT
from simkit.sharing.share import WITHIN, Shared

LOOK = "Look it through before you send it: what was written into other places than these is not known."


def shared_answer(found: Shared) -> Answer:
    """Say what was taken out of a home, and how far its results moved.

    Parameters
    ----------
    found
        The home as it is shared.
    """
    base = found.before.base
    notation = base.case.notation
    bound, moved = notation.share(WITHIN), notation.share(found.moved, 1)
    held = f"within {bound}" if found.moved <= WITHIN else f"which is more than {bound}: say so when you send it"
    said = (
        f"{found.folder} holds the home without what tells whose it is.",
        f"The cost of a year moves by {moved} at most, {held}.",
        f"Kept, because results rest on it: {'; '.join(KEPT)}.",
        LOOK,
    )
    return Answer(
        base.case.name, "What may be shared?", said, notation, tables=(_changes(found), _results(found)),
        provenance=provenance_of(base),
        data={
            "folder": str(found.folder), "moved": found.moved, "kept": list(KEPT),
            "changes": [change._asdict() for change in found.changes],
        },
    )  # fmt: skip


def _changes(found: Shared) -> Table:
    frame = pd.DataFrame(
        {"note_words": [change.what for change in found.changes]},
        index=pd.Index([change.where for change in found.changes], name="key"),
    )
    columns = (Column("note_words", title="What became of it"),)
    return Table("changes", "Taken out or made less exact", frame, columns, first="Where")


def _results(found: Shared) -> Table:
    pairs = list(zip(found.before.years, found.after.years, strict=True))
    was, now = ([year.bill.total for year in years] for years in zip(*pairs, strict=True))
    frame = pd.DataFrame(
        {
            "note_words": [after.case.name for _, after in pairs], "year_cost": was, "shared_cost": now,
            "off_share": [after / before - 1.0 if before else 0.0 for before, after in zip(was, now, strict=True)],
        },
        index=pd.Index([before.case.name for before, _ in pairs], name="option"),
    )  # fmt: skip
    columns = (
        Column("note_words", title="Shared as"), Column("year_cost"), Column("shared_cost"),
        Column("off_share", title="Moved by"),
    )  # fmt: skip
    return Table("results", "What a year costs, before and after", frame, columns, first="Option")
