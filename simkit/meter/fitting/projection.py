"""A fitted home in; its year and each month over many weather years, with a range, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats, Ints
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.billing.charge import charge_fuel_lanes_months, charge_stove
from simkit.billing.cost import cost_of
from simkit.clock import TimeAxis
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import ManyYears, run_home, run_homes
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.lanes import NET, SPACE, adjusted, lived_series, steady_heat, steady_share
from simkit.meter.fitting.noise import alike, by_load
from simkit.meter.fitting.weather_then import as_read
from simkit.meter.fitting.window import Window
from simkit.performance.boundaries import performance
from simkit.physics.records import Now
from simkit.profiles.other_heat import stove_kw
from simkit.uncertainty.ranges import Range
from simkit.weather.months import day_starts
from simkit.weather.years import weather_years

Progress = Callable[[str, float], None]

WEATHER_YEARS = 16
LANES = 128
AT_ONCE = 64


@dataclass(frozen=True, eq=False, repr=False)
class Projection(Answered):
    """A year of a fitted home.

    Attributes
    ----------
    fit
        The fitted home.
    import_kwh, fuel_kwh, cost
        Electricity bought, fuel burnt, gross [kWh], and the bills of both [currency] in each month of each sample,
        (12, samples).
    scores
        Standard scores of each sample's unknowns, (samples, unknowns).
    weather
        Number of each sample's weather year, (samples,).
    spf_h4
        Seasonal performance of each sample, NaN without a heat pump, (samples,).
    degree_hours_below
        Comfort missing in each sample [K·h], (samples,).
    """

    answered_by = "simkit.answers.meter.projection:projection_answer"

    fit: Fit
    import_kwh: Floats
    fuel_kwh: Floats
    cost: Floats
    scores: Floats = field(repr=False)
    weather: Ints = field(repr=False)
    spf_h4: Floats = field(repr=False)
    degree_hours_below: Floats = field(repr=False)

    @property
    def year_cost(self) -> Range:
        """The year's bill that ten, fifty and ninety of a hundred samples stay under [currency]."""
        return Range.of(self.cost.sum(axis=0))

    @property
    def year_kwh(self) -> Range:
        """The year's electricity [kWh], likewise."""
        return Range.of(self.import_kwh.sum(axis=0))

    @property
    def year_fuel_kwh(self) -> Range:
        """The year's fuel, gross [kWh], likewise; zero where none is burnt."""
        return Range.of(self.fuel_kwh.sum(axis=0))

    @property
    def burns(self) -> bool:
        """Whether the home burns a fuel."""
        return bool(self.fuel_kwh.any())

    @cached_property
    def months(self) -> pd.DataFrame:
        """10–50–90 by month: electricity bought, fuel burnt (where any is) [kWh] and bills [currency]."""
        parts = {"import_kwh": self.import_kwh, "fuel_kwh": self.fuel_kwh, "month_cost": self.cost}
        shown = {name: part for name, part in parts.items() if name != "fuel_kwh" or self.burns}
        rows = np.concatenate([np.quantile(part, (0.1, 0.5, 0.9), axis=1) for part in shown.values()])
        names = [f"{what}_{how}" for what in shown for how in ("low", "middle", "high")]
        return pd.DataFrame(rows.T, columns=names, index=pd.RangeIndex(1, 13, name="month"))

    @cached_property
    def parts(self) -> tuple[float, float]:
        """Standard deviation of the year's bill by the home and by the weather [currency]."""
        slope, of_years, _ = self._linear
        spread = np.cov(self.scores.T)
        return float((slope @ spread @ slope) ** 0.5), float(np.std(of_years))

    @cached_property
    def _linear(self) -> tuple[Floats, Floats, float]:
        """The year's bill as slopes on the scores plus the level of each weather year, and what is left [currency]."""
        total = self.cost.sum(axis=0)
        years = np.eye(int(self.weather.max()) + 1)[self.weather]
        found, *_ = np.linalg.lstsq(np.column_stack([self.scores, years]), total, rcond=None)
        left = total - np.column_stack([self.scores, years]) @ found
        count = self.scores.shape[1]
        return found[:count], found[count:], float(np.std(left))


def project(
    fit: Fit, *, weather_count: int = WEATHER_YEARS, lanes: int = LANES, seed: int = 1, progress: Progress | None = None
) -> Projection:
    """Project a fitted home over a year, on many weather years.

    Parameters
    ----------
    fit
        The fitted home.
    weather_count
        Number of weather years, each plausible in this climate.
    lanes
        Homes drawn from the posterior and simulated, spread over the weather years.
    seed
        Start of the random numbers.
    progress
        Called with what is being done and the share done.

    Returns
    -------
    Projection
        Tariff and prices as they stand in the case.
    """
    case = fit.case
    usual = setting_for(case)
    axis = usual.axis
    years = weather_years(usual.weather, weather_count, sd_k=case.uncertainty.weather_sd_k, seed=seed)
    windows = [_whole_year(fit, Setting(axis, weather, usual.signal, usual.folder)) for weather in years]
    chosen = np.random.default_rng(seed).permutation(len(fit.draws))[:lanes]
    values = fit.draws.to_numpy()[chosen]
    number = np.arange(len(values)) % weather_count
    place = [one.name for one in fit.unknowns].index("steady_kwh")
    heated = np.column_stack([_heated(window, fit.draws.mean().to_dict()) for window in windows])
    parts = []
    for start in range(0, len(values), AT_ONCE):
        rows = range(start, min(start + AT_ONCE, len(values)))
        homes = [_home(windows[number[k]], dict(zip(fit.draws.columns, values[k].tolist(), strict=True))) for k in rows]
        made, fuel_kwh = _years(homes, axis, burns=case.heat_source != "heat_pump")
        steady = _steady(made, heated[:, number[start : rows.stop]], values[start : rows.stop, place])
        parts.append(_charged(fit, made, fuel_kwh, steady=steady, seed=seed + start))
        if progress is not None:
            progress("weather years", rows.stop / len(values))
    kwh, fuel, cost, spf, below = (np.concatenate(part, axis=-1) for part in zip(*parts, strict=True))
    scores = np.column_stack([one.score(values[:, j]) for j, one in enumerate(fit.unknowns)])
    return Projection(fit, kwh, fuel, cost, scores, number, spf, below)


def _whole_year(fit: Fit, setting: Setting) -> Window:
    """A window over the case's whole year."""
    from simkit.assemble.home import home_inputs

    case = as_read(fit.case)
    series = home_inputs(case, setting, 150.0).series
    edges = np.array([0, setting.axis.steps], dtype=np.int64)
    return Window(case, setting, {name: series[name] for name in Now._fields}, 0, edges, setting.axis.utc, ())


def _home(window: Window, values: dict[str, float]) -> HomeInputs:
    home = adjusted(window.case, window, values)
    return HomeInputs(home.home, home.start, {**window.series, **lived_series(window, values)})


def _years(homes: Sequence[HomeInputs], axis: TimeAxis, *, burns: bool) -> tuple[ManyYears, Floats]:
    """Simulate homes; what those that burn a fuel burn in each step, (steps, homes) [kWh], else zero.

    Lanes keep only import and export by step: homes that burn a fuel are run one by one, which records all.
    """
    if not burns:
        return run_homes(homes, axis.steps, axis.hours), np.zeros((axis.steps, len(homes)))
    years = [run_home(home, axis.steps, axis.hours) for home in homes]
    made = ManyYears.of(years, ("grid_import", "grid_export", "fuel"))
    return made, made.flow("fuel") * axis.hours


def _heated(window: Window, values: dict[str, float]) -> Floats:
    """How the heat of a home's rooms is spread over the days of a weather year, as shares of it, (days,)."""
    run = run_home(_home(window, values), window.setting.axis.steps, window.hours)
    heat = np.sum([run.flow(flow) for flow in SPACE], axis=0)
    of_day = np.add.reduceat(heat, day_starts(window.setting.axis))
    return np.asarray(of_day / max(float(of_day.sum()), 1e-9))


def _steady(made: ManyYears, heated: Floats, steady_kwh: Floats) -> Floats:
    """Heat of homes by day that flows whatever the weather, (days, homes) [kWh], where they have (homes,) [kWh/d]."""
    space = np.sum([getattr(made.totals, flow) for flow in SPACE], axis=0)
    return np.asarray(steady_heat(steady_kwh, np.ones((len(heated), 1)), heated * space))


def _charged(fit: Fit, made: ManyYears, fuel_kwh: Floats, *, steady: Floats, seed: int) -> tuple[Floats, ...]:
    """Electricity, fuel and bills by month, performance and missing comfort of simulated homes."""
    case, setting = fit.case, setting_for(fit.case)
    axis = setting.axis
    bought = made.flow("grid_import") * axis.hours
    priced = bought * setting.signal.import_per_kwh[:, None]
    kwh, fuel, spent = (_by_month(each, axis.month) for each in (bought, fuel_kwh, priced))
    plain = np.bincount(axis.month, setting.signal.import_per_kwh)[1:] / np.bincount(axis.month)[1:]
    per_kwh = np.where(kwh > 1.0, spent / np.maximum(kwh, 1.0), plain[:, None])
    cost = cost_of(case, axis, made).electricity_months
    if case.lit is not None:
        heat = stove_kw(case.lit, setting.weather)
        cost = cost + charge_stove(case.lit, axis, heat, currency=case.currency).months[:, None]
    kwh, cost = _lived(fit, made, "import_kwh", kwh, cost, per_kwh=per_kwh, steady=steady, seed=seed)
    if case.fuel is not None and fuel.any():
        paid = charge_fuel_lanes_months(
            case.fuel, axis, fuel_kwh, currency=case.currency, keeps_supply=case.heat_source == "hybrid"
        )
        price = np.full(fuel.shape, case.fuel.price_per_unit / case.fuel.kwh_per_unit)
        fuel, paid = _lived(fit, made, "fuel_kwh", fuel, paid, per_kwh=price, steady=steady, seed=seed)
        cost = cost + paid
    return kwh, fuel, cost, np.asarray(performance(made.totals, None).h4), made.totals.below_k


def _by_month(flow: Floats, month: Ints) -> Floats:
    """Sums of months, (12, homes), of steps, (steps, homes)."""
    return np.stack([flow[month == m].sum(axis=0) for m in range(1, 13)])


def _lived(
    fit: Fit, made: ManyYears, meter: str, kwh: Floats, cost: Floats, *, per_kwh: Floats, steady: Floats, seed: int
) -> tuple[Floats, Floats]:  # fmt: skip
    """Energy and bills of months, (12, samples) each, with what no simulation holds, at the price of a kWh more.

    That is the heat that flows whatever the weather, (days, samples) [kWh], and the scatter of days that the fit left.
    """
    month = setting_for(fit.case).axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    into, days = np.eye(12)[month], np.bincount(month, minlength=12)[:, None]
    more = into.T @ steady * steady_share(lambda flow: getattr(made.totals, flow), meter)[None, :]
    noise = fit.noises.get(meter) or (fit.noises.get(NET) if meter == "import_kwh" else None)
    if noise is not None:
        size = noise.whole_sd * by_load(((kwh + more) / days).mean(axis=1), noise.mean)[month]
        date = np.arange(len(month))
        of_days = alike(noise.shares, np.subtract.outer(date, date)) * np.outer(size, size)
        root = np.linalg.cholesky(into.T @ of_days @ into)
        rng = np.random.default_rng([seed, 3 if meter == "import_kwh" else 4])
        more = more + root @ rng.normal(size=kwh.shape)
    lived = np.maximum(kwh + more, 0.0)
    return lived, cost + (lived - kwh) * per_kwh
