"""Daily energy, outdoor temperature and which days came after a change in; what the change did out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
import pandas as pd
from scipy import stats

from simkit.answered import Answered
from simkit.arrays import Bools, Floats
from simkit.case.case import Case
from simkit.errors import CaseError, DataError, Fault
from simkit.meter.account.signature import energy_signature
from simkit.meter.fitting.observations import weather_of
from simkit.meter.reading.reading import Readings

LEAST_EACH = 7
METERS = ("heat_pump_kwh", "fuel_kwh", "heat_kwh", "import_kwh")  # the nearest to the heating first
LEVEL = 0.90
POWER = 0.80


@dataclass(frozen=True, eq=False)
class ChangeEffect:
    """What a change did to a day's energy, at the same weather.

    Attributes
    ----------
    effect_kwh, low_kwh, high_kwh
        After less before, a day, at the mean weather of all the days, and its 90 % interval [kWh].
    before_kwh
        A day before the change at that weather [kWh].
    chance
        How likely a change that does nothing would seem to do as much, either way [-].
    smallest_kwh
        Smallest effect that these days would have shown four times in five [kWh].
    days_before, days_after
        Days used.
    sd_kwh, likeness
        Scatter of a day about the weather's line [kWh], and the correlation of neighbouring days.
    days
        By date: `outdoor_c` [°C], `measured_kwh` and `predicted_kwh` [kWh], and `after`.
    """

    effect_kwh: float
    low_kwh: float
    high_kwh: float
    before_kwh: float
    chance: float
    smallest_kwh: float
    days_before: int
    days_after: int
    sd_kwh: float
    likeness: float
    days: pd.DataFrame

    def days_needed(self, effect_kwh: float) -> int:
        """Days in all, `LEAST_EACH` or more on each side, that would show such an effect four times in five."""
        t = float(stats.norm.ppf(0.5 + LEVEL / 2.0) + stats.norm.ppf(POWER))
        grown = (1.0 + self.likeness) / (1.0 - self.likeness)
        return max(2 * LEAST_EACH, int(np.ceil(4.0 * grown * (t * self.sd_kwh / effect_kwh) ** 2)))


@dataclass(frozen=True, eq=False, repr=False)
class Change(Answered):
    """One change of a home, by its readings.

    Attributes
    ----------
    case
        The home.
    meter
        Quantity that was compared, such as `import_kwh`.
    on
        Day of the change.
    in_turn
        Whether weeks with and without it took turns from then on.
    effect
        What it did to a day.
    notes
        Where the weather is from.
    rooms_c
        Mean of the logged rooms over the days without the change and with it [°C]; None where none was logged.
    """

    answered_by = "simkit.answers.meter.change:change_answer"

    case: Case
    meter: str
    on: pd.Timestamp
    in_turn: bool
    effect: ChangeEffect
    notes: tuple[str, ...]
    rooms_c: tuple[float, float] | None = None


def change(
    case: Case, readings: Readings | Sequence[Readings], on: str, *, in_turn: bool = False, meter: str | None = None
) -> Change:
    """Find what one change (a lower flow, a tariff, a schedule) did to the energy of a day, weather taken out.

    Parameters
    ----------
    case
        The home, for its weather where the readings hold no outdoor temperature.
    readings
        Readings from before and after, one for each meter or logger.
    on
        Local day of the change, ``"2026-01-20"``; it is left out itself.
    in_turn
        Whether weeks with and without the change took turns from that day on, the first with it; the first day of each
        is left out.
    meter
        Quantity to compare; None takes the nearest to the heating that was read.

    Raises
    ------
    CaseError
        Where `on` is no day.
    DataError
        Where the meter or the weather of these days is missing, or there are too few days on either side.
    """
    files = [readings] if isinstance(readings, Readings) else list(readings)
    day = _day(on)
    name, use = _use(files, meter)
    outdoor, notes = _outdoor(case, files)
    effect = change_effect(use, outdoor, _after(use, day, in_turn))
    return Change(case, name, day, in_turn, effect, notes, _rooms(files, effect.days["after"]))


def _rooms(files: Sequence[Readings], after: pd.Series) -> tuple[float, float] | None:
    """Mean of the rooms that were logged, over the days compared without the change and with it."""
    logged = [one.daily("room_c") for one in files if "room_c" in one.quantities]
    if not logged:
        return None
    days = pd.concat(logged, axis=1).mean(axis=1).reindex(after.index)
    flag = after.to_numpy().astype(bool)
    sides = days[~flag].dropna(), days[flag].dropna()
    return None if min(map(len, sides)) < LEAST_EACH else (float(sides[0].mean()), float(sides[1].mean()))


def _day(on: str) -> pd.Timestamp:
    try:
        found = pd.Timestamp(on)
    except (ValueError, TypeError):
        found = pd.NaT
    if found is pd.NaT or found.tz is not None or found != found.normalize():
        raise CaseError(Fault("--on", str(on), "is no day", "Write for example 2026-01-20"))
    return found


def _use(files: Sequence[Readings], meter: str | None) -> tuple[str, pd.Series]:
    """The meter that is compared, and its days."""
    read = [name for name in METERS if any(name in one.quantities for one in files)]
    if not read:
        remedy = "Give the file of a meter as well, such as the whole home's electricity"
        raise DataError(Fault("change", "the readings", "hold no energy", remedy))
    name = meter or read[0]
    if name not in read:
        there = f"is not in the readings, which hold {', '.join(read)}"
        raise DataError(Fault("change", name, there, f"Name one of {', '.join(read)}"))
    return name, _days_of(files, name)


def _days_of(files: Sequence[Readings], name: str) -> pd.Series:
    """Days of a quantity out of all files that hold it, the first one's where two hold a day."""
    return reduce(pd.Series.combine_first, [one.daily(name) for one in files if name in one.quantities])


def _outdoor(case: Case, files: Sequence[Readings]) -> tuple[pd.Series, tuple[str, ...]]:
    """Mean outdoor temperature of days: as logged, else of the case's own file if that is of then."""
    logged = [one.report.file for one in files if "outdoor_c" in one.quantities]
    if logged:
        return _days_of(files, "outdoor_c"), (f"Outdoor temperatures are those of {' and '.join(logged)}.",)
    then = weather_of(case, files)
    if then.known_from is None:
        remedy = "Add a file of temperatures, or name a weather file of that year in the case"
        raise DataError(Fault("change", "the weather", "of these days is not known, only the usual one", remedy))
    hourly = pd.concat([then.years[year].frame["outdoor_c"].set_axis(then.years[year].axis.utc) for year in then.years])
    local = pd.DatetimeIndex(hourly.index).tz_convert(case.site.zone).tz_localize(None).normalize()
    return hourly.groupby(local).mean(), then.notes


def _after(use: pd.Series, day: pd.Timestamp, in_turn: bool) -> pd.Series:
    """Which days came after the change; missing where a home settles."""
    dates = pd.DatetimeIndex(use.index)
    flags = pd.Series(dates > day, index=dates, dtype=object)
    flags[dates == day] = None
    if in_turn:
        since = dates[dates >= day]
        # the plan's first week is one without; here the first has the change
        plan = alternate_weeks(pd.date_range(day - pd.Timedelta(days=7), dates[-1]))
        flags[since] = plan[since].to_numpy()
    return flags


def change_effect(daily_kwh: pd.Series, outdoor_c: pd.Series, after: pd.Series) -> ChangeEffect:
    """Test a change, weather taken out.

    Parameters
    ----------
    daily_kwh, outdoor_c
        Energy [kWh] and mean outdoor temperature [°C] of days, by date.
    after
        Whether each day came after the change, by date; weeks in turn (switch-back) are as good, and better against
        whatever drifts meanwhile.

    Notes
    -----
    Energy = base + slope × cold + (a + b × cold) × after, cold by the change-point of all the days together;
    neighbouring days' likeness is taken out by quasi-differences (Cochrane and Orcutt 1949) where days follow each
    other. The effect is a + b × the mean cold of all days.
    """
    days = pd.DataFrame({"kwh": daily_kwh, "outdoor_c": outdoor_c, "after": after}).dropna()
    flag = days["after"].to_numpy().astype(bool)
    if min(int(flag.sum()), int((~flag).sum())) < LEAST_EACH:
        given = f"{int((~flag).sum())} days before and {int(flag.sum())} after"
        raise DataError(
            Fault(
                "before and after",
                given,
                f"are too few: {LEAST_EACH} of each are needed",
                "Read on, or take earlier days in",
            )
        )
    signature = energy_signature(days["kwh"], days["outdoor_c"])
    cold = np.maximum(signature.change_c.middle - days["outdoor_c"].to_numpy(), 0.0)
    warmth = cold - cold.mean()
    design = np.column_stack([np.ones(len(days)), warmth, flag, flag * warmth])
    y = days["kwh"].to_numpy()
    follows = np.concatenate([[False], np.diff(days.index.to_numpy()) == np.timedelta64(1, "D")])
    found, covariance, sd, rho = _regress(design, y, follows)
    freedom = max(len(y) * (1 - rho) / (1 + rho) - 4, 3.0)
    t = float(stats.t.ppf(0.5 + LEVEL / 2.0, freedom))
    effect, error = float(found[2]), float(covariance[2, 2] ** 0.5)
    seen_from = t + float(stats.t.ppf(POWER, freedom))
    return ChangeEffect(
        effect, effect - t * error, effect + t * error, float(found[0]),
        float(2.0 * stats.t.sf(abs(effect) / error, freedom)), seen_from * error,
        int((~flag).sum()), int(flag.sum()), sd, rho,
        pd.DataFrame({"outdoor_c": days["outdoor_c"], "measured_kwh": y, "predicted_kwh": design @ found,
                      "after": flag}),
    )  # fmt: skip


def _regress(design: Floats, y: Floats, follows: Bools) -> tuple[Floats, Floats, float, float]:
    """Least squares with neighbouring days' likeness taken out: coefficients, covariance, scatter, likeness."""
    rho = 0.0
    for _ in range(4):
        kept = (1.0 - rho**2) ** 0.5
        a, b = design.copy() * kept, y * kept
        where = np.flatnonzero(follows)
        a[where], b[where] = design[where] - rho * design[where - 1], y[where] - rho * y[where - 1]
        found, *_ = np.linalg.lstsq(a, b, rcond=None)
        residual = y - design @ found
        pairs = float((residual[where] * residual[where - 1]).sum())
        whole = float((residual[where - 1] ** 2).sum())
        # a short series reads low; the prior of ten days at 0.3 steadies it, as in the fit
        rho = float(np.clip((pairs / max(whole, 1e-12) * len(where) + 4.0) / (len(where) + 10.0), 0.0, 0.8))
    left = b - a @ found
    variance = float((left**2).sum()) / max(len(y) - design.shape[1], 1)
    return found, np.linalg.pinv(a.T @ a) * variance, variance**0.5 / (1.0 - rho**2) ** 0.5, rho


def alternate_weeks(dates: pd.DatetimeIndex, *, settle_days: int = 1) -> pd.Series:
    """A switch-back plan: weeks in turn without and with the change; a week's first days settle and are left out.

    Returns
    -------
    Series
        By date: False, True, or missing while the home settles.
    """
    number = np.arange(len(dates))
    flags = pd.Series((number // 7 % 2).astype(object), index=dates).map(bool).astype(object)
    flags[number % 7 < settle_days] = None
    return flags
