"""The relaxation under everything that the kernel does: stretches of the year, each with ends of its own."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decide.invented import ROOF, stored, tariff, terrace
from simkit.case.case import Case, vary
from simkit.decide.bound import Solved, solve, states_of
from simkit.decide.least_cost_of_heat import Machine, least_for_rooms
from simkit.decide.relaxed_year import Limits, Stretch, programme_of
from simkit.decide.rules import Rule
from simkit.decide.schedules import Variants
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import HomeYear, run_home
from simkit.physics.records import Flows, Levels
from simkit.year import simulate

DAYS = 8
FREE = Limits(1e9, 1e9, 1e3, 1e3, True, 0.0, 0.0)
KEPT = Limits(0.0, 0.0, 1e3, 1e3, True, 10.0, 10.0)


@lru_cache(maxsize=4)
def variants(kind: str) -> Variants:
    case: Case = {
        "bare": terrace, "battery": stored,
        "both": lambda: vary(stored(), {"solar": ROOF, "tariff": tariff(export=0.05)}),
    }[kind]()  # fmt: skip
    return Variants(simulate(case, step_minutes=60))


def flow(run: HomeYear, name: str) -> np.ndarray:
    return run.trace[:, Flows._fields.index(name)]


def under_the_kernel(
    home: HomeInputs, day: int, price: np.ndarray, export: np.ndarray, limits: Limits = FREE
) -> tuple[float, float]:
    """Cost of the programme and of the kernel over some days, both from and to the same states."""
    steps = DAYS * 24
    part = slice(day * 24, day * 24 + steps)
    piece = HomeInputs(home.home, home.start, {name: values[part] for name, values in home.series.items()})
    run = run_home(piece, steps, 1.0, run_in=False)
    whole = Stretch.of(piece, 1.0, import_price=price, export_price=export, limits=limits)
    made = programme_of(whole)
    end = states_of(run.after, whole)
    layers = [made.of(name, following=True)[-1:] for name in made.named("layer_")]
    made.once([(at, np.ones(1)) for at in layers], sum(end[name] for name in made.named("layer_")) - 1e-6, np.inf)
    assert run.trace[:, len(Flows._fields) + Levels._fields.index("air_c")].min() >= 18.0  # what the programme asks
    solved: Solved = solve(
        made, fixed=states_of(run.before, whole), ends={name: end[name] for name in ("air", "fabric", "stored")}
    )
    cost = (flow(run, "grid_import") * price - flow(run, "grid_export") * export).sum()
    return solved.objective, float(cost)


@settings(max_examples=20, deadline=None)
@given(
    kind=st.sampled_from(["bare", "battery", "both"]), day=st.integers(0, 356), over=st.sampled_from([0.5, 1.0]),
    back=st.sampled_from([0.0, 1.0]), lift=st.sampled_from([0.0, 1.0]), curve=st.sampled_from([0.0, 4.0]),
    negative=st.booleans(), pays=st.booleans(),
)  # fmt: skip
def test_no_schedule_of_the_kernel_lies_under_the_programme(
    kind: str, day: int, over: float, back: float, lift: float, curve: float, negative: bool, pays: bool
) -> None:
    """Whatever the rule, the battery, the sun and the prices, below zero or export above import among them."""
    made = variants(kind)
    hour = np.arange(DAYS * 24) % 24
    price = np.where(hour < 4, -0.05 if negative else 0.1, 0.35)
    export = np.full(DAYS * 24, 0.4 if pays and not negative else 0.05)
    home = made.home(Rule(over, 2.0, back, lift, 3.0 if lift else 0.0, curve))
    bound, cost = under_the_kernel(home, day, price, export)
    assert bound <= cost + 1e-6 * abs(cost) + 1e-6


def test_the_programme_is_not_idly_low() -> None:
    """A bound of nothing would pass the test above: over a cold week it reaches most of what the kernel pays."""
    made = variants("bare")
    price, export = np.full(DAYS * 24, 0.3), np.zeros(DAYS * 24)
    bound, cost = under_the_kernel(made.home(Rule(0.5, 1.0)), 10, price, export, KEPT)
    assert bound > 0.8 * cost


def test_pieces_are_convex_and_under_the_machine() -> None:
    made = variants("bare")
    home = made.today.inputs
    machine = Machine.of(home.home, home.series)
    pieces = least_for_rooms(machine, np.full(made.today.axis.steps, 20.0))
    used = pieces.width_kw > 1e-9
    for k in range(len(pieces.slope) - 1):
        both = used[k] & used[k + 1]
        assert np.all(pieces.slope[k + 1][both] >= pieces.slope[k][both] - 1e-9)
    assert np.allclose(pieces.width_kw.sum(axis=0), machine.most_kw)
    frame = made.today.hourly
    heat = flow(made.today.run, "heat_pump_space_heat")
    left, least = heat.copy(), np.zeros(len(heat))
    for width, slope in zip(pieces.width_kw, pieces.slope, strict=True):
        part = np.minimum(left, width)
        least, left = least + part * slope, left - part
    warm = frame["air_c"].to_numpy() >= 20.0
    used_kw = flow(made.today.run, "heat_pump_space") + flow(made.today.run, "pumps_space")
    assert np.all(least[warm] <= used_kw[warm] + 1e-9)


def test_a_battery_day_by_rule_equals_the_same_day_by_highs() -> None:
    """Two prices, more load than the battery holds: the rule is the best there is. HiGHS through scipy, built apart."""
    from scipy.optimize import linprog

    price = np.where(np.arange(24) < 4, 0.10, 0.40)
    load, usable, power, eta_in, eta_out = 1.0, 8.0, 3.0, 0.95, 0.95
    # variables: charge, discharge, import; content after each hour between 0 and usable, back to 0 at the end
    content = np.tril(np.ones((24, 24)))
    a_ub = np.block(
        [
            [content * eta_in, -content / eta_out, np.zeros((24, 24))],
            [-content * eta_in, content / eta_out, np.zeros((24, 24))],
        ]
    )
    a_eq = np.hstack([-np.eye(24), np.eye(24), np.eye(24)])
    found = linprog(
        np.concatenate([np.zeros(48), price]), A_ub=a_ub, b_ub=[usable] * 24 + [0.0] * 24, A_eq=a_eq,
        b_eq=np.full(24, load), bounds=[(0, power)] * 48 + [(0, None)] * 24, method="highs",
    )  # fmt: skip
    bought = usable / eta_in
    by_rule = 0.10 * (4 * load + bought) + 0.40 * (20 * load - usable * eta_out)
    assert found.fun == pytest.approx(by_rule)
