"""A projection in; how much narrower one more measurement would make it, ranked, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.lanes import NET, metered
from simkit.meter.fitting.noise import START_SHARES, noise_of
from simkit.meter.fitting.observations import Channel
from simkit.meter.fitting.projection import Projection
from simkit.meter.fitting.weather_then import usual_weather
from simkit.meter.fitting.window import Window, window_of

PROBES = 48
TEN_TO_NINETY = 2.563  # normal distribution: width from the tenth to the ninetieth percentile, in standard deviations
MONTH_DAYS = 30
# own: scatter of a day about a good simulation, before any was seen: share of the mean day, or [K]
METER_SCATTER = {"import_kwh": 0.10, "heat_pump_kwh": 0.06, "heat_kwh": 0.06, "fuel_kwh": 0.08, "room_c": 0.15}
COOL_DOWN_SD = 0.28  # own: a time constant to 8 %, a capacity known by its class to 27 %: the loss to 28 %
COOL_DOWN = "a cool-down night"
SAME = "a month more of the same meter"
WORDS = {
    "import_kwh": "the electricity meter, read daily for a month",
    "fuel_kwh": "the fuel's meter, read daily for a month", "heat_pump_kwh": "a meter on the heat pump, for a month",
    "heat_kwh": "a heat meter, for a month", "room_c": "a room logger, for a month",
}  # fmt: skip


@dataclass(frozen=True)
class Step:
    """A measurement that could be made: what, and the width of the year's 10–90 range now and then [currency].

    `loss_now` and `loss_then` are the standard deviations of the heat loss, as shares of it.
    """

    what: str
    width_now: float
    width_then: float
    loss_now: float
    loss_then: float

    @property
    def tells(self) -> bool:
        """Whether it would tell more than next to nothing of the home."""
        return self.width_then <= 0.99 * self.width_now or self.loss_then <= 0.95 * self.loss_now


def what_next(projection: Projection) -> tuple[Step, ...]:
    """Rank what could be measured next by how much it would narrow the year.

    Notes
    -----
    The posterior is taken as normal and the meters as linear in the unknowns near it: the covariance C becomes
    (C⁻¹ + JᵀV⁻¹J)⁻¹ with J the slopes of the meter's days on the unknowns and V their scatter. What the weather does
    to a year stays, whatever is measured. Widths are laid on the range that the projection states, whose shape is not
    quite normal: what is narrowed is the range that stands beside it.
    """
    fit = projection.fit
    slope, years, left = projection._linear
    scores = fit.scores
    covariance = np.cov(scores.T)
    weather = float(np.var(years)) + left**2
    said, normal = projection.year_cost, TEN_TO_NINETY * (float(slope @ covariance @ slope) + weather) ** 0.5
    width = said.high - said.low
    end = fit.window.starts[-1] + pd.Timedelta(hours=fit.window.hours)
    place = [one.name for one in fit.unknowns].index("loss_w_per_k")
    sd = fit.unknowns[place].sd

    def step(words: str, after: Floats) -> Step:
        then = width / normal * TEN_TO_NINETY * (float(slope @ after @ slope) + weather) ** 0.5
        return Step(
            words, width, then, sd * float(covariance[place, place]) ** 0.5, sd * float(after[place, place]) ** 0.5
        )

    steps = []
    for words, window, channel in _offers(fit, end):
        information = _information(fit, window, channel, scores)
        steps.append(step(words, _narrowed(covariance, information)))
    told = np.zeros_like(covariance)
    told[place, place] = (sd / COOL_DOWN_SD) ** 2
    steps.append(step(COOL_DOWN, _narrowed(covariance, told)))
    return tuple(sorted(steps, key=lambda one: (round(one.width_then / width, 3), one.loss_then)))


def _narrowed(covariance: Floats, information: Floats) -> Floats:
    """Covariance once more is known, (C⁻¹ + I)⁻¹."""
    return np.asarray(np.linalg.inv(np.linalg.inv(covariance) + information), dtype=np.float64)


def _offers(fit: Fit, end: pd.Timestamp) -> list[tuple[str, Window, str]]:
    """Meters that could run next month, and the same meter in a month of another season."""
    zone = fit.case.site.zone
    step = round(60 * fit.window.hours)
    half = end + pd.Timedelta(days=150)
    spans = [(end, end + pd.Timedelta(days=MONTH_DAYS)), (half, half + pd.Timedelta(days=MONTH_DAYS))]
    windows = []
    for a, b in spans:
        windows.append(window_of(fit.case, a, b, weather=usual_weather(fit.case, a, b, step)))
    have = [name for name in fit.noises if name in (*WORDS, NET)]
    boiler = fit.case.heat_source == "boiler"
    others = ("fuel_kwh", "import_kwh", "room_c") if boiler else ("heat_pump_kwh", "heat_kwh", "room_c", "import_kwh")
    same = next((name for name in ("import_kwh", NET, *have) if name in have), "import_kwh")
    offers = [(SAME, windows[0], same)] if have else []
    whole = ("import_kwh",) if NET in have else ()
    offers += [(WORDS[name], windows[0], name) for name in others if name not in (*have, *whole)]
    month = f"{windows[1].starts[0].tz_convert(zone):%B}"
    return [*offers, (f"the same meter around {month}", windows[1], same)]


def _information(fit: Fit, window: Window, channel: str, scores: Floats) -> Floats:
    """JᵀV⁻¹J of a month of one meter."""
    rows = np.random.default_rng(5).permutation(len(scores))[:PROBES]
    values = fit.draws.to_numpy()[rows]
    made = metered(window, fit.unknowns, values, [channel])[channel]
    centred = scores[rows] - scores[rows].mean(axis=0)
    # a ridge keeps the slopes of unknowns that the posterior ties together from running away
    normal = centred.T @ centred + 1e-3 * np.eye(scores.shape[1])
    slopes = np.linalg.solve(normal, centred.T @ (made - made.mean(axis=0))).T
    count = np.arange(window.blocks)
    one = Channel(channel, made.mean(axis=0), count, count + 1, np.ones(window.blocks))
    known = fit.noises.get(channel)
    scale = METER_SCATTER[channel] * (1.0 if channel == "room_c" else float(made.mean()))
    noise = noise_of(one, known.whole_sd if known else scale, known.shares if known else START_SHARES)
    white = noise.whitened(slopes.T)
    return np.asarray(white @ white.T)
