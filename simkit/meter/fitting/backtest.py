"""A case and a number of weeks in; how often ranges fitted on them hold the truth of invented homes, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.invented import Invented, invent
from simkit.meter.fitting.lanes import metered
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.fitting.window import window_of
from simkit.meter.reading.reading import Readings, readings_from

LANES = 64
LEVELS = (0.05, 0.1, 0.5, 0.9, 0.95)


@dataclass(frozen=True, eq=False, repr=False)
class Backtest:
    """Outcome of fits on invented homes.

    Attributes
    ----------
    months
        One row for each home and month that was predicted: home, month, true, low (10 %), middle, high (90 %) [kWh].
    rest
        One row for each home: the same for all of the rest together.
    unknowns
        One row for each home and unknown: true, low (5 %), high (95 %), and whether it lies inside.
    weeks
        Weeks that were fitted.
    """

    months: pd.DataFrame
    rest: pd.DataFrame
    unknowns: pd.DataFrame
    weeks: int

    @property
    def month_coverage(self) -> float:
        """Share of months inside their 10–90 range; 0.8 would be right."""
        return float(self.months["inside"].mean())

    @property
    def rest_coverage(self) -> float:
        """Share of homes whose whole rest lies inside its 10–90 range; 0.8 would be right."""
        return float(self.rest["inside"].mean())

    @property
    def unknown_coverage(self) -> pd.Series:
        """Share of homes with each unknown inside its 90 % interval; 0.9 would be right."""
        return self.unknowns.groupby("unknown", sort=False)["inside"].mean()

    def sentences(self) -> tuple[str, ...]:
        """Say how often the ranges held."""
        homes = len(self.rest)
        each = ", ".join(f"{name} {100 * share:.0f} %" for name, share in self.unknown_coverage.items())
        error = float(np.median(np.abs(self.rest["middle"] / self.rest["true"] - 1.0)))
        return (
            f"{homes} invented homes, fitted on {self.weeks} weeks: 10–90 ranges hold "
            f"{100 * self.month_coverage:.0f} % of the months and {100 * self.rest_coverage:.0f} % of the totals "
            f"(80 % would be right); the total is {100 * error:.1f} % off in the middle.",
            f"90 % intervals of the unknowns hold the truth: {each}.",
            "The invented homes obey the kit's own physics: real ones will do worse, by what the physics leaves out.",
        )

    def __repr__(self) -> str:
        return "\n".join(self.sentences())


def backtest(
    case: Case, *, weeks: int, start: str, end: str, homes: int = 20, draws: int = 20_000,
    progress: Callable[[str, float], None] | None = None,
) -> Backtest:  # fmt: skip
    """Fit on some weeks, predict the rest in the weather that then was, and count how often the ranges hold.

    Parameters
    ----------
    case
        What the owners say; the truth of each home is drawn from the priors about it.
    weeks
        Weeks from the start that are fitted.
    start, end
        Local dates of all the readings.
    homes
        Number of invented homes.
    draws
        Draws of each posterior.
    progress
        Called with what is being done and the share done.
    """
    cut = pd.Timestamp(start) + pd.Timedelta(weeks=weeks)
    if cut >= pd.Timestamp(end):
        raise CaseError(
            Fault("backtest", f"weeks = {weeks}", f"leave nothing to predict before {end}", "Fit fewer weeks")
        )
    parts: list[tuple[pd.DataFrame, pd.DataFrame]] = []
    for number in range(homes):
        made = invent(case, number, start, end)
        frame = made.readings.frame
        inside = frame.index < cut.tz_localize(case.site.zone)
        found = fit(case, _part(made.readings, inside), weather=made.weather, draws=draws, seed=number + 1)
        parts.append((_predicted(found, made, cut, end, number), _unknowns(found, made, number)))
        if progress is not None:
            progress("invented homes", (number + 1) / homes)
    months = pd.concat([part[0] for part in parts], ignore_index=True)
    whole = months["month"] == "rest"
    return Backtest(months[~whole], months[whole], pd.concat([part[1] for part in parts], ignore_index=True), weeks)


def _part(readings: Readings, inside: Bools) -> Readings:
    return readings_from(readings.frame[inside], zone=readings.zone, name="first weeks")


def predicted_daily(
    found: Fit, start: pd.Timestamp, end: pd.Timestamp, weather: WeatherThen, *, seed: int = 2
) -> tuple[Floats, pd.DatetimeIndex]:
    """Electricity of days in draws of the posterior, scatter of days included, (lanes, days) [kWh]; their starts."""
    window = window_of(found.case, start, end, weather=weather)
    rng = np.random.default_rng(seed)
    values = found.draws.to_numpy()[rng.permutation(len(found.draws))[:LANES]]
    made = metered(window, found.unknowns, values, ["import_kwh"])["import_kwh"]
    noise = found.noises.get("import_kwh")
    if noise is not None:
        scatter = rng.normal(size=made.shape)
        for k in range(1, made.shape[1]):
            scatter[:, k] = noise.likeness * scatter[:, k - 1] + (1.0 - noise.likeness**2) ** 0.5 * scatter[:, k]
        made = made + noise.whole_sd * scatter
    return made, window.block_starts


def _predicted(found: Fit, made: Invented, cut: pd.Timestamp, end: str, number: int) -> pd.DataFrame:
    zone = found.case.site.zone
    begin, stop = cut.tz_localize(zone).tz_convert("UTC"), pd.Timestamp(end).tz_localize(zone).tz_convert("UTC")
    draws, starts = predicted_daily(found, begin, stop, made.weather, seed=number + 2)
    true = made.readings.daily("import_kwh").reindex(starts.tz_convert(zone).tz_localize(None)).to_numpy()
    months = starts.tz_convert(zone).strftime("%Y-%m").to_numpy()
    rows = []
    for month in [*dict.fromkeys(months.tolist()), "rest"]:
        there = (months == month) | (month == "rest")
        low, middle, high = np.quantile(draws[:, there].sum(axis=1), (0.1, 0.5, 0.9))
        total = float(true[there].sum())
        rows.append((number, month, total, low, middle, high, low <= total <= high))
    return pd.DataFrame(rows, columns=["home", "month", "true", "low", "middle", "high", "inside"])


def _unknowns(found: Fit, made: Invented, number: int) -> pd.DataFrame:
    table = found.table[["low", "high"]].rename_axis("unknown").reset_index()
    table.insert(0, "home", number)
    table.insert(2, "true", [made.truth[name] for name in table["unknown"]])
    table["inside"] = (table["low"] <= table["true"]) & (table["true"] <= table["high"])
    return table
