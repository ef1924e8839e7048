"""A table of clients and a folder in; a report on each home there, and what became of every row, out."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context, parent_process
from multiprocessing.process import BaseProcess
from pathlib import Path
from signal import SIG_DFL, SIGINT, signal
from threading import Thread

from simkit.answers.report.details import Details, details_from, read_details
from simkit.clients.made import RECORDS, Task, made, standing
from simkit.clients.outcomes import Clients, Outcome
from simkit.clients.table import Row, read_clients
from simkit.errors import CaseError, Fault
from simkit.kernel.compiled import is_warm

STEM_CHARACTERS = 60  # own: of a file's name
TAKEN_STEMS = ("clients",)  # the page and the table over all


def clients(
    table: str | Path, folder: str | Path, *, ending: str = ".html", details: str | Path | None = None,
    force: bool = False, at_once: int = 1, before_each: Callable[[str], None] = lambda _: None,
    rows: Sequence[Row] | None = None,
) -> Clients:  # fmt: skip
    """Make a report on every home of a table.

    Parameters
    ----------
    table
        A CSV file or a workbook (.xlsx): a row for each home.
    folder
        Where the reports are written; made where it is not there. A report of the same row that is there already, as
        it was written, is kept.
    ending
        What each report is: ``.html`` or ``.pdf``.
    details
        Who writes the reports and how they look, a TOML file.
    force
        Whether reports that were changed by hand are written over.
    at_once
        How many homes are worked on side by side, in processes of their own.
    before_each
        Told the name of each home as it is done.
    rows
        What stands in the table, where it was read already.

    Raises
    ------
    DataError
        Where the table as a whole can't be read; a row that is wrong stops no other.
    """
    table, folder = Path(table), Path(folder)
    rows = read_clients(table) if rows is None else rows
    look, logo = (details_from({}), None) if details is None else read_details(details)
    make_folder(folder, RECORDS)
    tasks = list(_tasks(rows, table.resolve(), folder, ending, (look, logo), force=force))
    found = {outcome.line: outcome for outcome in _each(tasks, at_once, before_each)}
    return Clients(table, folder, tuple(found[row.line] for row in rows))


def make_folder(folder: Path, inside: str = "") -> None:
    """Make a folder, and one `inside` it, where they are not there."""
    try:
        (folder / inside).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        remedy = "Choose another place, or look at the rights to write there"
        raise CaseError(Fault("", f"the folder {folder}", f"can't be made ({reason})", remedy)) from None


def _tasks(
    rows: Sequence[Row], table: Path, folder: Path, ending: str, look: tuple[Details, bytes | None], *, force: bool
) -> Iterator[Task]:
    """A task for each row, its files named after the client."""
    taken = set(TAKEN_STEMS)
    for row in rows:
        plain = re.sub(r"\W+", "_", row.name.casefold()).strip("_")[:STEM_CHARACTERS] or f"line_{row.line}"
        stem = plain if plain not in taken else f"{plain}_line_{row.line}"
        taken.add(stem)
        yield Task(row, table, folder, stem, ending, *look, force=force)


def _each(tasks: Sequence[Task], workers: int, begin: Callable[[str], None]) -> Iterator[Outcome]:
    """What is there already or can't be done first; then the rest, one after the other or side by side."""
    waiting = []
    for task in tasks:
        known = standing(task)
        if known is None:
            waiting.append(task)
        else:
            begin(task.row.name)
            yield known
    alone = 1 if workers > 1 and not _is_compiled() else len(waiting) if workers <= 1 or len(waiting) == 1 else 0
    for task in waiting[:alone]:
        begin(task.row.name)
        yield made(task)
    if waiting[alone:]:
        yield from _side_by_side(waiting[alone:], workers, begin)


def _is_compiled() -> bool:
    """Whether the kernel is compiled: else the first home has to be done alone, so that it is compiled once."""
    return is_warm("run_one") and is_warm("run_many")


def _side_by_side(tasks: Sequence[Task], workers: int, begin: Callable[[str], None]) -> Iterator[Outcome]:
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=follow_parent) as pool:
        waiting = {pool.submit(made, task): task for task in tasks}
        for future in as_completed(waiting):
            begin(waiting[future].row.name)
            yield future.result()


def follow_parent() -> None:
    """In a process of its own: end at Ctrl-C without a word, and with the process that began it."""
    signal(SIGINT, SIG_DFL)
    Thread(target=_end_with, args=(parent_process(),), daemon=True).start()


def _end_with(begun_by: BaseProcess | None) -> None:
    if begun_by is not None:
        begun_by.join()
        os._exit(1)
