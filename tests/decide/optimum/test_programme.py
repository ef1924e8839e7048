"""The relaxation under everything that the kernel does: stretches of the year, each with ends of its own."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from decide.invented import ROOF, stored, tariff, terrace
from simkit.case.build import Case, vary
from simkit.decide.optimum.bound import states_of
from simkit.decide.optimum.least_cost_of_heat import Machine, least_for_rooms
from simkit.decide.optimum.least_prices import LeastPrices, PeakTerm, TierTerm
from simkit.decide.optimum.linear import Solved, solve
from simkit.decide.optimum.programme import programme_of
from simkit.decide.optimum.stretch import NO_FUSE_KW, CarNeed, Limits, Stretch
from simkit.decide.schedule.rule import Rule
from simkit.decide.schedule.search import Variants
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import HomeYear, run_home
from simkit.year.simulate import simulate

DAYS = 8
FREE = Limits(1e9, 1e9, 1e3, 1e3, True, 0.0, 0.0)
KEPT = Limits(0.0, 0.0, 1e3, 1e3, True, 10.0, 10.0)


@lru_cache(maxsize=4)
def variants(kind: str) -> Variants:
    case: Case = {
        "bare": terrace, "battery": stored,
        "both": lambda: vary(stored(), {"solar": ROOF, "tariff": tariff(export=0.05)}),
        "behind": lambda: vary(
            stored(),
            {"solar": {**ROOF, "inverter_kw": 1.5}, "battery.coupling": "dc", "tariff": tariff(export=0.05)},
        ),
        "radiators that hold nothing": lambda: vary(terrace(), {"emitters.stores": False}),
        "floor": lambda: vary(
            terrace(),
            {"emitters.kind": "underfloor", "emitters.exponent": None, "emitters.mass_share": None,
             "emitters.rated_kw": None, "emitters.sized_for_flow_c": 35.0, "controls.design_flow_c": 36.0},
        ),
    }[kind]()  # fmt: skip
    return Variants(simulate(case, step_minutes=60))


def flow(run: HomeYear, name: str) -> np.ndarray:
    return run.flow(name)


def under_the_kernel(
    home: HomeInputs, day: int, prices: LeastPrices, limits: Limits = FREE, car: CarNeed | None = None
) -> tuple[float, float]:
    """Cost of the programme and of the kernel over some days, both from and to the same states."""
    steps = DAYS * 24
    part = slice(day * 24, day * 24 + steps)
    piece = HomeInputs(home.home, home.start, {name: values[part] for name, values in home.series.items()})
    if car is not None:
        piece.series["car_kw"] = CAR_KW.copy()
    run = run_home(piece, steps, 1.0, run_in=False)
    if limits.fuse_kw < NO_FUSE_KW:  # the tightest that this schedule keeps to
        limits = replace(limits, fuse_kw=float(flow(run, "grid_import").max()))
    whole = Stretch.of(piece, 1.0, prices=prices, limits=limits, car=car)
    made = programme_of(whole)
    end = states_of(run.after, whole)
    layers = [made.of(name, following=True)[-1:] for name in made.named("layer_")]
    made.several([(at, 1.0) for at in layers], sum(end[name] for name in made.named("layer_")) - 1e-6, np.inf)
    assert run.flow("air_c").min() >= 18.0  # what the programme asks
    solved: Solved = solve(
        made,
        fixed=states_of(run.before, whole),
        ends={name: end[name] for name in ("air", "fabric", "stored", "held") if name in end},
    )
    return solved.objective, prices.cost(flow(run, "grid_import"), flow(run, "grid_export"), 1.0)


CAR_KW = np.zeros(DAYS * 24)
NIGHTS = [np.arange(24 * day + 18, 24 * day + 31) for day in range(DAYS - 1)]
CHARGER_KW = 7.0


def charged_nights(seed: int) -> CarNeed:
    """A car that takes another amount each night, each in another course; `CAR_KW` holds it."""
    rng = np.random.default_rng(seed)
    CAR_KW[:] = 0.0
    for night in NIGHTS:
        CAR_KW[night] = np.minimum(rng.gamma(0.3, 6.0, len(night)), CHARGER_KW)
    most = np.zeros(DAYS * 24)
    most[np.concatenate(NIGHTS)] = CHARGER_KW
    return CarNeed.of(NIGHTS, most, CAR_KW, 1.0)


def demanding(price: np.ndarray, export: np.ndarray) -> LeastPrices:
    """With a charge on the peak of three-hour means, and tiers."""
    steps = np.arange(len(price))
    peak = PeakTerm(steps // 3, np.full(len(price), 1 / 3), 0 * steps, np.full(len(price), 5.0 / len(price)), 0.5)
    tier = TierTerm(0 * steps, np.array([[60.0], [np.inf]]), np.array([[0.02], [0.15]]))
    return LeastPrices(price, export, (peak,), (tier,))


@settings(max_examples=30, deadline=None)
@given(
    kind=st.sampled_from(["bare", "battery", "both", "behind", "radiators that hold nothing", "floor"]),
    day=st.integers(0, 356), over=st.sampled_from([0.5, 1.0]),
    back=st.sampled_from([0.0, 1.0]), lift=st.sampled_from([0.0, 1.0]), curve=st.sampled_from([0.0, 4.0]),
    negative=st.booleans(), pays=st.booleans(), car=st.none() | st.integers(0, 99), fused=st.booleans(),
    peaks=st.booleans(),
)  # fmt: skip
def test_no_schedule_of_the_kernel_lies_under_the_programme(
    kind: str, day: int, over: float, back: float, lift: float, curve: float, negative: bool, pays: bool,
    car: int | None, fused: bool, peaks: bool,
) -> None:  # fmt: skip
    """Whatever the rule, battery, sun, car and prices: below zero, export above import, peaks and tiers among them."""
    made = variants(kind)
    hour = np.arange(DAYS * 24) % 24
    price = np.where(hour < 4, -0.05 if negative else 0.1, 0.35)
    export = np.full(DAYS * 24, 0.4 if pays and not negative else 0.05)
    home = made.home(Rule(over, 2.0, back, lift, 3.0 if lift else 0.0, curve_k=curve))
    need = None if car is None else charged_nights(car)
    prices = demanding(price, export) if peaks else LeastPrices(price, export)
    limits = replace(FREE, fuse_kw=NO_FUSE_KW / 2) if fused else FREE
    bound, cost = under_the_kernel(home, day, prices, limits, need)
    assert bound <= cost + 1e-6 * abs(cost) + 1e-6


def test_a_free_car_moves_into_the_cheap_hours_and_no_further() -> None:
    """Charged at 18:00 at the dear price, it could all be at the cheap one, inside its night and charger. By hand."""
    made = variants("bare")
    hour = np.arange(DAYS * 24) % 24
    prices = LeastPrices(np.where((hour >= 1) & (hour < 4), 0.1, 0.35), np.zeros(DAYS * 24))
    home = made.home(Rule(0.5, 1.0))
    charged_nights(0)
    CAR_KW[:] = 0.0
    for night in NIGHTS:
        CAR_KW[night[:4]] = CHARGER_KW  # 28 kWh, of which the three cheap hours take 21
    most = np.zeros(DAYS * 24)
    most[np.concatenate(NIGHTS)] = CHARGER_KW
    free, _ = under_the_kernel(home, 200, prices, KEPT, CarNeed.of(NIGHTS, most, CAR_KW, 1.0))
    held, _ = under_the_kernel(home, 200, prices, KEPT, CarNeed.of(NIGHTS, CAR_KW, CAR_KW, 1.0))
    assert held - free == pytest.approx(len(NIGHTS) * 21.0 * (0.35 - 0.1), rel=1e-6)


def test_a_charge_on_the_peak_lowers_the_peak_that_the_programme_plans() -> None:
    made = variants("bare")
    need = charged_nights(3)
    home = made.home(Rule(0.5, 1.0))
    flat, none = np.full(DAYS * 24, 0.3), np.zeros(DAYS * 24)
    plain, cost = under_the_kernel(home, 10, LeastPrices(flat, none), KEPT, need)
    peak = PeakTerm(np.arange(DAYS * 24), np.ones(DAYS * 24), np.zeros(DAYS * 24, int), none + 10.0 / len(flat), 0.0)
    charged, more = under_the_kernel(home, 10, LeastPrices(flat, none, (peak,)), KEPT, need)
    assert 0.0 < charged - plain < more - cost


def test_the_programme_is_not_idly_low() -> None:
    """A bound of nothing would pass the test above: over a cold week it reaches most of what the kernel pays."""
    made = variants("bare")
    price, export = np.full(DAYS * 24, 0.3), np.zeros(DAYS * 24)
    bound, cost = under_the_kernel(made.home(Rule(0.5, 1.0)), 10, LeastPrices(price, export), KEPT)
    assert bound > 0.7 * cost  # emitters that hold heat give it whenever it is wanted: a looser bound
    made = variants("radiators that hold nothing")
    bound, cost = under_the_kernel(made.home(Rule(0.5, 1.0)), 10, LeastPrices(price, export), KEPT)
    assert bound > 0.8 * cost


def test_pieces_are_convex_and_under_the_machine() -> None:
    made = variants("radiators that hold nothing")
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


def planned(price: np.ndarray, export: np.ndarray, kind: str) -> Solved:
    """The programme of eight days of summer from half-empty to half-empty, comfort kept."""
    made = variants(kind)
    part = slice(190 * 24, 190 * 24 + len(price))
    piece = HomeInputs(
        made.today.inputs.home, made.today.inputs.start,
        {name: values[part] for name, values in made.today.inputs.series.items()},
    )  # fmt: skip
    whole = Stretch.of(piece, 1.0, prices=LeastPrices(price, export), limits=replace(KEPT, sells_stored=False))
    return solve(programme_of(whole), fixed={"stored": 4.0}, ends={"stored": 4.0})


def test_without_sun_a_price_without_spread_moves_nothing_through_the_battery() -> None:
    """Each kWh through it loses a tenth and earns nothing: zero cycles."""
    flat = np.full(DAYS * 24, 0.3)
    solved = planned(flat, 0.0 * flat, "battery")
    assert solved.values("into").sum() == pytest.approx(0.0, abs=1e-6)
    assert solved.values("out").sum() == pytest.approx(0.0, abs=1e-6)


def test_a_day_of_negative_prices_is_used_and_stays_bounded() -> None:
    """Who is paid to take energy fills the battery and may waste some, but no more than the home can use."""
    hour = np.arange(DAYS * 24)
    price = np.where((hour >= 48) & (hour < 72), -0.1, 0.3)
    home = variants("battery").today.inputs.home
    solved = planned(price, 0.0 * price, "battery")
    assert solved.values("stored")[71] == pytest.approx(home.usable_kwh, rel=1e-6)
    bought = solved.values("bought")[48:72]
    most = home.charge_kw + home.backup_kw + home.immersion_kw + 30.0  # 30 kW: machine and household, generously
    assert 1.0 < bought.mean() < most
    assert solved.objective < planned(np.full(DAYS * 24, 0.3), 0.0 * price, "battery").objective


def test_export_above_import_is_no_endless_trade() -> None:
    """Held by import and export as shares of one step, and by what may be sold: the panels' own, at most."""
    price, export = np.full(DAYS * 24, 0.2), np.full(DAYS * 24, 0.5)
    solved = planned(price, export, "both")
    sun = variants("both").today.inputs.series["solar_kw"][190 * 24 : 190 * 24 + DAYS * 24]
    assert solved.values("sold").sum() <= sun.sum() + 1e-6
    assert np.all(solved.values("sold") <= sun + 1e-6)
    assert solved.objective > -0.5 * sun.sum()


def test_a_small_day_is_the_same_by_another_hand() -> None:
    """The programme's battery, car and grid for one day, against the same day written by hand for scipy's HiGHS."""
    from scipy.optimize import linprog

    made = variants("battery")
    home = made.today.inputs.home
    steps = np.arange(24)
    series = {name: values[190 * 24 : 191 * 24].copy() for name, values in made.today.inputs.series.items()}
    series["car_kw"] = np.where(steps < 3, 6.0, 0.0)
    series["draw_kw"], series["heating_season"] = 0.0 * steps, 0.0 * steps
    series["water_target_c"], series["water_forced"] = np.full(24, 50.0), 0.0 * steps
    price = np.where(steps < 2, 0.2, np.where(steps < 7, 0.1, 0.4))
    night, most = np.arange(8), np.where(steps < 8, 7.0, 0.0)
    car = CarNeed.of([night], most, series["car_kw"], 1.0)
    piece = HomeInputs(home, made.today.inputs.start, series)
    limits = replace(KEPT, fuse_kw=9.0, sells_stored=False)
    prices = LeastPrices(price, 0.0 * price)
    solved = solve(
        programme_of(Stretch.of(piece, 1.0, prices=prices, limits=limits, car=car)),
        fixed={"stored": home.reserve_kwh}, ends={"stored": home.reserve_kwh},
    )  # fmt: skip
    # by hand: into, out, car, bought; the content above its floor from empty to empty
    one, none = np.eye(24), np.zeros((24, 24))
    content = np.tril(np.ones((24, 24)))
    held = np.hstack([content * home.charge_efficiency, -content / home.discharge_efficiency, none, none])
    slowest = home.standby_kw + home.battery_idle_kw
    by_hand = linprog(
        np.concatenate([np.zeros(72), price]),
        A_ub=np.vstack([held, -held]), b_ub=[home.usable_kwh - home.reserve_kwh] * 24 + [0.0] * 24,
        A_eq=np.vstack([np.hstack([-one, one, -one, one]), held[-1:], np.r_[np.zeros(48), np.ones(24), np.zeros(24)]]),
        b_eq=np.r_[series["household_kw"] + slowest, 0.0, 18.0],
        bounds=[(0, home.charge_kw)] * 24 + [(0, home.discharge_kw)] * 24
        + [(0, kw) for kw in most] + [(0, 9.0)] * 24,
        method="highs",
    )  # fmt: skip
    assert solved.objective == pytest.approx(by_hand.fun, rel=1e-6)


def test_a_sunny_day_behind_the_inverter_is_the_same_by_another_hand() -> None:
    """Direct current shared between battery and inverter, written by hand in other unknowns for scipy's HiGHS.

    By hand the panels' part after the inverter is an unknown under two limits, the inverter's and what the battery leaves
    of the sun; the programme has what is stored, and what of it the limit would have cut away.
    """
    from scipy.optimize import linprog

    made = variants("behind")
    home = made.today.inputs.home
    series = {name: values[190 * 24 : 191 * 24].copy() for name, values in made.today.inputs.series.items()}
    series["draw_kw"], series["heating_season"] = np.zeros(24), np.zeros(24)
    series["water_target_c"], series["water_forced"] = np.full(24, 50.0), np.zeros(24)
    solar, cut = series["solar_kw"], series["clipped_kw"]
    assert cut.max() > 0.3
    price, paid = np.where(np.arange(24) < 5, 0.12, 0.36), np.full(24, 0.05)
    piece = HomeInputs(home, made.today.inputs.start, series)
    solved = solve(
        programme_of(
            Stretch.of(piece, 1.0, prices=LeastPrices(price, paid), limits=replace(KEPT, sells_stored=False))
        ),
        fixed={"stored": home.reserve_kwh}, ends={"stored": home.reserve_kwh},
    )  # fmt: skip
    # by hand: from the sun at the battery, from the grid at the meter, out, panels after the inverter, bought, sold
    one, none, content = np.eye(24), np.zeros((24, 24)), np.tril(np.ones((24, 24)))
    eta = home.charge_efficiency
    held = np.hstack([content * eta, content * eta * 0.96, -content * home.per_discharge_efficiency, none, none, none])
    direct = np.hstack([0.96 * one, none, none, one, none, none])
    turns = np.hstack([one / home.charge_kw, 0.96 * one / home.charge_kw, one / home.discharge_kw, none, none, none])
    room = home.usable_kwh - home.reserve_kwh
    used = series["household_kw"] + home.standby_kw + home.battery_idle_kw
    by_hand = linprog(
        np.concatenate([np.zeros(96), price, -paid]),
        A_ub=np.vstack([held, -held, direct, turns]), b_ub=np.r_[np.full(24, room), np.zeros(24), solar + cut, np.ones(24)],
        A_eq=np.vstack([np.hstack([none, -one, one, one, one, -one]), held[-1:]]), b_eq=np.r_[used, 0.0],
        bounds=[(0, home.charge_kw)] * 24 + [(0, 1.5)] * 24 + [(0, kw) for kw in np.minimum(home.discharge_kw, 1.5 - solar)]
        + [(0, kw) for kw in solar] + [(0, None)] * 24 + [(0, kw) for kw in solar],
        method="highs",
    )  # fmt: skip
    assert solved.values("sun").sum() > 1.0
    assert solved.values("uncut").sum() > 0.3
    assert solved.objective == pytest.approx(by_hand.fun, rel=1e-6)
