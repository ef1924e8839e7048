"""The house, the machine and the cylinder of the slow second version: a validated case in, what each does in a step out.

A matrix exponential, a look-up in test points, a list of zones; nothing of `simkit.physics` is imported.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg import expm
from scipy.optimize import brentq, lsq_linear

from simkit.case.build import Case
from simkit.validation.published import published

CLASSES = {row["class"]: row for row in published("iso13790_thermal_capacity")[1]}
NOTHING = 1e-9


class Rooms:
    """Two nodes, their inputs held over the step: one matrix exponential of state, inputs and the state's integral."""

    def __init__(self, case: Case, loss_kw_per_k: float, hours: float) -> None:
        area, kind = case.home.floor_area_m2, CLASSES[case.home.thermal_mass]
        film, mass = 3.45 * 4.5 * area / 1000.0, 9.1 * float(kind["Am_factor"]) * area / 1000.0
        self.coupling = 1.0 / (1.0 / film + 1.0 / mass)
        self.air_side = loss_kw_per_k * self._air_side_share(case)
        self.to_mass = case.emitters.mass_share
        lining = 20_000.0  # of the class's capacity, what moves with the air
        self.c = np.array([10_000.0 + lining, float(kind["Cm_J_per_K_m2"]) - lining]) * area / 3.6e6
        self.fabric_side = float(brentq(lambda u: self._steady_loss(u) - loss_kw_per_k, 1e-6, 1e3, xtol=1e-14))
        a = -self._conductances(self.fabric_side) / self.c[:, None]
        b = np.array([[self.air_side, 1.0, 0.0], [self.fabric_side, 0.0, 1.0]]) / self.c[:, None]
        whole = np.zeros((7, 7))  # rates of: two nodes, three inputs, two integrals
        whole[:2, :2], whole[:2, 2:5], whole[5:, :2] = a, b, np.eye(2)
        self.over = expm(whole * hours)
        self.hours = hours

    @staticmethod
    def _air_side_share(case: Case) -> float:
        loss, elements = case.home.loss, case.home.loss.element
        if elements is None:
            return case.home.air_side_share
        air = 1.2 / 3.6 * loss.air_changes_per_hour * case.home.volume_m3
        glass = sum(e.area_m2 * e.u_w_per_m2k for e in elements if e.glazing)
        whole = sum(e.area_m2 * e.u_w_per_m2k for e in elements) + (loss.bridge_w_per_k or 0.0) + air
        return (air + glass) / whole

    def _conductances(self, fabric_side: float) -> np.ndarray:
        h = self.coupling
        return np.array([[self.air_side + h, -h], [-h, h + fabric_side]])

    def _steady_loss(self, fabric_side: float) -> float:
        """Heat for one kelvin of air over the outside, given as the emitters split it [kW/K]."""
        air, _ = np.linalg.solve(self._conductances(fabric_side), [1.0 - self.to_mass, self.to_mass])
        return 1.0 / float(air)

    def after(self, nodes: np.ndarray, outdoor_c: float, air_kw: float, fabric_kw: float) -> tuple[Any, Any]:
        """Nodes at the end of the step and their means over it [°C]."""
        end = self.over @ np.concatenate([nodes, [outdoor_c, air_kw, fabric_kw, 0.0, 0.0]])
        return end[:2], end[5:] / self.hours


class Uneven:
    """Rooms one by one: what each misses where its emitter is too small, and how much of that the house misses.

    Each room is solved on the design day by a root finder: the flow from which its emitter holds it, what the house as
    one emitter gives there, and how far it cools, its neighbours and its emitter helping, when the water is a little
    cooler than that.
    """

    def __init__(self, case: Case, loss_kw_per_k: float) -> None:
        out, warmest, difference = case.site.design_outdoor_c, case.comfort.warmest_c, case.emitters.water_difference_k
        rated = [r.rated_kw * (50.0 / (r.rated_at_k or 50.0)) ** (r.exponent or 1.3) for r in case.room]
        exponents = [r.exponent or 1.3 for r in case.room]
        self.rated = sum(rated)
        self.n = sum(q * n for q, n in zip(rated, exponents, strict=True)) / self.rated
        needed = [warmest if r.needed_c is None else r.needed_c for r in case.room]
        stated = [r.loss_kw / (t - out) for r, t in zip(case.room, needed, strict=True)]
        loss = [u * loss_kw_per_k / sum(stated) for u in stated]
        passed = [0.5 * u if r.exchange_w_per_k is None else r.exchange_w_per_k / 1000.0
                  for r, u in zip(case.room, stated, strict=True)]  # fmt: skip
        middle = sum(g * t for g, t in zip(passed, needed, strict=True)) / sum(passed)
        house_kw = loss_kw_per_k * (warmest - out)
        loads = [u * (t - out) + g * (t - middle) for u, g, t in zip(loss, passed, needed, strict=True)]
        self.shares = [load / sum(loads) for load in loads]
        self.ratios, self.missing = [], []
        for u, g, t, q, n, load in zip(loss, passed, needed, rated, exponents, loads, strict=True):
            drop = 0.5 * difference / (u * (t - out))
            flow = t + 50.0 * (load / q) ** (1.0 / n) + drop * load
            self.ratios.append(
                self._emitted(flow - warmest, 0.5 * difference / house_kw, self.rated, self.n) / house_kw
            )
            missed = load - self._emitted(flow - 1e-3 - t, drop, q, n)
            to_middle = g * (1.0 - g / sum(passed))

            def over(
                k: float, u: float = u, load: float = load, pull: float = to_middle, flow: float = flow, t: float = t,
                drop: float = drop, q: float = q, n: float = n,
            ) -> float:  # fmt: skip
                return load - (u + pull) * k - self._emitted(flow - 1e-3 - t + k, drop, q, n)

            self.missing.append(u * brentq(over, 0.0, 1.0, xtol=1e-15) / missed)

    @staticmethod
    def _emitted(excess: float, nearer: float, rated: float, n: float) -> float:
        return (
            float(brentq(lambda x: x + nearer * rated * (x / 50.0) ** n - excess, 0.0, excess, xtol=1e-14) / 50.0) ** n
            * rated
        )

    def given(self, even: float, emitted: float, asked: float) -> float:
        """Heat that the rooms get together [kW]: what holds each, less what each misses; more brings up short ones."""
        missed = [
            m * (s * even - s / r * emitted) for m, s, r in zip(self.missing, self.shares, self.ratios, strict=True)
        ]
        if any(kw > 0.0 for kw in missed):
            return min(even - sum(kw for kw in missed if kw > 0.0), asked)
        spare = -missed[int(np.argmax(self.ratios))]  # only the room that is the first to fall short is still cold
        return min(even + spare, asked)


class Machine:
    """Test points, looked up along the source at each tested flow and then along the flow; held outside."""

    def __init__(self, case: Case) -> None:
        machine = case.heat_pump
        assert machine is not None
        assert machine.point is not None
        self.machine = machine
        full = [p for p in machine.point if p.part_load is None or p.part_load == 1.0]
        self.flows = sorted({p.flow_c for p in full})
        self.columns = {f: sorted((p for p in full if p.flow_c == f), key=lambda p: p.source_c) for f in self.flows}
        lifts = [p.flow_c - p.source_c for p in full]
        self.tested = min(*lifts, 45.0)  # the regressions' share of Carnot is level from there up
        self.least_lift = min(15.0, *(p.flow_c - p.source_c for p in machine.point))
        self.stretch: Any = None
        fan_left_out = machine.points_hold is not None and "fan" not in machine.points_hold
        self.fan, self.part_gain = 0.0, 0.0
        part = [p for p in machine.point if p not in full]
        at_tested = [p for p in part if p.flow_c - p.source_c >= self.tested] or part
        gains = [(1.0 - p.part_load, p.cop / self._full_load(p)) for p in at_tested]
        under = sum(x * x for x, _ in gains)
        self.part_gain = max(0.0, sum(x * (r - 1.0) for x, r in gains) / under) if under else 0.0
        self._own_rise([p for p in part if p.flow_c - p.source_c < self.tested])
        self.fan = (machine.fan_share or 0.0) if fan_left_out else 0.0

    def _full_load(self, p: Any) -> float:
        return self.efficiency(p.source_c, p.flow_c) * self.hot_k(p.source_c, p.flow_c) / self.work_k(p)

    def work_k(self, p: Any) -> float:
        lift = max(p.flow_c - p.source_c, self.least_lift)
        return max(lift, self.tested) / self.rise(lift)

    def _own_rise(self, low: list[Any]) -> None:
        """Part-load points below the least tested lift say themselves how far COP rises down to them."""
        if not low:
            return
        below = np.array([self.tested - (p.flow_c - p.source_c) for p in low])
        part = [
            1.0 + self.part_gain * (1.0 - min(max(p.part_load, self.least(p.source_c, p.flow_c)), 1.0)) for p in low
        ]
        found = np.array([
            p.cop / f / (self._full_load(p) / self.rise(max(p.flow_c - p.source_c, self.least_lift)))
            for p, f in zip(low, part, strict=True)
        ]) - 1.0  # fmt: skip
        if np.ptp(below) == 0.0:
            usual = self.rise(self.tested - float(below[0])) - 1.0
            k = max(0.0, float(found.mean()) / usual)
            one, two = (k * (self._published(self.tested - d) - 1.0) for d in (10.0, 20.0))
            slope, bend = (4.0 * one - two) / 20.0, (two - 2.0 * one) / 200.0  # a parabola from the tested lift
        else:
            slope, bend = lsq_linear(np.stack([below, below**2], axis=1), found, bounds=(0.0, np.inf)).x
        self.stretch = (slope, bend)

    def _published(self, lift: float) -> float:
        """COP at a lift by COP at the least tested one: mean of Staffell 2012 and Ruhnau 2019, air."""
        curves = [(6.81, -0.121, 0.000630), (6.08, -0.0941, 0.000464)]
        return (
            sum((a + b * lift + c * lift**2) / (a + b * self.tested + c * self.tested**2) for a, b, c in curves) / 2.0
        )

    def rise(self, lift: float) -> float:
        if lift >= self.tested:
            return 1.0
        if self.stretch is None:
            return self._published(lift)
        d = self.tested - lift
        return float(1.0 + self.stretch[0] * d + self.stretch[1] * d * d)

    def hot_k(self, source_c: float, flow_c: float) -> float:
        """Hot side [K]: below the least tested lift no cooler than the coolest tested flow, where that is the warmer."""
        warm = max(flow_c, source_c + self.least_lift)
        return max(warm, min(source_c + self.tested, self.flows[0])) + 273.15

    @staticmethod
    def _share(point: Any) -> float:
        """Part of Carnot's coefficient that the point reaches."""
        return float(point.cop / ((point.flow_c + 273.15) / (point.flow_c - point.source_c)))

    def efficiency(self, source_c: float, flow_c: float) -> float:
        flow_c = max(flow_c, source_c + self.least_lift)
        at = [np.interp(source_c, [p.source_c for p in c], [self._share(p) for p in c]) for c in self.columns.values()]
        return float(np.interp(flow_c, self.flows, at)) * (1.0 - self.fan)

    def capacity(self, source_c: float, flow_c: float) -> float:
        at = []
        for column in self.columns.values():
            sources, made = [p.source_c for p in column], [p.capacity_kw for p in column]
            kw = float(np.interp(source_c, sources, made))
            if source_c < sources[0]:
                lowest = max(made[0] - 30.0 * 0.02 * float(np.interp(7.0, sources, made)), 0.2 * made[0])
                kw = made[0] + (lowest - made[0]) * min(sources[0] - source_c, 30.0) / 30.0
            at.append(kw)
        return float(np.interp(flow_c, self.flows, at))

    def least(self, source_c: float, flow_c: float) -> float:
        """Least output by capacity: that of the points, between them straight; one share where full load states none."""
        if any(p.minimum_kw is None for column in self.columns.values() for p in column):
            part = [p.minimum_kw * p.part_load / p.capacity_kw for p in self.machine.point if p.minimum_kw is not None]
            return sum(part) / len(part) if part else float(self.machine.minimum_share)
        at = [
            np.interp(source_c, [p.source_c for p in c], [p.minimum_kw / p.capacity_kw for p in c])
            for c in self.columns.values()
        ]
        return float(np.interp(flow_c, self.flows, at))

    def frosting(self, outdoor_c: float, humidity: float) -> float:
        """Deepest (0.16) at 1 °C in saturated air; gone at −9 and 7 °C, and in air under 60 %."""
        if self.machine.points_hold is None or "defrost" in self.machine.points_hold:
            return 1.0
        near = (outdoor_c + 9.0) / 10.0 if outdoor_c < 1.0 else (7.0 - outdoor_c) / 6.0
        return 1.0 - 0.16 * min(max(near, 0.0), 1.0) * max((humidity - 0.6) / 0.4, 0.0)

    def cop(self, source_c: float, flow_c: float, efficiency: float, load: tuple[float, float], scale: float) -> float:
        """COP at this flow while running at a share of the capacity, of which the least is known; cycling included."""
        share, least = load
        running = efficiency * scale * (1.0 + self.part_gain * (1.0 - min(max(share, least), 1.0)))
        lift = max(flow_c - source_c, self.least_lift)
        cop = min(running, 0.95) * self.hot_k(source_c, flow_c) * self.rise(lift) / max(lift, self.tested)
        ratio = share / least
        if ratio < 1.0:
            ratio = max(ratio, 1e-6)
            cop *= ratio / (self.machine.cycling_degradation * ratio + 1.0 - self.machine.cycling_degradation)
        return cop


@dataclass
class Cylinder:
    """Zones from the top down, each [share of the volume, °C]."""

    kwh_per_k: float
    zones: list[list[float]]

    def draw(self, wanted_kwh: float, cold_water_c: float, use_c: float) -> float:
        """Serve from the top what is warm enough; the feed mixes with the water that is too cool for use [kWh]."""
        if wanted_kwh <= 0.0:
            return 0.0
        if self.zones[-1][1] >= use_c:
            self.zones = [[1.0, self.mean()]]
        share, hot_c = self.zones[0]
        if hot_c < use_c:
            return 0.0
        served = min(wanted_kwh, share * self.kwh_per_k * (hot_c - cold_water_c))
        taken = served / (self.kwh_per_k * (hot_c - cold_water_c))
        low = self.zones[1:] or [[0.0, cold_water_c]]
        cold_share = low[0][0] + taken
        cold_c = (low[0][0] * low[0][1] + taken * cold_water_c) / cold_share if cold_share > NOTHING else low[0][1]
        self.zones = [[share - taken, hot_c], [cold_share, cold_c]]
        if self.zones[0][0] < NOTHING:
            self.zones = [[1.0, cold_c]]
        return served

    def mean(self) -> float:
        return sum(share * c for share, c in self.zones)

    def stand(self, room_c: float, rate: float) -> float:
        """Each zone cools towards the room; what that takes out [kWh]."""
        before = self.mean()
        self.zones = [[share, room_c + (c - room_c) * rate] for share, c in self.zones]
        return (before - self.mean()) * self.kwh_per_k

    def fits(self, target_c: float) -> float:
        """Heat until everything is at the target: the cold zone first, no further than the hot one [kWh]."""
        hot = self.zones[0][1]
        below = sum(share * max(0.0, min(hot, target_c) - c) for share, c in self.zones[1:])
        return self.kwh_per_k * (below + max(0.0, target_c - hot))

    def put_in(self, kwh: float) -> float:
        """Heat from below; returns the integral of the temperature met over the heat [kWh·K]."""
        warmth = 0.0
        if len(self.zones) > 1 and self.zones[1][0] > 0.0 and kwh > 0.0:
            share, c = self.zones[1]
            first = min(kwh, share * self.kwh_per_k * max(0.0, self.zones[0][1] - c))
            rise = first / (share * self.kwh_per_k)
            warmth += first * (c + 0.5 * rise)
            self.zones[1][1] = c + rise
            kwh -= first
            if kwh > 0.0 or self.zones[0][1] - self.zones[1][1] < 1e-7:
                self.zones = [[1.0, self.mean()]]
        elif len(self.zones) > 1 and kwh > 0.0:
            self.zones = [[1.0, self.mean()]]
        if kwh > 0.0:
            rise = kwh / self.kwh_per_k
            warmth += kwh * (self.zones[0][1] + 0.5 * rise)
            self.zones[0][1] += rise
        return warmth

    def copy(self) -> Cylinder:
        return Cylinder(self.kwh_per_k, [list(zone) for zone in self.zones])

    def coldest(self) -> float:
        return self.zones[-1][1]
