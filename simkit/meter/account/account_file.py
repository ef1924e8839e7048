"""What an account remembers of its fit and of prices in; `account.toml` out, and back, its faults in sentences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Literal

import pandas as pd
from pydantic import Field

from simkit.errors import CaseError, Fault, raise_all
from simkit.schema.messages import checked
from simkit.schema.section import Section, number, said, text
from simkit.schema.toml_file import read_toml, write_whole

ACCOUNT_FILE = "account.toml"
WAYS = 5  # in which a day's scatter lasts: those of `simkit.meter.fitting.noise.PERSISTENCE`
HIGHEST_SCORE = 6.0  # of a draw under its prior: a fit lies far within
LEAST_DRAWS, MOST_DRAWS = 128, 1024  # a range of one home in ten takes a hundred; a fit's draws are kept thinned
LEAST_SCALE, HIGHEST_SCALE = 0.1, 10.0
AGAIN = "Put back a copy of the file, or begin anew in another folder"
REMARK = "A running account: written by simkit, one fitted home and how well it is known."


class Unknown(Section):
    """One fitted unknown and its prior."""

    name: Literal[
        "loss_w_per_k", "held_k", "efficiency", "cold", "base_kwh", "steady_kwh", "gains", "windows", "mass", "draws"
    ] = said("Its name", example="loss_w_per_k")
    label: str = text("Its name in words", example="heat loss")
    unit: str = text("Its unit", example="W/K")
    centre: float = number(-1e5, 1e5, "", "Middle of the prior", example=200.0)
    sd: float = number(1e-4, 1e4, "", "Standard deviation of the prior", example=0.1)
    positive: bool = said("Whether its logarithm is normal", example=True)
    source: str = text("Where the prior comes from", example="own")

    def clashes(self) -> Iterator[Fault]:
        """Yield a middle that has no logarithm."""
        if self.positive and self.centre <= 0.0:
            yield Fault("", f"centre = {self.centre:g}", "has no logarithm, and positive is true", AGAIN)


class Scatter(Section):
    """How the days of the whole home stray from the fit."""

    meter: Literal["import_kwh", "net_kwh"] = said("Meter that it is of", example="import_kwh")
    sd_kwh: float = number(0.01, 1000, "kWh", "Scatter of a day of the mean load", example=2.5)
    mean_kwh: float = number(0.01, 10_000, "kWh", "Mean load of a day", example=25.0)
    shares: tuple[float, ...] = said("Shares of the ways in which it lasts", example=[0.5, 0.0, 0.5, 0.0, 0.0])
    apart: tuple[dt.date, ...] = said("Fitted days that count for little", example=[dt.date(2025, 1, 3)])

    def clashes(self) -> Iterator[Fault]:
        """Yield shares that are none."""
        right = len(self.shares) == WAYS and all(0.0 <= share <= 1.0 for share in self.shares)
        if not right or abs(sum(self.shares) - 1.0) > 0.01:
            given = f"shares = {list(self.shares)}"[:80]
            yield Fault("", given, f"are not {WAYS} shares that add up to 1", AGAIN)


class DatedPrices(Section):
    """Prices that hold from a date on; what is left out stays as it was."""

    valid_from: dt.date = said("First day on which they hold", example=dt.date(2026, 3, 1))
    tariff: str | None = said("Tariff file", example="new_tariff.toml", absent=True)
    fuel_price_per_unit: float | None = number(
        0, 1e6, "currency per unit", "Price of the old fuel", example=1.1, absent=True
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield a date with no price."""
        if self.tariff is None and self.fuel_price_per_unit is None:
            yield Fault("", f"valid_from = {self.valid_from}", "has no price", "Add tariff or fuel_price_per_unit")


class AccountFile(Section):
    """The file `account.toml`."""

    case: str = text("The case file", example="case.toml")
    old: str | None = said("Option before the change, the baseline if left out", example="Oil boiler", absent=True)
    fitted_from: dt.date = said("First day that was fitted", example=dt.date(2025, 1, 10))
    fitted_until: dt.date = said("Day after the last that was fitted", example=dt.date(2025, 2, 19))
    mean: tuple[float, ...] = said("Middle of the fit, in standard scores", example=[0.1])
    draws: tuple[tuple[float, ...], ...] = said(
        "Draws of the fit, in standard scores, and last the scatter of its days over that of the fit",
        example=[[0.2, 1.0]],
    )
    scatter: Scatter = said("How days stray", example={"sd_kwh": 2.5})
    unknown: Annotated[tuple[Unknown, ...], Field(min_length=1)] = said("What was fitted", example=[{"name": "draws"}])
    prices: tuple[DatedPrices, ...] | None = said(
        "Prices that changed", example=[{"fuel_price_per_unit": 1.1}], absent=True
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield what can't be the result of a fit."""
        if self.fitted_until <= self.fitted_from:
            yield Fault("", f"fitted_until = {self.fitted_until}", f"is not after {self.fitted_from}", AGAIN)
        count = len(self.unknown)
        if len({one.name for one in self.unknown}) < count:
            yield Fault("", "unknown", "names one thing twice", AGAIN)
        if len(self.mean) != count or not _scores(self.mean):
            yield Fault(
                "", f"mean of {len(self.mean)} values", f"is not {count} scores of {HIGHEST_SCORE:g} at most", AGAIN
            )
        if why := _no_draws(self.draws, count):
            yield Fault("", f"draws of {len(self.draws)} rows", why, AGAIN)
        dates = [one.valid_from for one in self.prices or ()]
        if len(set(dates)) < len(dates):
            yield Fault("", "prices", "begin twice on one day", "Keep one of the two")

    def until(self, zone: str) -> pd.Timestamp:
        """End of what was fitted, UTC."""
        return pd.Timestamp(self.fitted_until).tz_localize(zone).tz_convert("UTC")


def _scores(values: Sequence[float]) -> bool:
    """Whether all are standard scores that a fit may have."""
    return all(abs(value) <= HIGHEST_SCORE for value in values)


def _no_draws(rows: Sequence[Sequence[float]], count: int) -> str:
    """Why rows can't be draws of so many unknowns; empty where they can."""
    if not LEAST_DRAWS <= len(rows) <= MOST_DRAWS:
        return f"is not {LEAST_DRAWS} to {MOST_DRAWS} draws"
    wrong = next((k for k, row in enumerate(rows) if len(row) != count + 1), None)
    if wrong is not None:
        return f"has {len(rows[wrong])} values in row {wrong + 1}, not {count} scores and a scale"
    if not all(_scores(row[:-1]) and LEAST_SCALE <= row[-1] <= HIGHEST_SCALE for row in rows):
        return f"holds a score over {HIGHEST_SCORE:g} or a scale outside {LEAST_SCALE:g} to {HIGHEST_SCALE:g}"
    return ""


def read_account_file(path: Path) -> AccountFile:
    """Read `account.toml`.

    Raises
    ------
    CaseError
        With one sentence for each fault.
    """
    held = read_toml(path, what="account file")
    found, faults = checked(AccountFile, held)
    raise_all(
        [Fault(f"{path.name}: {one.where}".rstrip(), one.given, one.allowed, one.remedy) for one in faults], CaseError
    )
    assert found is not None  # no fault, so there is one
    return found


def write_account_file(path: Path, held: AccountFile) -> None:
    """Write `account.toml`, whole or not at all."""
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(REMARK))
    for key, value in held.model_dump(exclude_none=True, mode="python").items():
        item = tomlkit.item(_plain(value))
        document[key] = item.multiline(True) if key == "draws" and isinstance(item, tomlkit.items.Array) else item
    write_whole(path, tomlkit.dumps(document))


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    return [_plain(inner) for inner in value] if isinstance(value, tuple | list) else value
