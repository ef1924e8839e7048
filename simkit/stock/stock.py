"""A table of homes, tariffs and options in; every year of them in Parquet files out, by parts made anywhere.

Memory holds the table, by column, and the parts that are being made, however many homes there are. A part is written
whole or not at all, and is the same whoever made it: what was stopped is taken up where it was.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import nullcontext, suppress
from dataclasses import replace
from importlib.metadata import version
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from simkit.case.case import Case
from simkit.clients.clients import follow_parent, make_folder
from simkit.clients.home import case_of_place
from simkit.clients.table import Row
from simkit.errors import CaseError, Fault, raise_all
from simkit.kernel.kernel import many_homes
from simkit.schema.section import doubled
from simkit.schema.toml_file import half_written, write_whole
from simkit.stock.outcome import MISSING, Stock, standing
from simkit.stock.part import Job, Made, make
from simkit.stock.table import read_homes
from simkit.tariff.tariff import read_tariff

ROWS = 500  # of a part: some seconds of work, and a few megabytes
AHEAD = 4  # parts a worker that are handed out ahead
MOST_WEATHERS = 50
Progress = Callable[[int, int], None]


def sweep_homes(
    table: str | Path, folder: str | Path, *, place: str = "", options: Sequence[str] = (),
    tariffs: Sequence[str | Path] = (), weathers: int = 0, street: bool = False, rows: int = ROWS,
    workers: int = 1, client: Any = None, force: bool = False, progress: Progress = lambda _done, _all: None,
) -> Stock:  # fmt: skip
    """Simulate every home of a table, with every option, under every tariff and in every weather that is asked for.

    Parameters
    ----------
    table
        A CSV or Parquet file, as `simkit.stock.table.read_homes` takes it.
    folder
        Where the parts are written, made where it is not there. Parts of the same table that are there are kept.
    place
        Case of the rows that name none: a file beside the table, or a sample home.
    options
        Names of the place's options that each home is run with; none runs it as it stands.
    tariffs
        Tariff files that each home is charged at; none takes that of its place.
    weathers
        How many other years are run beside the usual one, from 0.
    street
        Whether the homes are those of one street or network: each then meets a household of its own, and what all
        import together is added up step by step, at some cost in time. Else all meet the same one, the most usual, as
        each does by itself.
    rows
        Homes of a part.
    workers
        Processes that make parts side by side.
    client
        A client of dask.distributed, whose workers make the parts instead; the folder must be one that they share.
    force
        Whether parts that were made from something else are written over.
    progress
        Told after each part how many homes are done, and how many there are.

    Raises
    ------
    CaseError, DataError
        For what is wrong with the whole. A row that is wrong stops no other: it is listed, with its line and reason.
    """
    table, folder = Path(table), Path(folder)
    raise_all(list(_wrong_counts(weathers=weathers, rows=rows, workers=workers)), CaseError)
    homes = read_homes(table)
    if not place and "place" not in homes.names:
        remedy = "Name the case that they stand on, or give the table a column place"
        raise CaseError(Fault(table.name, "the case of its homes", "is missing", remedy))
    where = table.parent.resolve()
    read = tuple((tariff.name, tariff) for tariff in map(read_tariff, _files(tariffs, where)))
    names = [name for name, _ in read]
    raise_all(
        [
            *doubled(names, 'tariff "{}"', "Give every tariff a name of its own"),
            *doubled(options, 'option "{}"', "Name every option once"),
        ],
        CaseError,
    )
    stands_on = case_of_place(place or str(homes.cells["place"][0]), where)
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise CaseError(Fault("", str(folder), "is no folder", "Choose another name"))
    make_folder(folder)
    jobs = _jobs(
        homes.pieces(rows), Job((), table.name, where, place, tuple(options), read, weathers, street), stands_on
    )
    made: dict[Path, Made] = {}
    begun = time.time()
    kept, done = 0, len(homes.faults)
    for path, job, found, was_there in _each(jobs, folder.resolve(), workers=workers, client=client, force=force):
        made[path] = found
        kept += was_there
        done += len(job.rows)
        progress(done, len(homes) + len(homes.faults))
    torn = [(int(fault.where.rsplit(" ", 1)[1]), "", str(fault)) for fault in homes.faults]
    missing = tuple(sorted([*torn, *(one for part in made.values() for one in part.missing)]))
    _write_missing(folder / MISSING, missing)
    _clear(folder, begun)
    return Stock(
        table, folder, tuple(sorted(made)), done, sum(part.years for part in made.values()), missing, kept,
        stands_on,
    )  # fmt: skip


def _wrong_counts(*, weathers: int, rows: int, workers: int) -> Iterator[Fault]:
    for name, value, least, most in (
        ("weathers", weathers, 0, MOST_WEATHERS),
        ("rows", rows, 1, 100_000),
        ("workers", workers, 1, 1_000),
    ):
        if not least <= value <= most:
            yield Fault("", f"{name} = {value}", f"is not between {least} and {most:,}", "Choose a number between them")


def _files(tariffs: Sequence[str | Path], folder: Path) -> list[Path]:
    """Tariff files, as they are named or beside the table."""
    return [path if os.path.isfile(path := Path(one)) else folder / path for one in tariffs]


def _jobs(pieces: Iterator[tuple[Row, ...]], like: Job, stands_on: Case) -> Iterator[Job]:
    """A job for each piece, with the digest of everything that it is made from."""
    common = {
        "version": version("home-heat-simkit"), "place": stands_on.digest, "options": like.options,
        "tariffs": [[name, tariff.model_dump(mode="json")] for name, tariff in like.tariffs],
        "weathers": like.weathers, "street": like.street,
    }  # fmt: skip
    for rows in pieces:
        places = sorted({str(row.values["place"]) for row in rows if "place" in row.values})
        own = {
            "rows": [[row.line, row.values] for row in rows],
            "places": {name: _known(name, like.folder) for name in places},
        }
        content = json.dumps(common | own, sort_keys=True, default=str)
        yield replace(like, rows=rows, digest=hashlib.sha256(content.encode()).hexdigest())


def _known(place: str, folder: Path) -> str:
    """Digest of a place; nothing where it can't be read, which is said of its rows."""
    try:
        return case_of_place(place, folder).digest
    except CaseError:
        return ""


def _each(
    jobs: Iterator[Job], folder: Path, *, workers: int, client: Any, force: bool
) -> Iterator[tuple[Path, Job, Made, bool]]:
    """Each part with what became of it, and whether it was there; what is missing is made side by side."""
    waiting: dict[Future[Made], tuple[Path, Job]] = {}
    with _pool(workers, client) as pool:
        for number, job in enumerate(jobs):
            path = folder / f"part-{number:05d}.parquet"
            if (known := _there(path, job, force=force)) is not None:
                yield path, job, known, True
            elif pool is None:
                yield path, job, make(job, path), False
            else:
                waiting[pool.submit(make, job, path)] = (path, job)
                if len(waiting) >= AHEAD * workers:
                    yield from _first(waiting)
        while waiting:
            yield from _first(waiting)


def _pool(workers: int, client: Any) -> Any:
    """What runs parts: workers of a cluster, processes here, or (None) this process itself."""
    if client is not None:
        return client.get_executor()
    if workers == 1:
        return nullcontext()
    many_homes()  # compiled once, before the processes start and find it in the cache
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=follow_parent)


def _there(path: Path, job: Job, *, force: bool) -> Made | None:
    """What became of a part that is there already; None where it is to be made."""
    if not os.path.lexists(path):
        return None
    known = standing(path)
    if known is not None and known.get("digest") == job.digest:
        return Made(int(known["years"]), tuple((line, name, why) for line, name, why in known["missing"]))
    if not force:
        allowed = "was made from another table, case, tariff or version, and nothing is overwritten unasked"
        raise CaseError(Fault("", str(path), allowed, "Choose another folder, or let --force replace it"))
    return None


def _first(waiting: dict[Future[Made], tuple[Path, Job]]) -> Iterator[tuple[Path, Job, Made, bool]]:
    """What is done next."""
    done, _ = wait(waiting, return_when=FIRST_COMPLETED)
    for one in done:
        path, job = waiting.pop(one)
        yield path, job, one.result(), False


def _clear(folder: Path, begun: float) -> None:
    """Take away what a run that was killed before this one began had half written beside the parts."""
    for path in half_written(folder, "part-*.parquet"):
        with suppress(OSError):  # another run writes or clears here too
            if path.stat().st_mtime < begun:
                path.unlink()


def _write_missing(path: Path, missing: Sequence[tuple[int, str, str]]) -> None:
    """List the rows that were not run; a list of an earlier run goes where none is missing any more."""
    if not missing:
        path.unlink(missing_ok=True)
        return
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerows([("line", "name", "reason"), *missing])
    write_whole(path, held.getvalue())
