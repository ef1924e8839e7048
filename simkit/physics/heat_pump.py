"""Source and flow temperature, load and humidity in; efficiency, capacity, cycling and defrost out.

The kernel is given, per step, the second-law efficiency, the capacity and the least output's share of it at five flow
temperatures (knots); between knots they run straight, outside they are held. COP = efficiency × Carnot at the lifts
that were tested; below them it rises as published regressions do (`Lift`).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from simkit.physics.constants import KELVIN
from simkit.physics.law import Value, clamp, law

GLYCOL_LOSS = 0.1  # own: of the efficiency, by the share of glycol
KNOTS = 5  # own: most flows that a machine is tested at; one more would cost the lane loop four arrays
LEAST_LIFT_K = 15.0  # Ruhnau, Hirth, Praktiknjo 2019, Scientific Data 6:189: lift at least 15 K
MOST_SECOND_LAW = 0.95  # own: a guard that no extrapolated or scaled point may pass; ratings lie at 0.30 to 0.55


@law
def carnot(hot_c: Any, lift_k: Value) -> Value:
    """Carnot's coefficient of performance for heating between a hot side and what lies a lift below it [-].

    Parameters
    ----------
    hot_c
        Temperature of the hot side [°C]: a float, or an array that broadcasts with the lift.
    lift_k
        Hot side less cold side [K], above 0: a float or an array.
    """
    coefficient: Value = (hot_c + KELVIN) / lift_k
    return coefficient


@law
def worked_flow_c(flow_c: float, source_c: float, least_lift_k: float) -> float:
    """Flow that the machine works as if it made [°C]: where the lift is floored, the one at that least lift.

    Efficiency and hot side are both taken there, so that COP stays where it is under the least lift; taken at the flow
    itself it would fall again as the flow falls.

    Parameters
    ----------
    flow_c
        Flow temperature [°C].
    source_c
        Temperature of the source [°C].
    least_lift_k
        Lift at which it is floored [K].
    """
    return max(flow_c, source_c + least_lift_k)


class Lift(NamedTuple):
    """How COP goes with the lift; the names are those of the home's constants.

    From the least tested lift up, COP is efficiency × Carnot. Below it the efficiency of the points can't be held:
    every difference of temperature inside the machine weighs more the smaller the lift, so that COP rises far less than
    Carnot's. There it is COP at the least tested lift times 1 + d·rise + d²·bend, d the kelvins below it: a parabola,
    as the published regressions of COP on lift are. Where that lift is the greatest that a regression was fitted on,
    the law is the regression itself.
    """

    least_lift_k: float  # below it COP rises no further
    tested_lift_k: float  # the least one that efficiency is known at
    knot_0_c: float  # coolest flow of the points: below it a smaller lift is all that counts
    rise_per_k: float
    rise_per_k2: float


@law
def heat_and_work(flow_c: float, source_c: float, lift: Lift) -> tuple[float, float]:
    """Heat and work of a machine of efficiency 1, whose quotient is its COP, in kelvins: hot side × rise, and lift.

    Parameters
    ----------
    flow_c
        Flow temperature [°C].
    source_c
        Temperature of the source [°C].
    lift
        How COP goes with the lift.
    """
    worked = worked_flow_c(flow_c, source_c, lift.least_lift_k)
    below = max(0.0, lift.tested_lift_k - (worked - source_c))
    hot_c = max(worked, min(source_c + lift.tested_lift_k, lift.knot_0_c))
    rise = 1.0 + below * (lift.rise_per_k + below * lift.rise_per_k2)
    return (hot_c + KELVIN) * rise, worked - source_c + below


@law
def reference_cop(flow_c: float, source_c: float, lift: Lift) -> float:
    """COP for heating of a machine of efficiency 1 [-]: Carnot's at the lifts that were tested (see `Lift`).

    Parameters
    ----------
    flow_c
        Flow temperature [°C].
    source_c
        Temperature of the source [°C].
    lift
        How COP goes with the lift.
    """
    heat, work = heat_and_work(flow_c, source_c, lift)
    return heat / work


def reference_cops(flow_c: Any, source_c: Any, lift: Lift) -> NDArray[np.float64]:
    """`reference_cop` of whole series, outside compiled code [-]; they agree to the last digit but one (tested).

    Parameters
    ----------
    flow_c, source_c
        Flow and source temperatures [°C]: floats, or arrays that broadcast.
    lift
        How COP goes with the lift.
    """
    worked = np.maximum(flow_c, source_c + lift.least_lift_k)
    below = np.maximum(0.0, lift.tested_lift_k - (worked - source_c))
    hot_c = np.maximum(worked, np.minimum(source_c + lift.tested_lift_k, lift.knot_0_c))
    rise = 1.0 + below * (lift.rise_per_k + below * lift.rise_per_k2)
    return np.asarray((hot_c + KELVIN) * rise / (worked - source_c + below))


@law
def cycling_quotient(load: float, least: float, cycling_degradation: float) -> tuple[float, float]:
    """Load L and Cd·L + (1 − Cd)·Lmin, whose quotient is the factor on COP of a machine that cycles [-].

    With CR = L / Lmin (at most 1) that is CR / (Cd·CR + 1 − Cd) of EN 14825 for water-based units (formula from memory,
    corroborated; Cd 0.9 is the standard's default), written without a division. L and Lmin in the same unit.

    The factor falls towards nothing as the load does, so that an hour with hardly any load has a COP under 1. That is
    what the standard means: the electricity L / (COP·factor) does not fall to nothing but to (1 − Cd)·Lmin / COP, the
    control and pump of a machine that stands between its starts.

    Parameters
    ----------
    load
        Heat wanted [kW, or a share].
    least
        Least output without stopping, in the same unit.
    cycling_degradation
        Degradation coefficient Cd [0 to 1], 0.9 by EN 14825.
    """
    held = clamp(load, 1e-6 * least, least)
    return held, cycling_degradation * held + (1.0 - cycling_degradation) * least


@law
def cycling_factor(load_ratio: float, cycling_degradation: float) -> float:
    """Factor on COP where the load lies below the least output: CR / (Cd·CR + 1 − Cd) [-].

    Parameters
    ----------
    load_ratio
        Load over least output [-].
    cycling_degradation
        Degradation coefficient Cd [0 to 1], 0.9 by EN 14825.
    """
    ratio, spread = cycling_quotient(load_ratio, 1.0, cycling_degradation)
    return ratio / spread


@law
def glycol_factor(share: float) -> float:
    """Factor on the efficiency for antifreeze in the heating circuit [-]: 3 % less at a share of 0.3 (own).

    The mixture passes heat on less well, so that the machine condenses about a kelvin hotter for the same water.

    Parameters
    ----------
    share
        Share of glycol in the water [0 to 0.5].
    """
    return 1.0 - GLYCOL_LOSS * share


@law
def part_load_factor(load_share: float, minimum_modulation: float, gain: float) -> float:
    """Factor on COP below full capacity: 1 + gain·(1 − share), the share no lower than `minimum_modulation`.

    Parameters
    ----------
    load_share
        Load over capacity [-].
    minimum_modulation
        Least output over capacity [0 to 1].
    gain
        Rise of COP by (1 − share) [-].
    """
    return 1.0 + gain * (1.0 - clamp(load_share, minimum_modulation, 1.0))


@law
def defrost_factor(outdoor_c: float, humidity: float, depth: float) -> float:
    """Factor on COP and capacity for frosting [-]: deepest at 1 °C in saturated air, gone under −9 and over 7 °C.

    Own shape, `depth` deep at most: frost needs both moisture in the air and a coil below freezing, so that the loss
    peaks a little above 0 °C and fades in dry cold; humidity counts from 60 % upwards. With depth 0.16 a damp maritime
    season loses 3.5 to 6 % (tested). Points that already hold defrost are given none.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature [°C].
    humidity
        Relative humidity [0 to 1].
    depth
        Loss at the deepest [0 to 1].
    """
    cold_side = clamp((outdoor_c + 9.0) / 10.0, 0.0, 1.0)
    warm_side = clamp((7.0 - outdoor_c) / 6.0, 0.0, 1.0)
    damp = clamp((humidity - 0.6) / 0.4, 0.0, 1.0)
    return 1.0 - depth * cold_side * warm_side * damp


@law
def held_efficiency(efficiency: float, scale: float, part_load: float) -> float:
    """Second-law efficiency as installed and at part load [-], held below 1 whatever was extrapolated or scaled.

    Parameters
    ----------
    efficiency
        Second-law efficiency [-].
    scale
        Measured over calculated efficiency [-].
    part_load
        Factor of part load [-].
    """
    return min(efficiency * scale * part_load, MOST_SECOND_LAW)


@law
def working_cop(efficiency: float, flow_c: float, source_c: float, lift: Lift, scale: float, part_load: float) -> float:
    """COP at the commanded flow before cycling [-]: second-law efficiency × the reference, never above Carnot.

    Parameters
    ----------
    efficiency
        Second-law efficiency [-].
    flow_c
        Flow temperature [°C].
    source_c
        Temperature of the source [°C].
    lift
        How COP goes with the lift.
    scale
        Measured over calculated efficiency [-].
    part_load
        Factor of part load [-].
    """
    return held_efficiency(efficiency, scale, part_load) * reference_cop(flow_c, source_c, lift)


@law
def electricity_per_heat(
    held: float, flow_c: float, source_c: float, lift: Lift, load_share: float, minimum_modulation: float,
    cycling_degradation: float,
) -> float:  # fmt: skip
    """Electricity for one unit of heat, cycling included [-]: 1 / (held efficiency × reference × cycling factor).

    Written as one quotient, for a division costs the lane loop as much as eight other operations.

    Parameters
    ----------
    held
        Second-law efficiency as installed and at part load [-].
    flow_c
        Flow temperature [°C].
    source_c
        Temperature of the source [°C].
    lift
        How COP goes with the lift.
    load_share
        Load over capacity [-].
    minimum_modulation
        Least output over capacity [0 to 1].
    cycling_degradation
        Degradation coefficient Cd [0 to 1], 0.9 by EN 14825.
    """
    heat, work = heat_and_work(flow_c, source_c, lift)
    load, spread = cycling_quotient(load_share, minimum_modulation, cycling_degradation)
    return work * spread / (held * heat * load)
