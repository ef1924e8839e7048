"""A set-back in the one-node limit against its closed form, under three recoveries."""

from __future__ import annotations

from functools import lru_cache
from math import exp, log

import numpy as np
import pytest
from references import Reference

from decide.invented import terrace
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.physics.building import response
from simkit.year.simulate import simulate

HOURS, DAYS, NIGHT_H = 0.25, 40, 8.0
LOSS, CONTENT, WARM = 0.2, 6.0, 20.0  # kW/K, kWh/K, °C, with 0 °C outdoors
TAU = CONTENT / LOSS  # h


@lru_cache(maxsize=1)
def plain() -> HomeInputs:
    """A home of one node without gains, heated by a boiler whose power is all that limits it."""
    found = simulate(terrace(), step_minutes=60).inputs
    exact = response(LOSS, 1.0, 1e-9, CONTENT, 1e-6, HOURS)
    home = found.home._replace(
        **exact._asdict(), air_side_kw_per_k=LOSS, fabric_side_kw_per_k=1e-9, emitter_mass_share=0.0,
        per_end_aqa=1.0 / exact.end_aqa, per_end_by_emitter=1.0 / exact.end_aqa, rated_kw=500.0, per_rated_kw=1 / 500.0,
        cylinder_loss_to_rooms=0.0, open_windows_above_c=40.0, per_water_kw_per_k=0.01,
    )  # fmt: skip
    steps = round(24 / HOURS) * DAYS
    series = {name: np.zeros(steps) for name in found.series}
    for name in ("by_boiler", "heating_season", "curve_shape", "curve_share"):
        series[name] = np.ones(steps)
    for name in found.series:
        if name.startswith(("efficiency", "capacity")):
            series[name] = np.full(steps, 0.4)
    return HomeInputs(home, found.start._replace(air_c=WARM, fabric_c=WARM), series)


def heat_of_a_day(power_kw: float, night_c: float) -> float:
    """Heat of the last day, which is one of many alike [kWh]."""
    base = plain()
    per_day = round(24 / HOURS)
    hour = np.arange(per_day * DAYS) % per_day * HOURS
    held = np.where(hour < NIGHT_H, night_c, WARM)
    home = HomeInputs(base.home._replace(boiler_kw=power_kw), base.start, base.series | {"set_point_c": held})
    run = run_home(home, len(held), HOURS, run_in=False)
    return float(run.trace[-per_day:, 0].sum() * HOURS)


@pytest.mark.parametrize(("recovery", "power_kw"), [("gentle", 6.0), ("medium", 8.0), ("full", 40.0)])
def test_set_back_against_its_closed_form(recovery: str, power_kw: float) -> None:
    """Cooling T = 20·exp(−t/τ) for eight hours, then rising towards P/H until 20 °C: saved is H·∫(20 − T)."""
    coldest = WARM * exp(-NIGHT_H / TAU)
    goal = power_kw / LOSS
    rise_h = TAU * log((goal - coldest) / (goal - WARM))
    cooling = WARM * NIGHT_H - TAU * (WARM - coldest)
    rising = (WARM - goal) * rise_h - (coldest - goal) * TAU * (1.0 - exp(-rise_h / TAU))
    saved = LOSS * (cooling + rising)
    assert rise_h < 24.0 - NIGHT_H
    steady, back = (heat_of_a_day(power_kw, night) for night in (WARM, 10.0))
    Reference(LOSS * WARM * 24.0, "own: steady loss", 1e-6 * LOSS * WARM * 24.0, "exact").check(steady)
    source = (
        f"own derivation, one node, {recovery} recovery: free cooling T = Te + (T0 − Te)·exp(−t/τ), then its mirror"
    )
    Reference(saved, source, 0.002 * saved, "the kernel reaches the set-point at the end of a step").check(
        steady - back
    )


def test_the_harder_the_recovery_the_less_a_cold_house_saves() -> None:
    saved = [heat_of_a_day(power, WARM) - heat_of_a_day(power, 10.0) for power in (6.0, 8.0, 40.0)]
    assert saved[0] > saved[1] > saved[2] > 0.0
