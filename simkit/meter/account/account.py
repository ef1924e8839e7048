"""A folder in; a running account kept in it: the fitted home, and every reading appended, nothing overwritten."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.build import options_of
from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.errors import CaseError, DataError, Fault, nearest
from simkit.meter.fitting.fitted import Fit, with_unknowns
from simkit.meter.fitting.parameters import Parameter
from simkit.meter.reading.reading import Readings, readings_from
from simkit.schema.toml_file import write_whole

ACCOUNT_FILE, READINGS_FILE = "account.toml", "readings.csv"
KEPT = ("import_kwh", "export_kwh", "outdoor_c")
ALIKE_KWH = 0.002


@dataclass(frozen=True, eq=False)
class Account:
    """A running account.

    Attributes
    ----------
    folder
        Where it is kept.
    case, old
        The home as it is lived in, and as it was before the change (None where none is named).
    unknowns, mean, covariance
        The fitted unknowns, and their standard scores: the middle and the covariance.
    day_sd_kwh, likeness
        Scatter of days about the fit, and the likeness of neighbouring ones.
    fitted_until
        End of the readings that the home was fitted to, UTC.
    frame
        All readings: `end` and quantities by start in UTC.
    """

    folder: Path
    case: Case
    old: Case | None
    unknowns: tuple[Parameter, ...]
    mean: Floats
    covariance: Floats
    day_sd_kwh: float
    likeness: float
    fitted_until: pd.Timestamp
    frame: pd.DataFrame

    @property
    def home(self) -> Case:
        """The home with the middle of the fit in it."""
        return with_unknowns(self.case, dict(zip((one.name for one in self.unknowns), self.values(1)[0], strict=True)))

    def values(self, count: int, seed: int = 1) -> Floats:
        """Sets of the unknowns as the fit left them, the middle one first, (count, unknowns)."""
        rng = np.random.default_rng(seed)
        scores = rng.multivariate_normal(self.mean, self.covariance, size=count, method="cholesky")
        scores[0] = self.mean
        return np.column_stack([one.value(scores[:, j]) for j, one in enumerate(self.unknowns)])


def start_account(
    folder: Path | str, case_file: Path | str, found: Fit, readings: Readings, *, old: str | None = None
) -> Account:
    """Begin an account with a fitted home and the readings that it was fitted to.

    Parameters
    ----------
    folder
        A new folder, or an empty one.
    case_file
        The case file.
    found
        The fit.
    readings
        The readings of the whole home.
    old
        Name of the option that stands for the time before the change; None takes the case's baseline.

    Raises
    ------
    CaseError
        Where the folder holds an account already: nothing is overwritten.
    """
    folder, case_file = Path(folder), Path(case_file).resolve()
    if (folder / ACCOUNT_FILE).exists():
        remedy = "Append to it with --add, or name another folder"
        raise CaseError(Fault(str(folder), ACCOUNT_FILE, "is there already, and nothing is overwritten", remedy))
    if "import_kwh" not in readings.quantities:
        raise DataError(
            Fault(
                "account",
                "readings without import_kwh",
                "are not of the whole home",
                "Begin it with the electricity meter's file",
            )
        )
    noise = found.noises["import_kwh"] if "import_kwh" in found.noises else next(iter(found.noises.values()))
    scores = np.column_stack([one.score(found.draws[one.name].to_numpy()) for one in found.unknowns])
    _option(read_case(case_file), old)
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(folder / READINGS_FILE, _as_csv(_kept(readings.frame)))
    text = _as_toml(case_file, old, found, scores, sd=noise.whole_sd, likeness=noise.likeness)
    write_whole(folder / ACCOUNT_FILE, text)
    return open_account(folder)


def _as_toml(case_file: Path, old: str | None, found: Fit, scores: Floats, *, sd: float, likeness: float) -> str:
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment("A running account: written by simkit, one fitted home and how well it is known."))
    document["case"] = str(case_file)
    if old:
        document["old"] = old
    end = found.window.starts[-1] + pd.Timedelta(hours=found.window.hours)
    document["fitted_until"] = end.isoformat()
    document["day_sd_kwh"], document["likeness"] = round(sd, 5), round(likeness, 4)
    document["mean"] = [round(float(value), 6) for value in scores.mean(axis=0)]
    document["covariance"] = [[round(float(v), 8) for v in row] for row in np.atleast_2d(np.cov(scores.T))]
    tables = tomlkit.aot()
    for one in found.unknowns:
        table = tomlkit.table()
        for key in ("name", "label", "unit", "centre", "sd", "positive", "source"):
            table[key] = getattr(one, key)
        tables.append(table)
    document["unknown"] = tables
    return tomlkit.dumps(document)


def open_account(folder: Path | str) -> Account:
    """Read an account.

    Raises
    ------
    CaseError, DataError
        Where the folder holds none, or its files were damaged.
    """
    folder = Path(folder)
    try:
        held = tomllib.loads((folder / ACCOUNT_FILE).read_text(encoding="utf-8"))
        frame = _from_csv(folder / READINGS_FILE)
        unknowns = tuple(Parameter(**table) for table in held["unknown"])
        case = read_case(held["case"])
        return Account(
            folder, case, _option(case, held.get("old")), unknowns, np.array(held["mean"]),
            np.array(held["covariance"]),
            float(held["day_sd_kwh"]), float(held["likeness"]), pd.Timestamp(held["fitted_until"]), frame,
        )  # fmt: skip
    except FileNotFoundError:
        remedy = "Begin one with: simkit account FOLDER --start CASE --add FILE"
        raise CaseError(Fault(str(folder), "", "holds no account", remedy)) from None
    except (tomllib.TOMLDecodeError, KeyError, TypeError, ValueError) as problem:
        allowed = f"can't be read as an account ({problem})"
        raise DataError(
            Fault(str(folder), ACCOUNT_FILE, allowed, "Put back a copy of it, or begin anew in another folder")
        ) from None


def _option(case: Case, name: str | None) -> Case | None:
    """The option that stands for the time before, by name, or the baseline."""
    wanted = name or case.baseline
    if not wanted:
        return None
    options = {one.name: one for one in options_of(case)}
    if wanted not in options:
        near = nearest(wanted, options)
        remedy = f'Perhaps "{near}" is meant' if near else f"Its options are: {', '.join(options)}"
        raise CaseError(Fault(case.label, f'option "{wanted}"', "is not in this case", remedy))
    return options[wanted]


def whole_home(readings: Sequence[Readings]) -> Readings:
    """Readings of the whole home, with the outdoor temperatures of a logger in another file put on their intervals."""
    whole = next((one for one in readings if "import_kwh" in one.quantities), readings[0])
    logged = [one.frame["outdoor_c"] for one in readings if "outdoor_c" in one.quantities]
    if "outdoor_c" in whole.quantities or not logged:
        return whole
    hourly = logged[0].dropna().resample("60min").mean().interpolate(limit=6)
    frame = whole.frame
    if 0 < whole.step_minutes <= 60:
        frame = frame.assign(outdoor_c=hourly.reindex(pd.DatetimeIndex(frame.index).floor("60min")).to_numpy())
    else:  # days and odd spans say nothing of the hours within them: the logger keeps rows of its own
        ends = hourly.index + pd.Timedelta(hours=1)
        frame = frame.combine_first(pd.DataFrame({"end": ends, "outdoor_c": hourly}, index=hourly.index))
    return readings_from(frame.assign(estimated=False), zone=whole.zone, name=whole.report.file)


def add_readings(account: Account, readings: Readings) -> tuple[Account, int]:
    """Append readings; what is there already stays as it is.

    Returns
    -------
    Account, int
        The account with them, and how many intervals were new.

    Raises
    ------
    DataError
        Where they contradict what the account holds, or hold nothing new of the whole home.
    """
    new = _kept(readings.frame)
    if "import_kwh" not in new:
        raise DataError(
            Fault(
                readings.report.file,
                "no import_kwh",
                "is in it, and the account is of the whole home",
                "Say in a mapping which column is the whole home",
            )
        )
    both = account.frame.index.intersection(new.index)
    before, now = account.frame.loc[both, "import_kwh"], new.loc[both, "import_kwh"]
    apart = (before - now).abs() > ALIKE_KWH
    if apart.any():
        stamp = both[apart.to_numpy()][0]
        given = f"{int(apart.sum())} intervals, the first at {stamp:%Y-%m-%d %H:%M} UTC,"
        allowed = (
            f"differ from what the account holds ({now[stamp]:g} against {before[stamp]:g} kWh); nothing was appended"
        )
        raise DataError(
            Fault(readings.report.file, given, allowed, "See which file is right, and take those rows out of the other")
        )
    filled = account.frame.combine_first(new)
    fresh = int(new["import_kwh"].notna().sum()) - int((before.notna() & now.notna()).sum())
    if fresh == 0:
        raise DataError(
            Fault(
                readings.report.file,
                "its readings",
                "are in the account already; nothing was appended",
                "Name the file of the next month",
            )
        )
    write_whole(account.folder / READINGS_FILE, _as_csv(filled))
    return open_account(account.folder), fresh


def _kept(frame: pd.DataFrame) -> pd.DataFrame:
    return frame[["end", *(name for name in KEPT if name in frame)]]


def _as_csv(frame: pd.DataFrame) -> str:
    made = frame.sort_index().copy()
    made.insert(0, "start", pd.DatetimeIndex(made.index).strftime("%Y-%m-%dT%H:%MZ"))
    made["end"] = pd.DatetimeIndex(made["end"]).strftime("%Y-%m-%dT%H:%MZ")
    return made.to_csv(index=False, float_format="%.4f", lineterminator="\n")


def _from_csv(path: Path) -> pd.DataFrame:
    frame = pd.read_csv(path)
    index = pd.DatetimeIndex(pd.to_datetime(frame.pop("start"), utc=True)).as_unit("us")
    frame["end"] = pd.DatetimeIndex(pd.to_datetime(frame["end"], utc=True)).as_unit("us")
    return frame.set_index(index.rename(None))
