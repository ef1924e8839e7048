"""An installation looked at in; whether it computes what it should, and what it is made of, out."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.notation import PLAIN
from simkit.year.diagnosis import Diagnosis

FOUND = (Column("stored_words"), Column("got_words"), Column("agrees_words"))
REPORT = "Add all of this to a report of a fault, with the command and the case that showed it."


def diagnosis_answer(found: Diagnosis) -> Answer:
    """Say whether an installation computes what it should.

    Parameters
    ----------
    found
        What was seen of it.
    """
    return Answer(
        "This installation", "Does it compute what it should?", (_verdict(found), REPORT), PLAIN,
        tables=(_again(found), *_parts(found)),
        data={
            "sound": found.sound, "versions": dict(found.versions), "machine": dict(found.machine),
            "cache": found.cache, "speeds_ms": dict(found.speeds),
            "results": [
                {"home": home, "figure": figure, "stored": row["stored"], "got": row["got"]}
                for (home, figure), row in zip(found.table.index, found.table.to_dict("records"), strict=True)
            ],
        },
    )  # fmt: skip


def _verdict(found: Diagnosis) -> str:
    count, off = len(found.table), int((~found.table["agrees"]).sum())
    homes = found.table.index.get_level_values(0).nunique()
    if found.sound:
        return f"Yes: all {count} results stored with this version, of {homes} sample homes, were found again."
    return (
        f"No: {off} of the {count} results stored with this version came out otherwise here. Trust no figure of this "
        "installation: install simkit again in a new environment, and report what stands below if it stays so."
    )


def _again(found: Diagnosis) -> Table:
    written = found.table[["stored", "got"]].map(lambda value: PLAIN.number(value, 2))
    frame = written.rename(columns=lambda name: f"{name}_words").assign(agrees_words=found.table["agrees"])
    frame.index = pd.Index([f"{home}: {figure}" for home, figure in found.table.index], name="result")
    return Table("results", "Results of the sample homes", frame, FOUND, first="Result")


def _parts(found: Diagnosis) -> tuple[Table, ...]:
    speeds = {what: f"{PLAIN.number(ms, 1)} ms" for what, ms in found.speeds.items()}
    return (
        _words("machine", "The machine", dict(found.machine) | speeds | {"Compiled code": found.cache}),
        _words("versions", "What is installed", found.versions),
    )


def _words(name: str, title: str, rows: Mapping[str, str]) -> Table:
    frame = pd.DataFrame({"here_words": list(rows.values())}, index=pd.Index(list(rows), name="part"))
    return Table(name, title, frame, first="Part")
