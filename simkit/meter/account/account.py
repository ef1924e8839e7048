"""A folder in; a running account kept in it: the fitted home, and every reading, what was replaced among them, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.build import options_of
from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.errors import CaseError, DataError, Fault, nearest
from simkit.meter.account.account_file import (
    ACCOUNT_FILE,
    AccountFile,
    Scatter,
    Unknown,
    read_account_file,
    write_account_file,
)  # fmt: skip
from simkit.meter.account.dated_prices import require_chargeable
from simkit.meter.account.kept import Replaced, as_csv, merged, no_history, put_right, read_kept, stream_of
from simkit.meter.fitting.lanes import NET
from simkit.meter.fitting.parameters import Parameter, with_unknowns
from simkit.meter.reading.reading import Readings, readings_from
from simkit.schema.toml_file import write_whole

if TYPE_CHECKING:
    from simkit.meter.fitting.fitted import Fit

READINGS_FILE = "readings.csv"
DIGITS = 5
DRAWS = 256  # of the fit that are kept


@dataclass(frozen=True, eq=False)
class Account:
    """A running account.

    Attributes
    ----------
    folder
        Where it is kept.
    case, old
        The home as it is lived in, and as it was before the change (None where none is named).
    held
        What is remembered of the fit and of prices, as in the file.
    unknowns
        The fitted unknowns.
    streams
        Readings by quantity: `end` and `value` by start in UTC, each in its own intervals.
    history
        Readings that were replaced: the same, with `quantity` and the day on which they were `replaced`.
    """

    folder: Path
    case: Case
    old: Case | None
    held: AccountFile
    unknowns: tuple[Parameter, ...]
    streams: Mapping[str, pd.DataFrame]
    history: pd.DataFrame

    @property
    def fitted_until(self) -> pd.Timestamp:
        """End of the readings that the home was fitted to, UTC."""
        return self.held.until(self.case.site.zone)

    @property
    def home(self) -> Case:
        """The home with the middle of the fit in it."""
        return with_unknowns(self.case, dict(zip((one.name for one in self.unknowns), self.values(1)[0], strict=True)))

    def values(self, count: int) -> Floats:
        """Sets of the unknowns as the fit drew them, the middle one in place of the first, (count, unknowns)."""
        scores = np.vstack([self.held.mean, *(row[:-1] for row in self.held.draws[1:count])])
        return np.column_stack([one.value(scores[:, j]) for j, one in enumerate(self.unknowns)])

    def scales(self, count: int) -> Floats:
        """Scatter of the days of each of those sets over that of the fit, (count,)."""
        return np.array([1.0, *(row[-1] for row in self.held.draws[1:count])])

    def readings(self, quantity: str) -> Readings | None:
        """One quantity as readings; None where it was not read."""
        if quantity not in self.streams:
            return None
        frame = self.streams[quantity].rename(columns={"value": quantity})
        return readings_from(frame, zone=self.case.site.zone, name="account")

    def daily(self, quantity: str, days: pd.DatetimeIndex) -> Floats:
        """Sums [kWh] or means [°C] of local days, (days,); NaN where a day was not read whole."""
        held = self.readings(quantity)
        return np.full(len(days), np.nan) if held is None else held.daily(quantity).reindex(days).to_numpy()


@dataclass(frozen=True)
class Added:
    """What a file brought to an account.

    Attributes
    ----------
    fresh
        New readings by quantity, late ones among them.
    replaced
        What was corrected.
    coarser
        Readings over longer intervals than those that are there: left out.
    """

    fresh: Mapping[str, int]
    replaced: tuple[Replaced, ...]
    coarser: int


def require_new(folder: Path | str) -> None:
    """Refuse a folder that holds an account already: nothing is overwritten.

    Raises
    ------
    CaseError
        In one sentence.
    """
    if (Path(folder) / ACCOUNT_FILE).exists():
        remedy = "Append to it with --add and without --start, or name another folder"
        raise CaseError(Fault(str(folder), ACCOUNT_FILE, "is there already, and nothing is overwritten", remedy))


def start_account(
    folder: Path | str, case_file: Path | str, found: Fit, readings: Readings | Sequence[Readings], *,
    old: str | None = None,
) -> Account:  # fmt: skip
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
        The readings of the whole home, and of its loggers.
    old
        Name of the option that stands for the time before the change; None takes the case's baseline.

    Raises
    ------
    CaseError
        Where the folder holds an account already, or a tariff of the case can't be charged on the days of the readings.
    DataError
        Where no readings are of the whole home, or the fit was to others.
    """
    folder, case_file = Path(folder), Path(case_file).resolve()
    several = [readings] if isinstance(readings, Readings) else list(readings)
    require_new(folder)
    whole = next((name for name in (NET, "import_kwh") if name in found.noises), None)
    if whole is None or not any("import_kwh" in one.quantities for one in several):
        remedy = "Begin it with the electricity meter's file"
        raise DataError(Fault("account", "readings without import_kwh", "are not of the whole home", remedy))
    case = read_case(case_file)
    before = _option(case, old)
    streams: dict[str, pd.DataFrame] = {}
    for one in several:
        for name in one.quantities:
            empty = stream_of(one.frame.iloc[:0], name)
            made = merged(streams.get(name, empty), stream_of(one.frame, name), name, one.report.file, correct=False)
            streams[name] = made.stream
    held = _remembered(case_file, old, found, whole)
    require_chargeable(Account(folder, case, before, held, found.unknowns, streams, no_history()))
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(folder / READINGS_FILE, as_csv(streams, no_history()))
    write_account_file(folder / ACCOUNT_FILE, held)
    return open_account(folder)


def _remembered(case_file: Path, old: str | None, found: Fit, whole: str) -> AccountFile:
    noise, number = found.noises[whole], list(found.noises).index(whole)
    days = found.window.block_starts.tz_convert(found.case.site.zone)
    end = found.window.starts[-1] + pd.Timedelta(hours=found.window.hours)
    log_noise = found.log_noise[:, number]
    middle = float(np.exp(log_noise.mean()))
    scatter = Scatter(
        meter="net_kwh" if whole == NET else "import_kwh", sd_kwh=round(noise.whole_sd * middle, 5),
        mean_kwh=round(noise.mean, 4), shares=tuple(round(float(share), 6) for share in noise.shares),
        apart=tuple(day.date() for day in found.apart(whole)),
    )  # fmt: skip
    unknown = tuple(Unknown(**{key: getattr(one, key) for key in Unknown.model_fields}) for one in found.unknowns)
    rows = found.some(DRAWS)
    draws = np.column_stack([found.scores[rows], np.exp(log_noise[rows]) / middle])
    return AccountFile(
        case=str(case_file), old=old, fitted_from=days[0].date(),
        fitted_until=end.tz_convert(found.case.site.zone).date(),
        mean=tuple(round(float(value), DIGITS) for value in found.scores.mean(axis=0)),
        draws=tuple(tuple(row) for row in np.round(draws, DIGITS).tolist()),
        scatter=scatter, unknown=unknown, prices=None,
    )  # fmt: skip


def open_account(folder: Path | str) -> Account:
    """Read an account.

    Raises
    ------
    CaseError, DataError
        Where the folder holds none, or its files were damaged: one sentence for each fault.
    """
    folder = Path(folder)
    if not (folder / ACCOUNT_FILE).exists():
        remedy = "Begin one with: simkit account FOLDER --start CASE --add FILE"
        raise CaseError(Fault(str(folder), "", "holds no account", remedy))
    held = read_account_file(folder / ACCOUNT_FILE)
    case = read_case(held.case)
    unknowns = tuple(Parameter(**one.model_dump()) for one in held.unknown)
    streams, history = read_kept(folder / READINGS_FILE)
    return Account(folder, case, _option(case, held.old), held, unknowns, streams, history)


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


def add_readings(account: Account, readings: Readings, *, correct: bool = False) -> tuple[Account, Added]:
    """Take readings into an account: late ones fill in, corrected ones replace, and what they replace is kept.

    Parameters
    ----------
    account
        The account.
    readings
        One file, of the whole home or of a logger.
    correct
        Whether it was said that they correct: then most of what is there may differ.

    Returns
    -------
    Account, Added
        The account with them, and what they brought.

    Raises
    ------
    DataError
        Where they differ from most of what is there, or hold nothing new.
    """
    streams, gone, fresh, replaced, coarser = dict(account.streams), [account.history], {}, [], 0
    today = dt.datetime.now(dt.UTC).date().isoformat()
    for name in readings.quantities:
        new = stream_of(readings.frame, name)
        new = new if correct else new[~put_right(account.history, new, name)]
        if name not in streams:
            streams[name], fresh[name] = new, len(new)
            continue
        made = merged(streams[name], new, name, readings.report.file, correct=correct)
        streams[name], fresh[name], coarser = made.stream, made.fresh, coarser + made.coarser
        gone.append(made.out.assign(quantity=name, replaced=today))
        replaced += [made.replaced] if made.replaced else []
    if not any(fresh.values()) and not replaced:
        given = "its readings"
        allowed = "are in the account already; nothing was appended"
        if coarser:
            allowed = "are there already over shorter intervals; nothing was appended"
        raise DataError(Fault(readings.report.file, given, allowed, "Name the file of the next month"))
    history = pd.concat([part for part in gone if len(part)]) if any(len(part) for part in gone) else account.history
    write_whole(account.folder / READINGS_FILE, as_csv(streams, history))
    return open_account(account.folder), Added(fresh, tuple(replaced), coarser)
