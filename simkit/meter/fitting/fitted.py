"""A fitted home: values with their ranges, residuals, and what the readings can't tell apart, and the case again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats, Ints
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import DataError, Fault
from simkit.meter.account.metrics import Metrics, metrics_of
from simkit.meter.fitting.backtest import HeldOut
from simkit.meter.fitting.emulator import Emulator
from simkit.meter.fitting.lanes import NET, metered
from simkit.meter.fitting.likelihood import split
from simkit.meter.fitting.noise import Noise
from simkit.meter.fitting.observations import Channel
from simkit.meter.fitting.parameters import Parameter, with_unknowns
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.living import Before, Straying
from simkit.uncertainty.ranges import Range

TIED = 0.75  # own: correlation from which two unknowns are said to be tied together
LEVEL = 0.8  # of the ranges of what is predicted
UNSAID = "Fitted too, and in no key of a case file, so that a year simulated from it leaves them out:"
LONGEST_NOTE = 2000
HOMES = 128  # drawn from the posterior
STRAINED = 2.0  # own: prior deviations from which an unknown is said to run into its prior
LEARNT = 0.85  # own: a posterior wider than this share of its prior has learnt nothing worth naming


@dataclass(frozen=True, eq=False, repr=False)
class Fit(Answered):
    """A home fitted to readings.

    Attributes
    ----------
    case
        The home as described before.
    unknowns
        What was fitted, with its priors.
    draws
        Draws of the posterior, one column for each unknown, in its unit.
    residuals
        One row for each observation: meter, start, days, measured, predicted [kWh or °C], outdoor_c [°C].
    noises
        Scatter that was left, by meter.
    held_out
        How well parts of its own days would have been predicted from the others, by meter.
    weather, window
        Weather it was fitted in; the span.
    channels
        The observations, by meter.
    emulator
        Polynomials that stand in for the simulation while sampling.
    log_noise
        Logarithm of each meter's noise over that in `noises`, in each draw, (draws, meters).
    worth
        Share of the points drawn that the draws are worth.
    notes
        What was assumed.
    """

    answered_by = "simkit.answers.meter.fit:fit_answer"

    case: Case
    unknowns: tuple[Parameter, ...]
    draws: pd.DataFrame
    residuals: pd.DataFrame
    noises: Mapping[str, Noise]
    held_out: Mapping[str, HeldOut]
    weather: WeatherThen = field(repr=False)
    window: Window = field(repr=False)
    channels: tuple[Channel, ...] = field(repr=False)
    emulator: Emulator = field(repr=False)
    log_noise: Floats = field(repr=False)
    worth: float
    notes: tuple[str, ...] = ()

    @cached_property
    def table(self) -> pd.DataFrame:
        """Each unknown: prior, 5–50–95 % of the posterior, and the share of the prior's spread that is left."""
        rows = []
        for one in self.unknowns:
            values = self.draws[one.name].to_numpy()
            low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
            left = float(np.std(one.score(values)))
            rows.append((one.label, one.unit, one.centre, low, middle, high, left))
        columns = ["what", "unit", "prior", "low", "middle", "high", "spread_left"]
        return pd.DataFrame(rows, columns=columns, index=[one.name for one in self.unknowns])

    @cached_property
    def metrics(self) -> dict[str, Metrics]:
        """Bias and scatter of each meter's observations."""
        return {
            str(meter): metrics_of(rows["measured"].to_numpy(), rows["predicted"].to_numpy())
            for meter, rows in self.residuals.groupby("meter", sort=False)
        }

    @property
    def emulator_error(self) -> float:
        """Largest error of the polynomials, in units of a day's scatter."""
        errors = split(self.emulator.error, self.channels)
        return float(max(np.max(each / self.noises[c.name].sd) for c, each in zip(self.channels, errors, strict=True)))

    @cached_property
    def scores(self) -> Floats:
        """Standard scores of the draws under their priors, (draws, unknowns)."""
        return np.column_stack([one.score(self.draws[one.name].to_numpy()) for one in self.unknowns])

    def some(self, count: int) -> Ints:
        """Rows of so many draws, the same whenever they are asked for, (count,)."""
        return np.random.default_rng(2).permutation(len(self.draws))[:count]

    def predict(
        self, start: str, end: str, *, weather: WeatherThen | None = None, meter: str | None = None,
        level: float = LEVEL,
    ) -> pd.DataFrame:  # fmt: skip
        """What a meter would show on each day of a span, on the weather of the fit or on more of it.

        Parameters
        ----------
        start, end
            Local dates, the end not included; before, in or after the days that were fitted.
        weather
            Weather of that span; None takes that of the fit.
        meter
            One of those that were fitted; None takes the first.
        level
            Share of the days that should lie between low and high.

        Returns
        -------
        DataFrame
            By local date: low, middle, high [kWh] (or [°C] of the room).

        Raises
        ------
        DataError
            Where the weather does not reach so far, or that meter was not fitted.
        """
        made, starts = predicted(self, start, end, weather=weather, meter=meter)
        low, middle, high = np.quantile(made, _ends(level), axis=0)
        days = starts.tz_convert(self.case.site.zone).tz_localize(None).rename("day")
        return pd.DataFrame({"low": low, "middle": middle, "high": high}, index=days)

    def predict_total(
        self, start: str, end: str, *, weather: WeatherThen | None = None, meter: str | None = None,
        level: float = LEVEL,
    ) -> Range:  # fmt: skip
        """What a meter would show over a span in all [kWh]; parameters as of `predict`."""
        made, _ = predicted(self, start, end, weather=weather, meter=meter)
        return Range(*np.quantile(made.sum(axis=1), _ends(level)).tolist())

    def strained(self) -> list[Parameter]:
        """Unknowns that the readings drive to the edge of what was believed of them."""
        middles = np.abs(np.median(self.scores, axis=0))
        return [one for one, middle in zip(self.unknowns, middles, strict=True) if middle > STRAINED]

    def apart(self, meter: str) -> pd.DatetimeIndex:
        """Days of a meter that stand apart from the rest and count for little, local dates."""
        rows = self.residuals[self.residuals["meter"] == meter]
        return pd.DatetimeIndex(rows["start"][self.noises[meter].apart]).tz_localize(None).normalize()

    def tied(self, least: float = TIED) -> list[tuple[str, str, float]]:
        """Pairs of unknowns with their correlation, where it is over `least`; over `TIED` nothing tells them apart.

        Where efficiency may fall more or less with the cold, loss and efficiency are tied through that too: pairs are
        told for a given fall, since else three that are known together only would not be named at all.
        """
        covariance, names = np.atleast_2d(np.cov(self.scores.T)), [one.name for one in self.unknowns]
        if "cold" in names:
            given = covariance[names.index("cold")]
            covariance = covariance - np.outer(given, given) / given[names.index("cold")]
        sd = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
        correlation = covariance / np.outer(sd, sd)
        return [
            (self.unknowns[i].label, self.unknowns[j].label, float(correlation[i, j]))
            for i in range(len(self.unknowns))
            for j in range(i)
            if abs(correlation[i, j]) > least
        ]

    def fitted_case(self) -> Case:
        """The home with the middle of the posterior in it, as far as a case can say it; its note names the rest."""
        made = with_unknowns(self.case, self.draws.median())
        note = f"{made.note.partition(UNSAID)[0].rstrip()} {self.unsaid}".strip()
        return vary(made, {"note": note}) if len(note) <= LONGEST_NOTE else made

    @cached_property
    def unsaid(self) -> str:
        """What was fitted and no case can hold, in one sentence; "" where it holds all."""
        number = self.case.notation.number
        held = {"loss_w_per_k", "efficiency", *(("base_kwh",) if self.case.household.file is None else ())}
        parts = []
        for one in self.unknowns:
            middle = float(self.table.loc[one.name, "middle"])
            unit = "times" if one.unit == "share" else one.unit
            if one.name not in held:
                parts.append(f"{one.label} ({number(middle, 2 if abs(middle) < 10.0 else 1)} {unit})")
        return f"{UNSAID} {'; '.join(parts)}. A projection from the readings counts them." if parts else ""


def _ends(level: float) -> tuple[float, float, float]:
    """Quantiles between which so large a share lies, and the middle."""
    return 0.5 - level / 2.0, 0.5, 0.5 + level / 2.0


def predicted(
    fit: Fit, start: str, end: str, *, weather: WeatherThen | None = None, meter: str | None = None, seed: int = 2
) -> tuple[Floats, pd.DatetimeIndex]:
    """Days of a span in samples of home and life, (samples, days) [kWh]; their starts, UTC.

    Homes are drawn from the posterior and simulated; on each are laid days as they scatter about the fit, given what
    the days that were fitted left over: a habit that lasts for weeks lasts into the days beside them. Days of the
    span that were fitted themselves are predicted as if only the others had been.
    """
    name = meter or fit.channels[0].name
    if name not in fit.noises:
        known = ", ".join(fit.noises)
        raise DataError(Fault("predict", f'meter = "{name}"', "was not fitted", f"Ask for one of {known}"))
    number = list(fit.noises).index(name)
    channel, noise = fit.channels[number], fit.noises[name]
    first, last = (pd.Timestamp(date).tz_localize(fit.case.site.zone).tz_convert("UTC") for date in (start, end))
    window = window_of(fit.case, first, last, weather=weather or fit.weather)
    rng, rows = np.random.default_rng(seed), fit.some(HOMES)
    made = metered(window, fit.unknowns, fit.draws.to_numpy()[rows], [name])[name]

    day = pd.Timedelta(days=1)
    new = np.rint((window.block_starts - fit.window.starts[0]) / day)
    old = np.rint((fit.window.block_starts[channel.first] - fit.window.starts[0]) / day)
    kept = ~noise.apart & ~np.isin(old, new) & channel.daily
    fitted = split(fit.emulator.at(fit.scores[rows]), fit.channels)[number][:, kept]
    before = Before(old[kept], fitted, channel.values[kept], noise.widths[kept])
    scale = np.exp(fit.log_noise[rows, number])
    straying = Straying(name, noise.whole_sd, noise.mean, noise.shares)
    samples = straying.lived(made, new, before, scale=scale, rng=rng).samples
    return samples if name in (NET, "room_c") else np.maximum(samples, 0.0), window.block_starts
