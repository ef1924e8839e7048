"""Sample homes and short pieces of their year in, what the kernel is told about them out: for tests of the physics."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from simkit.assemble.home import Adjustment, home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.kernel.inputs import HomeInputs
from simkit.physics.records import Now, State

SAMPLES = Path(__file__).parent.parent / "sample_data"
NAMES = ("estuary_bungalow", "canal_terrace", "moor_cottage", "harbour_flat")
STATED_W_PER_K = 250.0  # for the estuary home, whose own loss is found from its fuel


@cache
def sample(name: str, option: str | None = None) -> Case:
    """A sample home, or one of its options; the estuary home with its loss stated."""
    case = read_case(SAMPLES / name / "case.toml")
    if name == "estuary_bungalow":
        case = vary(case, {"home.loss.w_per_k": STATED_W_PER_K})
    if option is None:
        return case
    return next(found for title, _, found in case.options() if title == option)


def changed(name: str, changes: Mapping[str, Any] | None = None, option: str | None = None) -> Case:
    """A sample home with some values changed."""
    case = sample(name, option)
    return vary(case, {**(changes or {}), "option": None, "baseline": None})


def stated_loss(case: Case) -> float:
    """Heat loss of a case that states it [W/K]."""
    from simkit.assemble.heat_loss import loss_w_per_k

    return loss_w_per_k(case)


def setting(case: Case, step_minutes: int = 60) -> Setting:
    return setting_for(case, step_minutes)


def inputs(case: Case, step_minutes: int = 60, adjustment: Adjustment | None = None) -> HomeInputs:
    """What the kernel is told about a home."""
    more = () if adjustment is None else (adjustment,)
    return home_inputs(case, setting(case, step_minutes), stated_loss(case), *more)


def piece(
    whole: HomeInputs, first: int, steps: int, *, start: Mapping[str, float] | None = None, **series: Any
) -> HomeInputs:
    """Cut some steps out of a home's year; `start` changes its state, keywords set series (a number or an array)."""
    cut = {name: np.ascontiguousarray(whole.series[name][first : first + steps]) for name in Now._fields}
    cut |= {name: np.full(steps, value) if np.isscalar(value) else np.asarray(value) for name, value in series.items()}
    state: State = whole.start._replace(**(start or {}))
    return replace(whole, start=state, series=cut)
