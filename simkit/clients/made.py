"""A row, its folder and how reports look in; the report, its case and a record of it, each written whole, out.

The record tells what a report was made from and what it came to, so that a row that was done needs no second run.
"""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from simkit.answers.report.details import Details
from simkit.case.load import write_case
from simkit.clients.home import OFFER, Home, home_of
from simkit.clients.outcomes import Outcome
from simkit.clients.table import Row
from simkit.errors import CaseError, Fault, SimkitError
from simkit.schema.toml_file import write_whole

if TYPE_CHECKING:
    from simkit.answers.report.report import Report

RECORDS = "records"  # folder of the records, inside that of the reports


@dataclass(frozen=True)
class Task:
    """One home to be done; plain, so that another process can do it.

    Attributes
    ----------
    row, table
        The row, and the file it stands in.
    folder, stem, ending
        Where the report is written: its name and how it ends.
    details, logo
        How the report looks.
    force
        Whether a report that was changed is written over.
    """

    row: Row
    table: Path
    folder: Path
    stem: str
    ending: str
    details: Details
    logo: bytes | None
    force: bool = False

    @property
    def file(self) -> Path:
        """The report."""
        return self.folder / f"{self.stem}{self.ending}"

    @property
    def case(self) -> Path:
        """The case that it is made from."""
        return self.folder / f"{self.stem}.toml"

    @property
    def record(self) -> Path:
        """The record of it."""
        return self.folder / RECORDS / f"{self.stem}.json"


def standing(task: Task) -> Outcome | None:
    """What is known of a row without working anything out: its report is there, or can't be made; None else."""
    row = task.row
    try:
        known = _known(task, _digest(task, home_of(row, task.table)))
        if known is not None:
            return Outcome(row.name, row.line, known, kept=True)
        _require_ours(task)
    except SimkitError as error:
        return Outcome(row.name, row.line, None, error.faults)
    return None


def made(task: Task) -> Outcome:
    """Make the report of a row."""
    row = task.row
    try:
        home = home_of(row, task.table)
        return Outcome(row.name, row.line, _make(task, home, _digest(task, home)))
    except SimkitError as error:
        return Outcome(row.name, row.line, None, error.faults)


def _make(task: Task, home: Home, digest: str) -> dict[str, Any]:
    """Write case, report and record of a home, the record last: what has none is done again."""
    from simkit.answers.report.report import report  # loaded only where one is made

    write_case(home.case, task.case)
    ours = {"case_sha256": _sha(task.case)}
    _write_record(task, ours)  # what is stopped from here on knows its case again
    details = task.details.model_copy(update={"client": task.details.client or task.row.name})
    again = f"simkit report {task.case.name} -o {task.file.name}"
    kept = import_module("simkit.reporting.report.kept").kept  # a face's, loaded when it is asked for
    found = report(home.case, details=(details, task.logo), command=again, source=kept)
    found.write(task.file, force=task.force)
    return _write_record(task, {
        **ours, "made_from": digest, "report": task.file.name, "case": task.case.name, **_come_to(found),
        "told": home.told, "taken": home.taken, "assumed": home.assumed,
    })  # fmt: skip


def _write_record(task: Task, record: dict[str, Any]) -> dict[str, Any]:
    """Write a record whole, and hand back what will be read of it."""
    content = import_module("simkit.reporting.as_data").as_json(record)  # a face, loaded when it is written
    write_whole(task.record, content)
    return dict(json.loads(content))


def _come_to(found: Report) -> dict[str, Any]:
    """What the table over all shows of a report, as plain values."""
    offer = next(one for one in found.first.data["against_baseline"] if one["name"] == OFFER)
    gap, content = offer["range"], found.content
    return {
        "country": found.case.site.country, "currency": found.case.currency, "advised": content.advised,
        "decision": found.first.sentences[0], "years": offer["years"], "more": offer["more"],
        "more_low": None if gap is None else gap.low, "more_high": None if gap is None else gap.high,
        "year_cost": content.cost, "level": content.comfort.level, "water_short": content.comfort.water_short,
        "rooms": found.first.sentences[3], "cautions": list(found.cautions),
    }  # fmt: skip


def _digest(task: Task, home: Home) -> str:
    """Digest of everything that a report is made from: version, case, the files that it names, look and letterhead."""
    parts = [version("home-heat-simkit"), home.case.digest, task.details.model_dump_json(), task.ending]
    content = "\n".join([*parts, *(_sha(path) for path in home.case.files if path.is_file())])
    return hashlib.sha256(content.encode() + (task.logo or b"")).hexdigest()


def _sha(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _read(path: Path) -> dict[str, Any]:
    """A record; empty where there is none, or none that can be read."""
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return held if isinstance(held, dict) else {}


def _known(task: Task, digest: str) -> dict[str, Any] | None:
    """The record of a report that is there as it was written, of the same row; None where it must be made."""
    held, as_written = _read(task.record), import_module("simkit.reporting.seal").is_as_written
    same = held.get("made_from") == digest and held.get("report") == task.file.name
    return held if same and as_written(task.file) else None


def _require_ours(task: Task) -> None:
    """Refuse to write over a report or a case that somebody changed, before anything is worked out."""
    as_written = import_module("simkit.reporting.seal").is_as_written
    ours = {
        task.file: lambda: as_written(task.file),
        task.case: lambda: not task.case.is_symlink() and _sha(task.case) == _read(task.record).get("case_sha256"),
    }
    for path, unchanged in ours.items():
        if os.path.lexists(path) and not task.force and not unchanged():
            allowed = "is there already, and nothing that may have been changed by hand is overwritten"
            where = f"{task.table.name} line {task.row.line}"
            raise CaseError(Fault(where, str(path), allowed, "Move it, or let --force replace it"))
