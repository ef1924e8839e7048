"""A validated case and its series in; its steps, slowly and obviously, out: the second version that the kernel is held to.

Written from the docstrings and from the standards, not from the code: nothing of `simkit.physics` is imported. Powers are
``**``, choices are ``if``, and what the laws solve in one step is found by a root finder; house, machine and cylinder
stand in `oracle_parts`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp, log
from typing import Any

import numpy as np
from oracle_parts import NOTHING, Cylinder, Machine, Rooms, Uneven
from oracle_store import Store
from scipy.optimize import brentq

from simkit.case.build import Case
from simkit.validation.published import published

WATER_KWH_PER_L_K = 1.163e-3
LABELS = {row["class"]: row for row in published("tank_standing_loss_classes")[1]}


@dataclass
class Now:
    """One step's row of the series, by name."""

    row: dict[str, float]

    def __getattr__(self, name: str) -> float:
        return self.row[name]


@dataclass
class Oracle:
    """A home's year, one step at a time. Series are those of `HomeInputs`; of the machine's it reads none."""

    case: Case
    loss_w_per_k: float
    hours: float
    series: dict[str, np.ndarray]
    humidity: np.ndarray
    import_price: np.ndarray
    start: Any
    flows: list[dict[str, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        case, loss = self.case, self.loss_w_per_k / 1000.0
        self.rooms = Rooms(case, loss, self.hours)
        self.machine = Machine(case) if case.heat_pump is not None else None
        self.warmest = case.comfort.warmest_c
        load = loss * (self.warmest - case.site.design_outdoor_c)
        self.n, difference = case.emitters.exponent, case.emitters.water_difference_k
        sized_for = case.emitters.sized_for_flow_c
        if case.heat_source == "boiler":
            sized_for = case.boiler.flow_c - 10.0
        if sized_for is not None:
            self.rated = load / ((sized_for - 0.5 * difference - self.warmest) / 50.0) ** self.n
        else:
            self.rated = float(case.emitters.rated_kw)
        self.uneven = None
        if case.room and case.heat_source != "boiler":
            self.uneven = Uneven(case, loss)
            self.rated, self.n = self.uneven.rated, self.uneven.n
        self.needed_excess = 50.0 * (load / self.rated) ** (1.0 / self.n)
        self.per_water = difference / load  # kelvins between flow and return for each kW
        water = case.hot_water
        litres = water.volume_l
        loss_w = water.standing_loss_w
        if loss_w is None:
            label = LABELS[water.loss_class]
            loss_w = float(label["a_W"]) + float(label["b"]) * litres**0.4
        content = WATER_KWH_PER_L_K * litres
        self.kept = exp(-loss_w / 45.0 / 1000.0 * self.hours / content)
        self.coil = (water.coil_ua_w_per_k or 500.0 * (water.coil_area_m2 or 0.0)) / 1000.0
        s = self.start
        self.nodes = np.array([s.air_c, s.fabric_c])
        self.store = Store(case, self.rated, self.n, load, self.needed_excess, self.hours, s.emitter_k)
        self.short = np.array([s.short_air_k, s.short_fabric_k])
        self.cylinder = Cylinder(content, [[s.hot_share, s.hot_c], [1.0 - s.hot_share, s.cold_c]])
        if s.hot_share == 1.0:
            self.cylinder.zones.pop()
        self.reheating, self.stored = s.reheating > 0.5, s.stored_kwh

    # --- the machine at a flow, in this step -------------------------------------------------------------------------
    def efficiency(self, now: Now, humidity: float, flow_c: float) -> float:
        assert self.machine is not None
        return self.machine.efficiency(now.source_c, flow_c) * self.machine.frosting(now.outdoor_c, humidity)

    def capacity(self, now: Now, humidity: float, flow_c: float) -> float:
        if self.machine is None or now.outdoor_c < self.machine.machine.lowest_outdoor_c:
            return 0.0
        return self.machine.capacity(now.source_c, flow_c) * self.machine.frosting(now.outdoor_c, humidity)

    def cop(self, now: Now, humidity: float, flow_c: float, share: float, least: float | None = None) -> float:
        assert self.machine is not None
        scale = self.case.heat_pump.efficiency_scale * (1.0 - 0.1 * self.case.heat_pump.glycol_share)
        least = self.machine.least(now.source_c, flow_c) if least is None else least
        return self.machine.cop(now.source_c, flow_c, self.efficiency(now, humidity, flow_c), (share, least), scale)

    # --- flow control ------------------------------------------------------------------------------------------------
    def curve_c(self, now: Now) -> float:
        controls, site = self.case.controls, self.case.site
        share = max(
            0.0, (controls.heating_limit_c - now.outdoor_c) / (controls.heating_limit_c - site.design_outdoor_c)
        )
        bend = share if controls.straight else share ** (1.0 / self.n)
        half = 0.5 * self.case.emitters.water_difference_k
        excess = controls.design_flow_c - half - self.warmest
        if controls.flow == "least":
            excess = self.needed_excess
        return float(now.set_point_c + excess * bend + half * share)

    def by_boiler(self, now: Now, k: int, humidity: float) -> bool:
        case = self.case
        if case.heat_source == "boiler":
            return True
        if case.heat_source != "hybrid":
            return False
        if now.outdoor_c < max(case.hybrid.boiler_below_c, case.heat_pump.lowest_outdoor_c):
            return True
        per_heat = case.fuel.price_per_unit / case.fuel.kwh_per_unit / case.boiler.space_efficiency
        cop = self.cop(now, humidity, self.curve_c(now), 1.0)
        return bool(case.hybrid.by_price and per_heat < self.import_price[k] / cop)

    def commanded_c(self, now: Now, boiler: bool, rate: float, free_air: float, warming: float) -> float:
        controls = self.case.controls
        if boiler:
            return self.case.boiler.flow_c
        missing = now.set_point_c - self.nodes[0]
        lift = controls.recovery_lift_k * min(max(missing - 0.5, 0.0), 1.0)
        flow = self.curve_c(now) + lift + controls.room_influence * min(max(missing, -3.0), 3.0)
        if controls.flow == "fixed":
            flow = controls.design_flow_c
        if controls.flow == "least":
            need = free_air + 50.0 * (rate / self.rated) ** (1.0 / self.n) + (0.5 * self.per_water + warming) * rate
            flow = min(flow, need)
        ceiling = min(controls.ceiling_c, self.case.heat_pump.highest_flow_c - controls.mixing_penalty_k)
        return max(controls.floor_c, min(flow, ceiling))

    # --- hot water ---------------------------------------------------------------------------------------------------
    def water(self, now: Now, boiler: bool, humidity: float) -> dict[str, float]:
        case, h, tank = self.case, self.hours, self.cylinder
        half = 0.5 * case.emitters.water_difference_k
        wanted = now.draw_kw * h
        served = tank.draw(wanted, now.cold_water_c, case.hot_water.use_c)
        lost = tank.stand(self.nodes[0], self.kept)
        made = {"tap": served, "unmet": wanted - served, "lost": lost, "heat": 0.0, "electric": 0.0, "immersion": 0.0,
                "time": 0.0, "flow": 0.0}  # fmt: skip
        top_share, sensor = tank.zones[0][0], case.hot_water.sensor_height
        reads = tank.zones[0][1] if top_share > 1.0 - sensor else tank.coldest()
        target = now.water_target_c
        on = target > 0 and (reads < target - case.hot_water.hysteresis_k or self.reheating or now.water_forced > 0.5)
        self.reheating = False
        if not on:
            return made
        highest = max(case.boiler.flow_c, 75.0) if boiler else case.heat_pump.highest_flow_c
        if case.hot_water.highest_flow_c is not None and not boiler:
            highest = min(highest, case.hot_water.highest_flow_c)
        reach = min(target, highest - 3.0)
        to_target, fits, trial = tank.fits(target), tank.fits(reach), tank.copy()
        # the capacity is that at the flow of the first part's middle, taken with the capacity at the coolest tested flow
        guess = self.capacity(now, humidity, -100.0)
        middle = min(highest, 0.5 * (tank.coldest() + reach) + guess / self.coil + half)
        capacity = case.boiler.capacity_kw if boiler else self.capacity(now, humidity, middle)
        first = min(tank.fits(min(highest - half - capacity / self.coil, reach)), capacity * h)
        warmth = trial.put_in(first)
        first_hours = first / capacity if capacity > 0 else 0.0
        rest, left = fits - first, h - first_hours
        second = second_hours = 0.0
        if rest > NOTHING and left > NOTHING and capacity > 0:
            # the water cools across the coil in proportion to the power: Q = U·(flow − half·Q/capacity − water)
            from_flow = 1.0 / (1.0 / self.coil + half / capacity)
            power = min(capacity, self.coil_power(trial, reach, rest, (highest, from_flow), left))
            second = min(rest, power * left)
            second_hours = second / power
        heat = first + second
        if heat > NOTHING:
            flow_1 = min(highest, warmth / first + capacity / self.coil + half) if first > 0 else highest
            made["flow"] = (first * flow_1 + second * highest) / heat
            made["time"] = min(first_hours + second_hours, h) / h
            if not boiler:
                share = heat / capacity / (made["time"] * h)
                least = self.machine.least(now.source_c, made["flow"])
                started = min(highest, tank.coldest() + capacity / self.coil + half)
                ended = highest if second > NOTHING else min(highest, trial.coldest() + capacity / self.coil + half)
                aside = (ended - started) / 12.0**0.5  # what is spread evenly deviates so far from its mean
                flows = (made["flow"] - aside, min(made["flow"] + aside, highest))
                made["electric"] = sum(0.5 * heat / self.cop(now, humidity, f, share, least) for f in flows)
        made["heat"] = heat
        missing, allowed = max(0.0, to_target - heat), now.immersion_allowed
        beside = allowed > 1.5 or capacity < NOTHING
        if allowed > 0.5 and (beside or fits - heat < NOTHING):
            hours_left = h if beside else (1.0 - made["time"]) * h
            made["immersion"] = min(missing, case.hot_water.immersion_kw * hours_left)
        still = fits - heat + (missing - made["immersion"] if allowed > 0.5 else 0.0)
        self.reheating = still > 1e-6
        tank.put_in(heat + made["immersion"])
        return made

    @staticmethod
    def coil_power(tank: Cylinder, end_c: float, heat: float, coil: tuple[float, float], hours: float) -> float:
        """What a coil at so many °C, passing so much for each kelvin, gives while the water warms, the mean of the time."""
        hottest_c, kw_per_k = coil
        far, near = hottest_c - tank.coldest(), hottest_c - end_c
        if far <= 0.0:
            return 0.0
        content = heat / (far - near)  # one content stands for both zones
        needed = content / kw_per_k * log(far / near)
        if needed <= hours:
            return heat / needed
        return content * far * (1.0 - exp(-kw_per_k * hours / content)) / hours

    # --- rooms -------------------------------------------------------------------------------------------------------
    def space(self, now: Now, water: dict[str, float], boiler: bool, humidity: float) -> dict[str, float]:
        case, home, h = self.case, self.case.home, self.hours
        s = case.emitters.mass_share
        to_rooms = case.hot_water.loss_to_rooms * water["lost"] / h
        air = 0.6 * now.internal_gain_kw + 0.2 * now.solar_gain_kw + to_rooms
        fabric = 0.4 * now.internal_gain_kw + 0.8 * now.solar_gain_kw
        free, free_mean = self.rooms.after(self.nodes, now.outdoor_c, air, fabric)
        one, one_mean = self.rooms.after(self.nodes, now.outdoor_c, air + 1.0 - s, fabric + s)
        per_kw, warming = one[0] - free[0], (one_mean - free_mean)[0]
        wanted = max(0.0, (now.set_point_c - free[0]) / per_kw) if now.heating_season > 0.5 else 0.0
        time = 1.0 - water["time"]
        rate = wanted / time if time > NOTHING else wanted / NOTHING
        flow = self.commanded_c(now, boiler, rate, free_mean[0], warming * time)
        made_at = flow + case.controls.mixing_penalty_k
        capacity = case.boiler.capacity_kw if boiler else self.capacity(now, humidity, made_at)
        missed = 0.0
        given = {"heat": 0.0, "machine": 0.0, "electric": 0.0, "share": 0.0, "least": 1.0, "run": 0.0}
        if wanted > 0.0:
            nearer = 0.5 * self.per_water + warming * time
            steady = self.emitted(flow - free_mean[0], nearer)
            emitted = self.store.limit(steady, flow - free_mean[0] - nearer * steady)
            helper = case.heat_pump.backup_kw if not boiler and now.outdoor_c < case.heat_pump.backup_below_c else 0.0
            asked, most = rate, min(emitted, capacity + helper)
            rate = min(rate, most)
            if self.uneven is not None:
                fading, _ = self.rooms.after(self.short, 0.0, 0.0, 0.0)
                even = max(0.0, (now.set_point_c - free[0] - fading[0]) / per_kw) / (
                    time if time > NOTHING else NOTHING
                )
                rate = min(most, self.uneven.given(even, emitted, asked))
                missed = time * (min(even, most) - rate)
            machine = min(rate, capacity)
            given["heat"], given["machine"] = time * rate, time * machine
            given["share"] = machine / capacity if capacity > 0 else 0.0
            given["least"] = 1.0 if boiler else self.machine.least(now.source_c, made_at)
            if not boiler and machine > 0:
                given["electric"] = given["machine"] / self.cop(now, humidity, made_at, given["share"])
            if boiler:
                given["run"] = time * rate / emitted if emitted > 0 else 0.0
            elif rate > NOTHING:
                given["run"] = time
        self.short, _ = self.rooms.after(self.short, 0.0, (1.0 - s) * missed, s * missed)
        heat = self.store.give(given["heat"])
        end, mean = self.rooms.after(self.nodes, now.outdoor_c, air + (1.0 - s) * heat, fabric + s * heat)
        vented = 0.0
        if end[0] > home.open_windows_above_c and self.nodes[0] > now.outdoor_c:
            cooled, _ = self.rooms.after(self.nodes, now.outdoor_c, air + (1.0 - s) * heat - 1.0, fabric + s * heat)
            open_kw_per_k = 1.2 / 3600.0 * 4.0 * home.volume_m3
            vented = min(
                (end[0] - home.open_windows_above_c) / (end[0] - cooled[0]),
                open_kw_per_k * (self.nodes[0] - now.outdoor_c),
            )
            end, mean = self.rooms.after(self.nodes, now.outdoor_c, air + (1.0 - s) * heat - vented, fabric + s * heat)
        self.nodes = end
        return given | {
            "wanted": wanted, "emitted": heat, "vented": vented, "air": mean[0], "fabric": mean[1], "flow": flow, "capacity": capacity,
            "to_rooms": to_rooms,
        }  # fmt: skip

    def emitted(self, excess: float, nearer: float) -> float:
        """EN 442 with the mean water falling and the room rising as heat is given: Q = R·((E − a·Q)/50)^n."""
        if excess <= 0.0:
            return 0.0

        def over(q: float) -> float:
            return q - self.rated * (max(0.0, excess - nearer * q) / 50.0) ** self.n

        return float(brentq(over, 0.0, excess / nearer, xtol=1e-13))

    # --- electricity -------------------------------------------------------------------------------------------------
    def settle(self, now: Now, net: float) -> dict[str, float]:
        battery, h = self.case.battery, self.hours
        into = out = lost = missing = bought = spared = 0.0
        limit = self.case.solar.export_limit_kw if self.case.solar else None
        limit = 1e6 if limit is None else limit
        if battery is not None:
            # behind the panels' inverter all but the sun's own way into the battery passes it
            behind = battery.coupling == "dc"
            passed, most = (0.96, self.case.solar.inverter_kw) if behind else (1.0, 1e9)
            room = (battery.usable_kwh - self.stored) / battery.charge_efficiency / h
            fill = max(0.0, now.charge_to * battery.usable_kwh - self.stored) / battery.charge_efficiency / h
            sun = (max(-net, 0.0) + now.clipped_kw) / passed
            sun = max(0.0, min(battery.charge_kw, room, sun if battery.store_surplus else min(sun, fill)))
            bought = max(0.0, min(fill - sun, battery.charge_kw - sun, most * passed)) / passed
            into, given = sun + bought, battery.discharge_efficiency * passed
            if into < NOTHING:
                held = max(0.0, self.stored - battery.reserve_share * battery.usable_kwh) * given / h
                asked = max(net, 0.0) if now.release > 0.5 else 0.0
                if now.sell > 0.5:
                    asked = max(asked, net + limit)
                out = max(0.0, min(battery.discharge_kw * passed, most - now.solar_kw, held, asked))
            lost = sun * (1.0 - battery.charge_efficiency) + bought * (1.0 - passed * battery.charge_efficiency)
            lost += out * (1.0 / given - 1.0)
            self.stored += ((sun + bought * passed) * battery.charge_efficiency - out / given) * h
            missing = max(0.0, sun * passed - now.clipped_kw)  # in what the panels give to the home
            spared = sun - missing
        left = net + missing + bought - out
        return {
            "solar": now.solar_kw + spared,
            "battery_charge": into, "battery_discharge": out, "battery_lost": lost, "grid_import": max(left, 0.0),
            "grid_export": min(max(-left, 0.0), limit), "curtailed": max(-left - limit, 0.0),
        }  # fmt: skip

    # --- a step ------------------------------------------------------------------------------------------------------
    def step(self, k: int) -> dict[str, float]:
        """Run step k and return its flows by the kernel's names [kW, K, or share of the step]."""
        case, h = self.case, self.hours
        now, humid = Now({name: float(values[k]) for name, values in self.series.items()}), float(self.humidity[k])
        boiler = self.by_boiler(now, k, humid)
        water = self.water(now, boiler, humid)
        space = self.space(now, water, boiler, humid)
        water_kw = {name: water[name] / h for name in ("tap", "unmet", "lost", "heat", "electric", "immersion")}
        backup = space["heat"] - space["machine"]
        pump = 0.0 if boiler else case.heat_pump.pump_w / 1000.0
        runs = 1.0 if space["machine"] > NOTHING else 0.0
        standby = case.heat_pump.standby_w / 1000.0 if case.heat_source != "boiler" and case.heat_pump else 0.0
        if not boiler:
            standby *= 1.0 - (water["time"] + runs * (1.0 - water["time"]))
        fuel = own = 0.0
        if case.boiler is not None and case.heat_source != "heat_pump":
            own = case.boiler.standby_w / 1000.0
        if boiler:
            fuel = space["machine"] / case.boiler.space_efficiency + water_kw["heat"] / case.boiler.water_efficiency
            own += case.boiler.pump_w / 1000.0 * (space["run"] + water["time"])
        electric_fuel = case.fuel is not None and case.fuel.kind == "electricity"
        if electric_fuel:
            own, fuel = own + fuel, 0.0
        idle = case.battery.idle_w / 1000.0 if case.battery else 0.0
        buffered = 0.0 if boiler else case.controls.buffer_pump_w / 1000.0
        pumps_space, pumps_water = (pump + buffered) * space["run"], pump * water["time"]
        net = space["electric"] + water_kw["electric"] + backup + water_kw["immersion"] + pumps_space + pumps_water
        net += standby + own + now.household_kw + now.car_kw + idle - now.solar_kw
        air, out = space["air"], now.outdoor_c
        cycling = 1.0 if runs and not boiler and space["share"] < space["least"] else 0.0
        flows = {
            "space_heat": space["heat"], "emitted": space["emitted"], "solar_gain": now.solar_gain_kw, "internal_gain": now.internal_gain_kw,
            "cylinder_to_rooms": space["to_rooms"], "vented": space["vented"],
            "envelope_loss": self.rooms.air_side * (air - out) + self.rooms.fabric_side * (space["fabric"] - out),
            "hot_water": water_kw["heat"] + water_kw["immersion"], "tap_water": water_kw["tap"],
            "tap_water_unmet": water_kw["unmet"], "cylinder_loss": water_kw["lost"],
            "heat_pump_space_heat": 0.0 if boiler else space["machine"],
            "heat_pump_water_heat": 0.0 if boiler else water_kw["heat"],
            "heat_pump_space": space["electric"], "heat_pump_water": water_kw["electric"], "backup_heater": backup,
            "immersion": water_kw["immersion"], "pumps_space": pumps_space, "pumps_water": pumps_water,
            "standby": standby, "boiler_space_heat": space["machine"] if boiler else 0.0,
            "boiler_water_heat": water_kw["heat"] if boiler else 0.0, "fuel": fuel, "boiler": own,
            "household": now.household_kw, "car": now.car_kw, "battery_idle": idle,
            **self.settle(now, net),
            "below_k": max(0.0, now.needed_c - air - case.comfort.tolerance_k), "below_18": 1.0 if air < 18.0 else 0.0,
            "cool": 1.0 if now.needed_c - air > 0.5 else 0.0,
            "under_18_wanted": 1.0 if air < 18.0 and now.needed_c > 18.0 else 0.0,
            "water_short": 1.0 if water_kw["unmet"] * h > 1e-6 else 0.0,
            "over_k": now.occupied * max(0.0, air - case.comfort.over_c), "short_kw": space["wanted"] - space["heat"],
            "heating": 1.0 if space["heat"] > NOTHING else 0.0, "cycling": cycling,
            "cycling_heat": cycling * space["machine"], "water_share": water["time"],
        }  # fmt: skip
        self.flows.append(flows)
        return flows
