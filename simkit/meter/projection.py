"""A fitted home in; its year and each month over many weather years, with a range, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from simkit.assemble.home import Setting
from simkit.assemble.setting import setting_for, shared_step
from simkit.bill import charge_lanes_months
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import ManyYears, run_homes
from simkit.meter.fitted import Fit
from simkit.meter.lanes import adjusted, scaled_series
from simkit.meter.window import Window
from simkit.physics.records import Now
from simkit.weather.years import weather_years
from simkit.year import Range

Floats = NDArray[np.float64]
Progress = Callable[[str, float], None]

WEATHER_YEARS = 16
LANES = 128
AT_ONCE = 64


@dataclass(frozen=True, eq=False, repr=False)
class Projection:
    """A year of a fitted home.

    Attributes
    ----------
    fit
        The fitted home.
    import_kwh, cost
        Electricity bought [kWh] and the month's bill [currency] in each month of each sample, (12, samples).
    scores
        Standard scores of each sample's unknowns, (samples, unknowns).
    weather
        Number of each sample's weather year, (samples,).
    spf_h4
        Seasonal performance of each sample, NaN without a heat pump, (samples,).
    degree_hours_below
        Comfort missing in each sample [K·h], (samples,).
    """

    fit: Fit
    import_kwh: Floats
    cost: Floats
    scores: Floats = field(repr=False)
    weather: NDArray[np.int64] = field(repr=False)
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

    @cached_property
    def months(self) -> pd.DataFrame:
        """10–50–90 by month: electricity bought [kWh] and bill [currency]."""
        rows = np.concatenate([np.quantile(part, (0.1, 0.5, 0.9), axis=1) for part in (self.import_kwh, self.cost)])
        names = [f"{what}_{how}" for what in ("import_kwh", "month_cost") for how in ("low", "middle", "high")]
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

    def sentences(self) -> tuple[str, ...]:
        """Say the year, and what its width comes from."""
        cost, kwh, currency = self.year_cost, self.year_kwh, self.fit.case.currency
        home, weather = self.parts
        said = [
            f"A year will likely cost {cost.low:,.0f} to {cost.high:,.0f} {currency}, {cost.middle:,.0f} in the "
            f"middle, for {kwh.low:,.0f} to {kwh.high:,.0f} kWh at today's prices.",
            f"What isn't known of the home is worth {home:,.0f} {currency} either way, the weather {weather:,.0f}.",
        ]
        spf = Range.of(self.spf_h4)
        if np.isfinite(spf.middle):
            said.append(f"SPF (H4) {spf.low:.2f} to {spf.high:.2f}.")
        months = self.months
        worst = int(months["month_cost_middle"].idxmax())
        said.append(
            f"The dearest month is likely {pd.Timestamp(2025, worst, 1):%B}: {months['month_cost_low'][worst]:,.0f} to "
            f"{months['month_cost_high'][worst]:,.0f} {currency}."
        )
        return tuple(said)

    def __repr__(self) -> str:
        return "\n".join(self.sentences())


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
    if case.heat_source != "heat_pump":
        remedy = "Carry its heat loss over to the option with the heat pump (fitted_case), and project that"
        raise CaseError(
            Fault(case.label, f'heat_source = "{case.heat_source}"', "burns fuel, which is not projected", remedy)
        )
    step = shared_step([case])[0]
    usual = setting_for(case, step)
    axis = usual.axis
    years = weather_years(usual.weather, weather_count, sd_k=case.uncertainty.weather_sd_k, seed=seed)
    windows = [_whole_year(fit, Setting(axis, weather, usual.signal, usual.folder)) for weather in years]
    chosen = np.random.default_rng(seed).permutation(len(fit.draws))[:lanes]
    values = fit.draws.to_numpy()[chosen]
    number = np.arange(len(values)) % weather_count
    parts = []
    for start in range(0, len(values), AT_ONCE):
        rows = range(start, min(start + AT_ONCE, len(values)))
        homes = [_home(windows[number[k]], dict(zip(fit.draws.columns, values[k].tolist(), strict=True))) for k in rows]
        made = run_homes(homes, axis.steps, axis.hours)
        parts.append(_charged(fit, made, axis.month, seed=seed + start))
        if progress is not None:
            progress("weather years", rows.stop / len(values))
    kwh, cost, spf, below = (np.concatenate(part, axis=-1) for part in zip(*parts, strict=True))
    scores = np.column_stack([one.score(values[:, j]) for j, one in enumerate(fit.unknowns)])
    return Projection(fit, kwh, cost, scores, number, spf, below)


def _whole_year(fit: Fit, setting: Setting) -> Window:
    """A window over the case's whole year."""
    from simkit.assemble.home import home_inputs

    series = home_inputs(fit.case, setting, 150.0).series
    edges = np.array([0, setting.axis.steps], dtype=np.int64)
    return Window(fit.case, setting, {name: series[name] for name in Now._fields}, 0, edges, setting.axis.utc, ())


def _home(window: Window, values: dict[str, float]) -> HomeInputs:
    home = adjusted(window.case, window, values)
    scale = values["base_kwh"] / max(window.case.household.annual_kwh, 1.0)
    return HomeInputs(home.home, home.start, {**window.series, **scaled_series(window, scale)})


def _charged(
    fit: Fit, made: ManyYears, month: NDArray[np.int64], *, seed: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Electricity and bills by month, performance and missing comfort of simulated homes."""
    case = fit.case
    axis = setting_for(case, shared_step([case])[0]).axis
    bought, sold = made.import_kw * axis.hours, made.export_kw * axis.hours
    kwh = np.stack([bought[month == number].sum(axis=0) for number in range(1, 13)])
    cost = charge_lanes_months(case.tariff, axis, bought, sold, country=case.site.country)
    noise = fit.noises.get("import_kwh")
    if noise is not None:
        days = np.bincount(axis.dates.astype("datetime64[M]").astype(np.int64) % 12, minlength=12)[:, None]
        grown = (1.0 + noise.likeness) / (1.0 - noise.likeness)
        scatter = np.random.default_rng([seed, 3]).normal(size=kwh.shape) * noise.whole_sd * np.sqrt(days * grown)
        per_kwh = (cost.sum(axis=0) / np.maximum(kwh.sum(axis=0), 1.0))[None, :]
        kwh, cost = np.maximum(kwh + scatter, 0.0), cost + scatter * per_kwh
    return kwh, cost, _spf_h4(made), made.total("below_k")


def _spf_h4(made: ManyYears) -> Floats:
    heat = made.total("heat_pump_space_heat") + made.total("heat_pump_water_heat")
    heaters = made.total("backup_heater") + made.total("immersion")
    used = made.total("heat_pump_space") + made.total("heat_pump_water") + heaters
    used = used + made.total("pumps_space") + made.total("pumps_water") + made.total("standby")
    return np.where(heat > 0, (heat + heaters) / np.maximum(used, 1e-9), np.nan)
