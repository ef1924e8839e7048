"""What emitters hold over the room and the heat fed to them in a step in; what they gave and what they hold then, out.

Water and steel of radiators, the screed of a floor: one content at one temperature between machine and room. What it
takes to follow the room itself is part of the building's own capacity, whose class counts the floor, and for
radiators a fiftieth of that: so the store is counted over the room, and cools by the emitters' law alone,
C·dx/dt = P − R·(x/50)^n, whatever the room does.

Its state is x, *the mean water over the room that would keep it as warm as it is* [K]. Radiators are as warm as their
water. A floor's screed lies nearer to the room: only a share of x lies between screed and room, what covering and
surface hold back (`floor_store_share`), and its capacity for each kelvin of x is smaller by that share; the rest lies
between water and screed. In a steady step the store gives what it is fed, at the mean water that EN 442 or EN 1264
asks for.
"""

from __future__ import annotations

from math import expm1
from typing import NamedTuple

from simkit.physics.constants import RATED_EXCESS_K
from simkit.physics.hot_water import TINY
from simkit.physics.law import exponential_2, law, pick, power

SPENT_KW = 0.05  # own: a store not fed gives the last of it at once, so that a summer's steps have none
START_WEIGHT = 0.6  # own: between start and end of its way, where the slope of the law comes nearest to that of the way
LOG2_E = 1.4426950408889634  # logarithm of e to base 2
SCREED_W_PER_MK = 1.2  # cement screed, EN 1264-2 (from memory)
SCREED_KWH_PER_M3K = 2000.0 * 1000.0 / 3.6e6  # 2000 kg/m³ and 1000 J/(kg·K), EN ISO 10456 (from memory)
STEEL_KWH_PER_KG_K = 480.0 / 3.6e6  # 480 J/(kg·K), common practice
PIPE_M = 0.02  # common practice: pipes of a floor, which lie under the screed that counts as above them
MOST_STORE_SHARE = 0.95  # own: some of the excess always lies between water and screed
FILM_W_PER_M2K = 10.8  # heat from a floor's surface to the room at usual excess, EN 1264-2 (from memory)


class Store(NamedTuple):
    """What a home's emitters give, and what they hold by the step."""

    rated_kw: float  # with the mean water 50 K over the room
    settled_k_per_kw: float  # where it settles at the design load, by that load
    exponent: float
    kw_per_k_of_step: float  # power that warms the store by a kelvin in a step; 0 where nothing is held
    k_per_kw: float  # 1 / that


class Passed(NamedTuple):
    """What emitters gave to the rooms in a step, mean [kW]; their store over the room after it, and its mean [K]."""

    heat_kw: float
    over_k: float
    mean_k: float


@law
def fed_limit_kw(steady_kw: float, warm_k: float, over_k: float, fill_kw_per_k: float) -> float:
    """Most heat that water at the commanded flow feeds to the emitters, mean over the step [kW].

    What they give once they are as warm as this flow makes them, and what warms them up to there; less, down to
    nothing, where the store is warmer than this flow makes it.

    Parameters
    ----------
    steady_kw
        What the emitters give at this flow for good (`simkit.physics.emitters.emitter_limit_kw`) [kW].
    warm_k
        Store over the room at that [K].
    over_k
        Store over the room at the start of the step [K].
    fill_kw_per_k
        Mean power that warms the store over the step, for each kelvin that is missing (`fill_kw_per_k`) [kW/K].
    """
    return max(0.0, steady_kw + fill_kw_per_k * (warm_k - over_k))


@law
def passed_on(fed_kw: float, over_k: float, store: Store) -> Passed:
    """What the emitters give while they are fed `fed_kw`, and what they hold then.

    C·dx/dt = P − Q(x) with Q(x) = R·(x/50)^n is followed along a straight line in place of the bent law: through what
    is given at the start, with the slope that the law has on the way to where the store settles. Exact for n = 1, and
    in a steady step to 1e-5; against the solved equation see tests/physics/test_emitter_store.py. What is held and what
    is given are worked out apart and close to rounding.

    Parameters
    ----------
    fed_kw
        Heat fed in the step, mean [kW].
    over_k
        Store over the room at the start of the step [K], 0 or more.
    store
        The home's; one that holds nothing passes on what comes.
    """
    passed = Passed(fed_kw, 0.0, 0.0)
    if store.kw_per_k_of_step > 0.0:
        passed = let_out(fed_kw, over_k, store)
    return passed


@law
def let_out(fed_kw: float, over_k: float, store: Store) -> Passed:
    """`passed_on` for emitters that hold something."""
    reached_k = min(store.settled_k_per_kw * fed_kw, over_k + store.k_per_kw * fed_kw)
    on_way_k = max(START_WEIGHT * over_k + (1.0 - START_WEIGHT) * reached_k, TINY)
    bend = store.exponent - 1.0
    slope = store.exponent * (1.0 / RATED_EXCESS_K) * store.rated_kw * power(on_way_k * (1.0 / RATED_EXCESS_K), bend)
    above, below = share_parts(over_k, on_way_k, bend)
    # one quotient for two: the slope and the share both divide
    per_both = 1.0 / (store.exponent * below * slope)
    per_slope = store.exponent * below * per_both
    more = fed_kw - above * slope * slope * per_both * over_k
    left = exponential_2(-LOG2_E * slope * store.k_per_kw)
    moved, gone = more * per_slope, 1.0 - left
    mean_gone = gone * per_slope * store.kw_per_k_of_step
    rest = store.kw_per_k_of_step * over_k
    spent = (fed_kw < TINY) & (rest < SPENT_KW)
    return Passed(
        pick(spent, rest, fed_kw - more * mean_gone),
        pick(spent, 0.0, over_k + moved * gone),
        pick(spent, 0.5 * over_k, over_k + moved * (1.0 - mean_gone)),
    )


@law
def share_parts(over_k: float, at_k: float, bend: float) -> tuple[float, float]:
    """Parts of the simplest quotient for (over / at)^bend [K]: 1e-5 off within a tenth of `at_k`, 1 % at half of it."""
    up, down = 1.0 + bend, 1.0 - bend
    return up * over_k + down * at_k, down * over_k + up * at_k


def fill_kw_per_k(store_kwh_per_k: float, kelvin_per_kw: float, gives_kw_per_k: float, hours: float) -> float:
    """Mean power that warms a store over a step for each kelvin between it and where a held flow takes it [kW/K].

    With the flow held, the store nears that place at the rate (1/ρ + G)/C, ρ the kelvins between water and store for
    each kW and G what each kelvin of it gives to the room; the heat beyond the steady one is (x∞ − x)/ρ.

    Parameters
    ----------
    store_kwh_per_k
        Heat capacity [kWh/K].
    kelvin_per_kw
        Kelvins between the flow and the store for each kW fed: half the cooling of the water, and what a floor holds
        back between water and screed [K/kW].
    gives_kw_per_k
        What each kelvin of the store gives to the room [kW/K].
    hours
        Length of the step [h].
    """
    if store_kwh_per_k <= 0.0:
        return 0.0
    z = hours * (1.0 / kelvin_per_kw + gives_kw_per_k) / store_kwh_per_k
    return -expm1(-z) / z / kelvin_per_kw


def floor_store_share(covering_m2k_per_w: float, above_pipes_m: float, output_w_per_m2k: float) -> float:
    """Share of the excess of the mean water that lies between a floor's screed and the room [-].

    Half of the screed above the pipes (1.2 W/(m·K)), the covering and the film at the surface lie on the room's side;
    what the whole floor gives for each kelvin of the mean water (EN 1264-2) says how much lies on both together.

    Parameters
    ----------
    covering_m2k_per_w
        Thermal resistance of the covering R_λ,B [m²K/W]: tiles 0.01, wood 0.05 to 0.1, carpet 0.15.
    above_pipes_m
        Screed above the pipes [m].
    output_w_per_m2k
        What a square metre of the floor gives for each kelvin of the mean water over the room [W/(m²K)].
    """
    outer = 0.5 * above_pipes_m / SCREED_W_PER_MK + covering_m2k_per_w + 1.0 / FILM_W_PER_M2K
    return min(outer * output_w_per_m2k, MOST_STORE_SHARE)
