"""A home with panels and a battery: fitted from import and export, its year projected."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from meter.invented import Invented, invent
from simkit.answers.meter.fit import fit_notes
from simkit.case.build import Case, options_of, vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.projection import project

BATTERY = {"usable_kwh": 6.0, "charge_kw": 3.0, "discharge_kw": 3.0, "store_surplus": True}


@cache
def _home() -> Case:
    roofed = options_of(read_case(sample_file("canal_terrace")))[-1]
    return vary(roofed, {f"battery.{key}": value for key, value in BATTERY.items()})


@cache
def _fitted(number: int) -> tuple[Invented, Fit]:
    made = invent(_home(), number, "2025-03-01", "2025-04-10", meters=("import_kwh", "export_kwh"))
    return made, fit(_home(), made.readings, weather=made.weather, draws=4000)


@pytest.mark.parametrize("number", [0, 2, 3])
def test_import_and_export_find_the_home(number: int) -> None:
    made, found = _fitted(number)
    assert made.readings.frame["export_kwh"].sum() > 5.0
    assert set(found.noises) == {"net_kwh"}
    table = found.table
    inside = [table.loc[name, "low"] <= made.truth[name] <= table.loc[name, "high"] for name in table.index]
    assert sum(inside) >= 3  # of five at 90 %: fewer than three would happen to one home in a hundred
    ratio = found.draws["loss_w_per_k"] / found.draws["efficiency"]
    true = made.truth["loss_w_per_k"] / made.truth["efficiency"]
    low, high = np.quantile(ratio, (0.005, 0.995))
    assert low < true < high
    assert table.loc["draws", "spread_left"] > 0.7  # which day a reheat falls on tells nothing of the water


def test_the_net_of_a_day_is_said_to_be_what_was_fitted() -> None:
    made, found = _fitted(0)
    rows = found.residuals
    daily = made.readings.daily("import_kwh") - made.readings.daily("export_kwh")
    np.testing.assert_allclose(rows["measured"], daily.to_numpy())
    assert any("import less export of a day" in note for note in fit_notes(found))


def test_its_year_is_projected() -> None:
    year = project(_fitted(0)[1], lanes=32, weather_count=8)
    assert year.year_kwh.low < year.year_kwh.middle < year.year_kwh.high
    assert not year.burns
