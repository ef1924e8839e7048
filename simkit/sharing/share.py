"""A case in; a folder that holds the same home without private data, and how far its results moved, out."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.setting import setting_for, step_of
from simkit.case.build import case_from, vary
from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.case.named_files import with_files_turned
from simkit.case.sample_homes import CASE_FILE
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.profiles.household_file import kw_from_file
from simkit.schema.toml_file import write_whole
from simkit.schema.toml_layout import laid_out
from simkit.sharing.private import Blurred, Change
from simkit.tariff.tariff import Tariff, files_turned, read_tariff
from simkit.year.compare import Comparison, compare

REMARK = (
    "A home without what tells whose it is: names, notes, days and the exact place are taken out or made less exact."
)
WITHIN = 0.01  # of a year's cost: results that moved further are said
PLAIN_WEATHER = "plain values of the year that is run; station and head left out"
USUAL_DAYS = "mean of each hour of each month’s workdays and weekends"
WEATHER_COLUMNS = ("outdoor_c", "humidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2")


@dataclass(frozen=True, eq=False, repr=False)
class Shared(Answered):
    """A home made to be shared.

    Attributes
    ----------
    folder
        Where it stands; nothing of the old files is needed with it.
    changes
        What was taken out or made less exact.
    before, after
        What a year costs with each option, as it was and as it is shared.
    """

    answered_by = "simkit.sharing.answer:shared_answer"
    folder: Path
    changes: tuple[Change, ...]
    before: Comparison
    after: Comparison

    @property
    def moved(self) -> float:
        """The most that the cost of an option moved, as a share of it."""
        pairs = zip(self.before.years, self.after.years, strict=True)
        return max(abs(now.bill.total - was.bill.total) / max(abs(was.bill.total), 1.0) for was, now in pairs)


def share(case: Case, folder: str | Path) -> Shared:
    """Write a case without private data into a new folder, with every file that it names.

    Names, notes, sources of amounts and remarks are taken out; the place is rounded to half a degree, days to their
    month. A weather file becomes plain hours without its station; a file of household use becomes the mean of each hour
    of each month's workdays and weekends; a tariff keeps its terms, a file of prices its prices.

    Parameters
    ----------
    case
        The home, with its options.
    folder
        A folder that is not there yet.

    Returns
    -------
    Shared
        What was changed, and what a year costs before and after.

    Raises
    ------
    CaseError
        Where the folder is there already or can't be made.
    """
    folder = Path(folder)
    if folder.exists() or folder.is_symlink():
        raise CaseError(
            Fault("", f"the folder {folder}", "is there already, and nothing is overwritten", "Choose a new name")
        )
    if not folder.resolve().parent.is_dir():
        why = f"has no folder {folder.resolve().parent} to stand in"
        raise CaseError(Fault("", f"the folder {folder}", why, "Make the folder above it first"))
    before = compare(case)
    with tempfile.TemporaryDirectory(prefix=".simkit-", dir=folder.resolve().parent) as beside:
        built = Path(beside) / "shared"
        built.mkdir()
        changes = _Sharing(case, built).write()
        shutil.copytree(built, folder)
    try:
        after = compare(read_case(folder / CASE_FILE))
    except BaseException:  # a home that does not run is not shared
        shutil.rmtree(folder)
        raise
    return Shared(folder, changes, before, after)


class _Sharing:
    """Writes one case and its files."""

    def __init__(self, case: Case, folder: Path) -> None:
        self.case, self.folder, self.blurred = case, folder, Blurred()
        self.written: dict[str, str] = {}

    def write(self) -> tuple[Change, ...]:
        """Write everything; what was changed."""
        stated = self._files(self.blurred.case(_plain(self.case.stated)))
        options = [self._files(option) for option in stated.get("option", ())]
        table = {**stated, **({"option": options} if options else {})}
        case_from(table, folder=self.folder, label=CASE_FILE)
        write_whole(self.folder / CASE_FILE, laid_out(Case, table, options=Case, remark=REMARK))
        self.blurred.changes.append(Change("remarks of the files", "left out"))
        return tuple(self.blurred.changes)

    def _files(self, table: Mapping[str, Any]) -> dict[str, Any]:
        """A table with its files copied without private data, and named by what they are."""
        held = dict(table)
        if isinstance(held.get("tariff"), Tariff):
            held["tariff"] = self._tariff(held["tariff"])
        weather, household = held.get("weather") or {}, held.get("household") or {}
        if weather.get("file"):
            held["weather"] = self._weather(weather)
        if household.get("file"):
            held["household"] = {**household, "file": self._household(household["file"])}
        return with_files_turned(held, self._turned)

    def _turned(self, name: str) -> str:
        """A path that is named anywhere else: a tariff; what is copied already stays."""
        if name in self.written.values():
            return name
        if Path(name).suffix.lower() != ".toml":
            remedy = "Take that measure out of the case before it is shared"
            raise CaseError(Fault(self.case.label, name, "is a file that a measure names, and is not shared", remedy))
        return self._tariff(read_tariff(self.case.folder / name), str((self.case.folder / name).resolve()))

    def _tariff(self, tariff: Tariff, key: str | None = None) -> str:
        key = key or str(hash(tariff))
        if key not in self.written:
            number = self._name(key, "tariff", ".toml")
            table = self.blurred.tariff(tariff.model_dump(by_alias=True, exclude_none=True, mode="python"), number)
            table = files_turned(_plain(table), self._prices)
            write_whole(self.folder / self.written[key], laid_out(Tariff, table))
        return self.written[key]

    def _name(self, key: str, kind: str, ending: str = ".csv") -> int:
        """Give a file its name, ``tariff_1.toml`` for the first of its kind, and hand back its number."""
        number = 1 + sum(name.startswith(f"{kind}_") for name in self.written.values())
        self.written[key] = f"{kind}_{number}{ending}"
        return number

    def _prices(self, path: str) -> str:
        if path not in self.written:
            self._name(path, "prices")
            write_whole(self.folder / self.written[path], Path(path).read_bytes())
        return self.written[path]

    def _weather(self, said: Mapping[str, Any]) -> dict[str, Any]:
        """The hours of a weather file on the year that is run, without its head and its station."""
        key = f"weather {sorted(map(str, said.items()))}"
        if key not in self.written:
            self._name(key, "weather")
            read = setting_for(vary(self.case, {"weather": dict(said), "option": None, "baseline": None}), priced=False)
            frame = read.weather.frame[list(WEATHER_COLUMNS)].round(4)
            frame.index = pd.Index(read.axis.utc.strftime("%Y-%m-%dT%H:%MZ"), name="time")
            write_whole(self.folder / self.written[key], frame.to_csv(lineterminator="\n"))
            self.blurred.changes.append(Change("weather.file", PLAIN_WEATHER))
        columns = {"time": "time", **{name: name for name in WEATHER_COLUMNS}}
        return {"file": self.written[key], "format": "csv", "label": "start", "clock": "utc", "columns": columns}

    def _household(self, name: str) -> str:
        path = (self.case.folder / name).resolve()
        if str(path) not in self.written:
            self._name(str(path), "household")
            site = self.case.site
            axis = TimeAxis(site.zone, site.year, step_of(self.case)[0])
            usual = usual_days(axis, kw_from_file(axis, path))
            lines = [
                f"{stamp},{kw:.4f}" for stamp, kw in zip(axis.utc.strftime("%Y-%m-%dT%H:%M+00:00"), usual, strict=True)
            ]
            write_whole(self.folder / self.written[str(path)], "\n".join(["start,use kW", *lines, ""]))
            self.blurred.changes.append(Change("household.file", USUAL_DAYS))
        return self.written[str(path)]


def usual_days(axis: TimeAxis, kw: Floats) -> Floats:
    """The mean of each time of day over the workdays, and over the weekends, of each month, (steps,) [kW].

    What a month uses stays what it is; no day of it is told from another.
    """
    weekend = axis.local.day_of_week >= 5
    groups = pd.Series(kw).groupby([axis.month, np.asarray(weekend), axis.minute_of_day])
    return np.asarray(groups.transform("mean"), dtype=np.float64)


def _plain(value: Any) -> Any:
    """Plain tables and lists, days and tariffs as they are."""
    if isinstance(value, Mapping):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return value
