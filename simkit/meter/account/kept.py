"""Readings that an account keeps and new ones in; what fills in, what corrects, and what was replaced, kept too, out.

Each quantity is a stream of its own, in its own intervals: a home's meter by half-hours, a heat meter by days. In the
file a row is one reading; one that was replaced stays in it, with the day on which that was done.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Ints
from simkit.errors import DataError, Fault, raise_all
from simkit.meter.reading.words import QUANTITIES, TEMPERATURES
from simkit.readers.text_file import read_text

COLUMNS = ["start", "end", "quantity", "value", "replaced"]
STAMP = "%Y-%m-%dT%H:%MZ"
ALIKE = 0.002  # kWh or K: meters and their files are rounded
MOST_CHANGED, FEW = 0.5, 10  # own: more of the readings that both hold differ than any correction makes, or are few
AGAIN = "Put back a copy of it, or begin anew in another folder"

Streams = Mapping[str, pd.DataFrame]


@dataclass(frozen=True)
class Replaced:
    """Readings of a quantity that a correction replaced: how many, from when to when (UTC), and their sums or means."""

    quantity: str
    count: int
    first: pd.Timestamp
    last: pd.Timestamp
    before: float
    after: float


@dataclass(frozen=True, eq=False)
class Merged:
    """A stream with new readings in it; the rows that were replaced; what was new, and what was left out as coarser."""

    stream: pd.DataFrame
    out: pd.DataFrame
    fresh: int
    replaced: Replaced | None
    coarser: int


def stream_of(frame: pd.DataFrame, quantity: str) -> pd.DataFrame:
    """One quantity out of a frame of readings: `end` and `value` by start in UTC, gaps left out."""
    made = pd.DataFrame({"end": frame["end"], "value": frame[quantity].astype(float)}, index=frame.index)
    made.index = pd.DatetimeIndex(made.index).as_unit("us").rename(None)
    made["end"] = pd.DatetimeIndex(made["end"]).as_unit("us")
    return made.dropna().sort_index()


def merged(held: pd.DataFrame, new: pd.DataFrame, quantity: str, name: str, *, correct: bool) -> Merged:
    """Take new readings of a quantity in: late ones fill gaps, others correct what is there.

    Parameters
    ----------
    held, new
        Streams.
    quantity
        What they are of.
    name
        File of the new ones, for the messages.
    correct
        Whether it was said that they correct: then most of what is there may differ.

    Raises
    ------
    DataError
        Where most readings that both hold differ, or their intervals cut each other.
    """
    if not len(held):
        return Merged(new, held, len(new), None, 0)
    first, last = _overlapped(held, new)
    count = last - first
    inside = (count == 1) & _holds(held, new, first)
    same = inside & (held["end"].to_numpy()[first.clip(max=len(held) - 1)] == new["end"].to_numpy())
    same &= held.index.to_numpy()[first.clip(max=len(held) - 1)] == new.index.to_numpy()
    finer, fresh = inside & ~same, count == 0
    coarser = ~inside & ~fresh
    whole = _whole(held, new, first, finer)
    _require_whole(held, new, first, finer & ~whole, name)
    apart = np.zeros(len(new), dtype=bool)
    apart[same] = np.abs(held["value"].to_numpy()[first[same]] - new["value"].to_numpy()[same]) > ALIKE
    _require_corrections(held, new, first, same, apart, quantity=quantity, name=name, correct=correct)
    gone = np.unique(first[apart | finer])
    taken = fresh | apart | finer
    stream = pd.concat([held.drop(held.index[gone]), new[taken]]).sort_index()
    out = held.iloc[gone]
    replaced = None
    if len(gone):
        sums = [
            part.mean() if quantity in TEMPERATURES else part.sum()
            for part in (out["value"], new["value"][apart | finer])
        ]
        replaced = Replaced(quantity, len(gone), out.index[0], out["end"].iloc[-1], float(sums[0]), float(sums[1]))
    return Merged(stream, out, int(fresh.sum()), replaced, int(coarser.sum()))


def _overlapped(held: pd.DataFrame, new: pd.DataFrame) -> tuple[Ints, Ints]:
    """First row of what is held that each new interval touches, and the one after its last."""
    first = np.searchsorted(held["end"].to_numpy(), new.index.to_numpy(), side="right")
    last = np.searchsorted(held.index.to_numpy(), new["end"].to_numpy(), side="left")
    return first.astype(np.int64), last.astype(np.int64)


def _holds(held: pd.DataFrame, new: pd.DataFrame, first: Ints) -> Bools:
    place = first.clip(max=len(held) - 1)
    starts, ends = held.index.to_numpy()[place], held["end"].to_numpy()[place]
    return np.asarray((starts <= new.index.to_numpy()) & (ends >= new["end"].to_numpy()))


def _whole(held: pd.DataFrame, new: pd.DataFrame, first: Ints, finer: Bools) -> Bools:
    """Of finer intervals, those that together fill the held one that they lie in."""
    hours = np.asarray((new["end"] - new.index) / pd.Timedelta(hours=1))
    place = first.clip(max=len(held) - 1)
    filled = np.bincount(place[finer], weights=hours[finer], minlength=len(held))
    long = np.asarray((held["end"] - held.index) / pd.Timedelta(hours=1))
    return np.asarray(filled[place] > long[place] - 0.01)


def _require_whole(held: pd.DataFrame, new: pd.DataFrame, first: Ints, broken: Bools, name: str) -> None:
    if broken.any():
        k = int(np.argmax(broken))
        longer = held.index[first[k]]
        given = f"{int(broken.sum())} intervals, the first at {new.index[k]:%Y-%m-%d %H:%M} UTC,"
        allowed = (
            f"fill only part of one that the account holds (from {longer:%Y-%m-%d %H:%M} UTC); nothing was changed"
        )
        raise DataError(Fault(name, given, allowed, "Give a file that holds all of that interval"))


def _require_corrections(
    held: pd.DataFrame, new: pd.DataFrame, first: Ints, same: Bools, apart: Bools, *, quantity: str, name: str,
    correct: bool,
) -> None:  # fmt: skip
    """Refuse a file that differs in most of what it shares with the account, unless it was said to correct it."""
    count = int(apart.sum())
    if correct or count < FEW or count <= MOST_CHANGED * same.sum():
        return
    k = int(np.argmax(apart))
    unit = "°C" if quantity in TEMPERATURES else "kWh"
    given = f"{count:,} intervals, the first at {new.index[k]:%Y-%m-%d %H:%M} UTC,"
    values = f"{new['value'].iloc[k]:g} against {held['value'].iloc[first[k]]:g} {unit}"
    allowed = (
        f"differ from what the account holds ({values}), most of what both hold: it may be another meter (one of the "
        "household alone isn't kept) or another clock; nothing was changed"
    )
    raise DataError(Fault(name, given, allowed, "If this file is the right one, name it with --correct"))


def put_right(history: pd.DataFrame, new: pd.DataFrame, quantity: str) -> Bools:
    """Which readings were replaced before: an old file that is added again doesn't undo a correction, (rows,)."""
    gone = history[history["quantity"] == quantity]
    known = set(zip(gone.index, gone["value"].round(3), strict=True))
    return np.array([one in known for one in zip(new.index, new["value"].round(3), strict=True)], dtype=bool)


def as_csv(streams: Streams, history: pd.DataFrame) -> str:
    """The file: every reading in a row, those that were replaced too."""
    parts = [stream.assign(quantity=name, replaced="") for name, stream in streams.items()]
    made = pd.concat([*parts, history])
    made.insert(0, "start", pd.DatetimeIndex(made.index).strftime(STAMP))
    made["end"] = pd.DatetimeIndex(made["end"]).strftime(STAMP)
    return made[COLUMNS].to_csv(index=False, float_format="%.4f", lineterminator="\n")


def no_history() -> pd.DataFrame:
    """A history in which nothing was replaced yet."""
    index = pd.DatetimeIndex([], tz="UTC").as_unit("us")
    return pd.DataFrame({"end": index, "value": [], "quantity": [], "replaced": []}, index=index)


def read_kept(path: Path) -> tuple[dict[str, pd.DataFrame], pd.DataFrame]:
    """Read the file of an account: the streams by quantity, and the rows that were replaced.

    Raises
    ------
    DataError
        With one sentence for each kind of fault.
    """
    text = read_text(path)
    head = text.partition("\n")[0].split(",")
    if head != COLUMNS:
        given = f'a first line "{text.partition(chr(10))[0][:60]}"'
        raise DataError(Fault(path.name, given, f'is not "{",".join(COLUMNS)}"', AGAIN))
    longer = next((k for k, line in enumerate(text.splitlines()) if line.count(",") != len(COLUMNS) - 1), None)
    if longer is not None:
        remedy = "Mend the line: numbers have a decimal point"
        raise DataError(Fault(f"{path.name} line {longer + 1}", "", f"has not {len(COLUMNS)} cells", remedy))
    rows = pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False, quoting=csv.QUOTE_NONE)
    stamps = [pd.to_datetime(rows[name], utc=True, errors="coerce", format=STAMP) for name in ("start", "end")]
    value = pd.to_numeric(rows["value"], errors="coerce")
    faults = [
        _row_fault(path, rows, stamps[0].isna() | stamps[1].isna(), "start", "holds a time that is none"),
        _row_fault(path, rows, stamps[0] >= stamps[1], "end", "ends before it begins"),
        _row_fault(path, rows, ~np.isfinite(value), "value", "holds no number"),
        _row_fault(
            path, rows, ~rows["quantity"].isin(QUANTITIES), "quantity", f"is of none of {', '.join(QUANTITIES)}"
        ),
        _row_fault(path, rows, (value < 0) & ~rows["quantity"].isin(TEMPERATURES), "value", "holds energy below zero"),
    ]
    raise_all([fault for fault in faults if fault is not None], DataError)
    index = pd.DatetimeIndex(stamps[0]).as_unit("us").rename(None)
    made = pd.DataFrame({"end": pd.DatetimeIndex(stamps[1]).as_unit("us"), "value": value.to_numpy()}, index=index)
    made["quantity"], made["replaced"] = rows["quantity"].to_numpy(), rows["replaced"].to_numpy()
    now = made[made["replaced"] == ""]
    streams = {name: now[now["quantity"] == name][["end", "value"]].sort_index() for name in QUANTITIES}
    streams = {name: stream for name, stream in streams.items() if len(stream)}
    for name, stream in streams.items():
        over = stream.index[1:] < pd.DatetimeIndex(stream["end"])[:-1]
        if over.any():
            at = stream.index[1:][over][0]
            given = f"{name} from {at:%Y-%m-%d %H:%M} UTC"
            raise DataError(Fault(path.name, given, "is read twice", AGAIN))
    if "import_kwh" not in streams:
        raise DataError(Fault(path.name, "no row", "is of import_kwh, the whole home", AGAIN))
    return streams, made[made["replaced"] != ""]


def _row_fault(path: Path, rows: pd.DataFrame, bad: pd.Series, column: str, allowed: str) -> Fault | None:
    if not bad.any():
        return None
    k = int(np.argmax(bad.to_numpy()))
    more = f" ({int(bad.sum()):,} rows)" if bad.sum() > 1 else ""
    return Fault(f"{path.name} line {k + 2}", f'"{rows[column].iloc[k][:40]}"', f"{allowed}{more}", AGAIN)
