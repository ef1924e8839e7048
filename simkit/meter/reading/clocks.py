"""Stamps of a file in; the clock they run on, the part of the interval they name, and their order, out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import product

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.meter.reading.layout import Evidence, Guess, Layout, guess_of
from simkit.meter.reading.words import END_WORDS, START_WORDS
from simkit.readers.stamps import local_midnights
from simkit.readers.table import Table

DAY = np.timedelta64(86400, "s")
Candidate = tuple[str, str]  # clock and label
Shown = tuple[dict[str, float], str]  # how likely a day is on a wall clock and on a fixed one, and why

# own, from how portals and loggers write: most keep the wall clock, and name an interval by its start
CLOCKS = {"local": 0.83, "standard": 0.07, "utc": 0.10}
LABELS = {"start": 0.80, "end": 0.18, "middle": 0.02}
# own: hour of the day about which a quantity gathers, by the sun or by the wall clock, and how far homes lie apart [h]
GATHERS = {"export_kwh": ("sun", 12.0, 0.5), "outdoor_c": ("sun", 15.0, 1.5), "import_kwh": ("wall", 17.0, 3.0)}
ODD_HOURS = 0.1  # own: how often a home's hours are quite other ones
FEWEST_DAYS = 4
WAVE_FROM = 0.03  # own: share of a quantity in its daily wave, below which that says nothing
CLOCK_WORDS = {"utc": r"\butc\b|\bgmt\b", "standard": r"standard time|winter ?time|\bcet\b|\bmez\b"}


@dataclass(frozen=True, eq=False)
class Stamps:
    """What a file's stamps are, before it is known which clock they run on.

    Attributes
    ----------
    naive
        On the file's own clock, in whatever order, (n,).
    step
        Usual length of an interval [s].
    zone
        IANA zone of the home.
    words
        What stands about the stamps: the head of their column and the lines above the table.
    labels
        How likely each part of the interval is, before any look at the stamps.
    series
        Columns of values whose hours of the day are known, by quantity, (n,).
    shown
        What days of a clock change show.
    """

    naive: Dates
    step: int
    zone: str
    words: str
    labels: Mapping[str, float]
    series: Mapping[str, Floats]
    shown: Sequence[Shown]


def words_about(table: Table, layout: Layout) -> str:
    """What stands about a file's stamps: the lines above the table, and the head of their column."""
    return " ".join((*table.above, table.head[layout.stamp]))


def in_order(naive: Dates, clock: str, offset: Floats) -> tuple[Ints, int]:
    """Order of time, keeping the repeated hour of a wall clock as it stands; and how often time goes backwards."""
    true = naive - (np.nan_to_num(offset) * 60).astype("timedelta64[s]") if clock == "offset" else naive
    falls = np.flatnonzero(np.diff(true) < np.timedelta64(0, "s"))
    if clock == "local":
        falls = falls[np.diff(true)[falls] < np.timedelta64(-7200, "s")]
    if not len(falls):
        return np.arange(len(naive)), 0
    return np.argsort(true, kind="stable"), len(falls)


def change_days(first: np.datetime64, last: np.datetime64, zone: str) -> list[tuple[np.datetime64, int]]:
    """Civil days of a clock change from first to last, with the change of their length [s]."""
    days = np.arange(first.astype("datetime64[D]"), last.astype("datetime64[D]") + np.timedelta64(2, "D"))
    lengths = np.diff(local_midnights(days, zone)) - DAY
    return [(days[k], int(lengths[k].astype(np.int64))) for k in np.flatnonzero(lengths)]


def rows_on(day: Dates, changes: Sequence[tuple[np.datetime64, int]]) -> tuple[tuple[str, int], ...]:
    """Days of a clock change with the number of rows found on each."""
    return tuple((str(d), int(np.count_nonzero(day == d))) for d, _ in changes)


def settle(stamps: Stamps, said: Mapping[str, str]) -> tuple[str, str, tuple[Guess, Guess]]:
    """Clock and part of the interval of a file's stamps, and why they are taken to be those.

    Both are weighed together: a clock that is an hour late and a stamp at the end of an hour move the sun alike.
    """
    days = np.unique(stamps.naive.astype("datetime64[D]"))
    ahead = _ahead(days, stamps.zone)
    clocks: dict[str, float] = {}
    alike: dict[str, list[str]] = {}
    for name, often in CLOCKS.items():
        same = next((held for held in clocks if np.array_equal(ahead[held], ahead[name])), name)
        clocks[same] = clocks.get(same, 0.0) + often
        alike.setdefault(same, []).append(name)
    prior = {(c, p): clocks[c] * stamps.labels[p] for c, p in product(clocks, stamps.labels)}
    evidence: list[Evidence[Candidate]] = [
        ({one: likely["local" if one[0] == "local" else "fixed"] for one in prior}, why) for likely, why in stamps.shown
    ]
    for name, pattern in CLOCK_WORDS.items():
        if re.search(pattern, stamps.words.lower()):
            # hardly anybody writes UTC above another clock: it outweighs how files usually are
            evidence.append(({one: 1.0 if one[0] == name else 0.001 for one in prior}, "the words about it say so"))
    evidence += [*_by_edges(prior, stamps, days, ahead), *_by_hours(prior, stamps, days, ahead)]
    minutes = int(ahead["standard"][0]) // 60
    standard = f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"
    written = {"local": "local", "utc": "utc", "standard": standard}
    spoken = {
        "local": f"wall time in {stamps.zone}",
        standard: f"UTC{standard} all year",
        "utc": "UTC",
        "+00:00": "UTC",
    }
    clock, first = guess_of(
        "clock", "clock", prior, evidence, part=lambda one: written[one[0]], words=spoken.__getitem__,
        otherwise="the usual one; nothing shows it: confirm it",
    )  # fmt: skip
    label, second = guess_of(
        "stamps", "label", prior, evidence, part=lambda one: one[1], words="{} of the interval".format,
        otherwise="the usual way; nothing shows it: confirm it",
    )  # fmt: skip
    shared = next(names for names in alike.values() if clock in (written[name] for name in names))
    if len(shared) > 1:  # the next file may tell them apart: no key, so that no mapping keeps the answer
        others = dict.fromkeys(spoken[written[name]] for name in shared)
        same = " and ".join(one for one in others if one != first.answer)
        why = f"{same} reads the same on all of these days" if same else first.why
        first = Guess(first.what, first.answer, first.confidence, why)
    if said.get("clock"):
        clock, first = said["clock"], Guess("clock", said["clock"], 1.0, "as said", "clock")
    if said.get("label"):
        label, second = said["label"], Guess("stamps", f"{said['label']} of the interval", 1.0, "as said", "label")
    return clock, label, (first, second)


def _ahead(days: Dates, zone: str) -> dict[str, Ints]:
    """How far each clock is ahead of UTC at the noon of each day [s]."""
    noons = pd.DatetimeIndex(days.astype("datetime64[s]") + np.timedelta64(43200, "s"))
    utc = noons.tz_localize(zone).tz_convert("UTC").tz_localize(None)
    local = np.asarray((noons - utc) / pd.Timedelta(seconds=1)).round().astype(np.int64)
    year = pd.DatetimeIndex([f"{noons[0].year}-{month:02d}-01 12:00" for month in range(1, 13)], tz=zone)
    standard = min(int(stamp.utcoffset().total_seconds()) for stamp in year)
    return {"local": local, "standard": np.full(len(days), standard), "utc": np.zeros(len(days), dtype=np.int64)}


def _by_edges(
    prior: Iterable[Candidate], stamps: Stamps, days: Dates, ahead: Mapping[str, Ints]
) -> list[Evidence[Candidate]]:
    """Files begin and end at a midnight, of their own clock or of the home's."""
    if not 0 < stamps.step < 86400:
        return []
    edges = stamps.naive.min().astype(np.int64), stamps.naive.max().astype(np.int64)
    moved = {"start": 0, "middle": stamps.step // 2, "end": stamps.step}

    def midnight(one: Candidate, k: int, own: float) -> float:
        at = int(edges[k]) - moved[one[1]] + (stamps.step if k else 0)
        civil = at + int(ahead["local"][k] - ahead[one[0]][k])
        return own * (at % 86400 == 0) + own * (civil % 86400 == 0) + (1 - 2 * own) * stamps.step / 86400

    likely = {one: midnight(one, 0, 0.45) * midnight(one, -1, 0.35) for one in prior}
    return [(likely, "so its rows begin or end at a midnight")]


def _by_hours(
    prior: Iterable[Candidate], stamps: Stamps, days: Dates, ahead: Mapping[str, Ints]
) -> list[Evidence[Candidate]]:
    """The sun shines at noon, and people cook in the evening: on a wrong clock they don't."""
    made: list[Evidence[Candidate]] = []
    if not 0 < stamps.step <= 10800:
        return made
    fixed = {clock: int(ahead[clock][0]) for clock in ("standard", "utc")}
    of_day = np.searchsorted(days, stamps.naive.astype("datetime64[D]"))
    hours = stamps.naive.astype(np.int64) % 86400 / 3600.0
    summers = [summer for summer in np.unique(ahead["local"]) if (ahead["local"] == summer).sum() >= FEWEST_DAYS]
    for name, (by, usual, apart) in GATHERS.items():
        values = stamps.series.get(name)
        if values is None or (name == "import_kwh" and "export_kwh" in stamps.series):
            continue
        middles = []
        for summer in summers:
            here = (ahead["local"] == summer)[of_day] & np.isfinite(values)
            wave = complex(np.sum(values[here] * np.exp(2j * np.pi * hours[here] / 24.0)))  # the daily one: its phase
            if abs(wave) > WAVE_FROM * float(np.sum(np.abs(values[here]))):
                middles.append((int(summer), float(np.angle(wave)) * 24.0 / (2.0 * np.pi)))
        if not middles:
            continue
        noon = solar_ahead_h(stamps.zone) if by == "sun" else None
        likely = {}
        for one in prior:
            off = []
            for summer, middle in middles:
                utc = middle - (summer if one[0] == "local" else fixed[one[0]]) / 3600.0
                utc += {"start": 0.5, "middle": 0.0, "end": -0.5}[one[1]] * stamps.step / 3600.0
                off.append((utc + (summer / 3600.0 if noon is None else noon) - usual + 12.0) % 24.0 - 12.0)
            mean, moves = float(np.mean(off)), float(np.ptp(off)) if by == "sun" else 0.0
            likely[one] = np.exp(-0.5 * (mean / apart) ** 2 - 0.5 * (moves / 0.35) ** 2) / apart + ODD_HOURS / 24.0
        words = "the sun stands highest at noon" if by == "sun" else "people use most in the evening"
        made.append((likely, f"on it {words}"))
    return made


@cache
def solar_ahead_h(zone: str) -> float:
    """How far the sun's own time is ahead of UTC at the town that names a zone [h], 0 where it isn't listed.

    The list is that of the time zone database itself, whose coordinates are ±DDMM±DDDMM, with seconds or without.
    """
    listed = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    row = re.search(rf"^\S+\t[-+]\d+([-+])(\d{{3}})(\d\d)(?:\d\d)?\t{re.escape(zone)}\b", listed, re.MULTILINE)
    if row is None:
        return 0.0
    return (-1.0 if row.group(1) == "-" else 1.0) * (int(row.group(2)) + int(row.group(3)) / 60.0) / 15.0


def shown_by_stamps(
    wall: Dates, filled: Bools, day: np.datetime64, *, change: int, step: int, zone: str
) -> Shown | None:
    """What the stamps of one day of a clock change show; None where they show nothing.

    One stray row decides nothing: it takes most of the hour's rows, and other evidence stands beside it.
    """
    if not 0 < step <= 10800 or len(wall) < 0.8 * (86400 - abs(change)) / step:
        return None
    stamps, times = np.unique(wall, return_counts=True)
    changed = changed_by(stamps, zone, change)
    hour = max(abs(change) // step, 1)
    if change > 0:
        if not changed.any():
            return None
        if times[changed].mean() > 1.5 * np.median(times):
            return {"local": 0.95, "fixed": 0.02}, f"the hour that comes twice on {day} stands twice"
        return {"local": 0.15, "fixed": 0.95}, f"the hour that comes twice on {day} stands once"
    rows = int(np.isin(wall[filled], stamps[changed]).sum()) / hour
    if rows > 0.6:
        return {"local": 0.03, "fixed": 0.95}, f"{day} has readings in the hour that the wall clock skips"
    return ({"local": 0.95, "fixed": 0.03}, f"{day} lacks the hour that the wall clock skips") if not rows else None


def changed_by(wall: Dates, zone: str, change: int) -> Bools:
    """Which of these wall times the zone's clock never shows, or shows twice where it is set back, (n,)."""
    index = pd.DatetimeIndex(wall)
    if change < 0:
        return np.asarray(index.tz_localize(zone, ambiguous=np.ones(len(wall), bool), nonexistent="NaT").isna())
    return np.asarray(index.tz_localize(zone, ambiguous="NaT", nonexistent="shift_forward").isna())


def label_odds(table: Table, layout: Layout, step: int) -> dict[str, float]:
    """How likely each part of the interval is that a stamp may name, by the head of its column and by 24:00."""
    heads = (layout.stamp, *([] if layout.time is None else [layout.time]))
    head = " ".join(table.head[k] for k in heads).lower()
    cells = table.cells[layout.time if layout.time is not None else layout.stamp]
    if layout.end is not None or re.search(START_WORDS, head):
        return {"start": 0.98, "end": 0.015, "middle": 0.005}
    if re.search(END_WORDS, head) or any("24:00" in cell for cell in cells.iloc[: 2 * 1440 // max(step // 60, 1)]):
        return {"end": 0.98, "start": 0.015, "middle": 0.005}
    return dict(LABELS)
