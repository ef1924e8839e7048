"""A home of one node on a cheap night: the search finds what a person would write down, and no less warm."""

from __future__ import annotations

from math import exp, log
from typing import Any

import numpy as np
import pytest
from references import Reference

from decide.invented import terrace
from simkit.case.build import vary
from simkit.decide.schedule.rule import Rule, day_set_points
from simkit.decide.schedule.search import Variants, searched, settled
from simkit.decide.variants import Lanes, Needs
from simkit.physics.records import Flows, State
from simkit.year.simulate import simulate

LOSS, TAU, COP = 0.15, 60.0, 3.0  # kW/K, h; 0 °C outdoors, no gains, power without end
NIGHT, DAY = 0.10, 0.40  # a kWh from 22:00 to 06:00, and else
BANDS = [{"name": "night", "price_per_kwh": NIGHT, "from": "22:00", "to": "06:00", "days": "all"},
         {"name": "day", "price_per_kwh": DAY, "from": "06:00", "to": "22:00", "days": "all"}]  # fmt: skip
BY_HAND = Rule(lead_h=0.0, set_back_k=0.0, lift_k=2.0, lift_h=8.0)


def day_of(set_points: np.ndarray, minutes: int) -> tuple[float, float]:
    """Cost of one day of many alike, and what is missing from 20 °C between 06:00 and 22:00 at the ends of steps [K]."""
    hours, warm, cost, missing = minutes / 60.0, 20.0, 0.0, 0.0
    left = exp(-hours / TAU)
    for step, wanted in enumerate(np.tile(set_points, 12)):
        hour = step * hours % 24.0
        heat = max((wanted - warm * left) * LOSS / (1.0 - left), 0.0) * hours
        warm = max(wanted, warm * left)
        if step * hours >= 24.0 * 11:
            cost += heat / COP * (DAY if 6.0 <= hour < 22.0 else NIGHT)
            missing += max(20.0 - warm, 0.0) if 6.0 <= hour < 22.0 else 0.0
    return cost, missing


class OneNode(Variants):
    """The rules of a real case, run in the home of one node."""

    def run(self, rules: Any, *, run_in: bool = False) -> Lanes:
        """Costs and missing warmth by the closed form of each step."""
        days = [[day_of(day, self.pattern.minutes) for day in day_set_points(rule, self.pattern)] for rule in rules]
        cost, missing = np.moveaxis(np.array(days), 2, 0) @ np.array([5.0, 2.0]) / 7.0
        none = np.zeros(len(cost))
        totals = Flows(*[none] * len(Flows._fields))._replace(below_k=365.0 * missing)
        return Lanes(cost, totals, State(*[none] * len(State._fields)))


def test_a_cheap_night_is_filled_up_to_its_limit() -> None:
    """22 °C from 22:00 to 06:00, then free cooling to 20 °C, which is held: nothing found costs more than that."""
    case = vary(terrace(), {"tariff.band": BANDS, "step_minutes": 60})
    home = OneNode(simulate(case))
    free_h = TAU * log(22.0 / 20.0)  # from 22 to 20 °C without heat
    begun = (22.0 - 20.0 * exp(-1.0 / TAU)) * LOSS / (1.0 - exp(-1.0 / TAU))  # the first hour's heat, from 20 to 22 °C
    by_hand = (begun + 7.0 * LOSS * 22.0) * NIGHT / COP + (16.0 - free_h) * LOSS * 20.0 * DAY / COP
    told = home.run([BY_HAND])
    source = "own: one node, heated to 22 °C at night, T = 22·exp(−t/τ) until 20 °C, then H·20 °C"
    Reference(by_hand, source, 0.002 * by_hand, "steps of an hour").check(float(told.cost[0]))
    assert told.totals.below_k[0] == pytest.approx(0.0, abs=1e-9)
    steady = float(home.run([Rule(lead_h=0.0)]).cost[0])
    assert steady == pytest.approx(LOSS * 20.0 / COP * (8.0 * NIGHT + 16.0 * DAY))
    needs = Needs({"below_k": 1e-6})
    found = settled(home, needs, searched(home, needs, print))
    assert found is not None
    made = home.run([found])
    assert made.cost[0] <= told.cost[0] + 1e-9
    assert made.cost[0] < 0.8 * steady
    assert made.totals.below_k[0] <= 1e-6
