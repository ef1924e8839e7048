"""A fitted home: values with their ranges, residuals, and what the readings can't tell apart, and the case again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.meter.account.metrics import Metrics, metrics_of
from simkit.meter.fitting.likelihood import Noise
from simkit.meter.fitting.parameters import Parameter
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.meter.fitting.window import Window

TIED = 0.75  # own: correlation from which two unknowns are said to be tied together
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
    weather, window
        Weather it was fitted in; the span.
    emulator_error
        Largest error of the polynomials that stand in for the simulation while sampling, in units of a day's scatter.
    acceptance
        Share of moves that the sampler took.
    notes
        What was assumed.
    """

    answered_by = "simkit.answers.meter.fit:fit_answer"

    case: Case
    unknowns: tuple[Parameter, ...]
    draws: pd.DataFrame
    residuals: pd.DataFrame
    noises: Mapping[str, Noise]
    weather: WeatherThen = field(repr=False)
    window: Window = field(repr=False)
    emulator_error: float
    acceptance: float
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

    def tied(self) -> list[tuple[str, str, float]]:
        """Pairs of unknowns that the readings can't tell apart, with their correlation."""
        scores = np.column_stack([one.score(self.draws[one.name].to_numpy()) for one in self.unknowns])
        correlation = np.atleast_2d(np.corrcoef(scores.T))
        return [
            (self.unknowns[i].label, self.unknowns[j].label, float(correlation[i, j]))
            for i in range(len(self.unknowns))
            for j in range(i)
            if abs(correlation[i, j]) > TIED
        ]

    def fitted_case(self) -> Case:
        """The home with the middle of the posterior in it, as far as a case can say it."""
        return with_unknowns(self.case, self.draws.median())


def with_unknowns(case: Case, found: Mapping[str, float] | pd.Series[float]) -> Case:
    """A home with what was found of its unknowns, by name, as far as a case can say it."""
    loss = case.home.loss
    stated = [key for key in type(loss).model_fields if getattr(loss, key) is not None]
    changes: dict[str, object] = {f"home.loss.{key}": None for key in stated if key != "w_per_k"}
    changes["home.loss.w_per_k"] = round(float(found["loss_w_per_k"]), 1)
    if case.household.file is None:
        changes["household.annual_kwh"] = round(float(found["base_kwh"]), 0)
    if case.heat_pump is not None and case.heat_source != "boiler":
        changes["heat_pump.efficiency_scale"] = round(case.heat_pump.efficiency_scale * float(found["efficiency"]), 3)
    if case.boiler is not None and case.heat_source == "boiler":
        for name in ("space_efficiency", "water_efficiency"):
            changes[f"boiler.{name}"] = round(min(getattr(case.boiler, name) * float(found["efficiency"]), 1.0), 3)
    return vary(case, changes)
