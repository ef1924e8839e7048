"""A schedule and what a controller knows in; a schedule found day by day in the kernel itself, out.

Each midnight, from the state that the home is in, the controller tries courses of the day's settings (`day_moves`) on
the days that it sees ahead, keeps the cheapest, and lives through the day as it really comes. What it sees may be the
days as they will be, a forecast that errs, or yesterday once more. Warmth and hot water that are missing are charged
for, at a price that rises until the year keeps the needs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.decide.optimum.day_moves import Day, Move, caps, courses, fills, more_reheats, nudges, reheats
from simkit.decide.optimum.least_prices import PeakTerm, least_prices
from simkit.decide.variants import Needs, run_variants
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import EXTREMES
from simkit.kernel.run import run_courses
from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.heat_pump import reference_cops
from simkit.physics.records import State
from simkit.physics.running import lift_of
from simkit.year.fuse import fuse_kw
from simkit.year.year import Year

AHEAD_DAYS = 3  # what is decided for a day is felt for about so long
SAFE_MARGIN_K = 0.02
WATER_OVER_TARGET_K = 5.0  # own: flow of a reheat over the water it ends at
ALL_SPARE_KW = 1.5  # own: so much from the panels beyond the household runs the machine without the grid
LEFT_OF_WARMTH = 0.5  # own: of heat held by the building when the days ahead are over, what is still of use
CHARGED = {
    "below_k": 3.0, "cool": 0.1, "under_18_wanted": 20.0, "below_18": 3.0, "tap_water_unmet": 8.0, "over_k": 0.3
}  # own: mean kWh for each K·h, hour and kWh that is missing or too much  # fmt: skip
OVER_FUSE_KWH = 100.0
FREE_FLOW = 1.5  # own: of the rule's curve, on days that are not settled yet
UNCAPPED = 4.0  # own: who may be wrong about the weather caps no flow: a day that comes colder needs it
WEATHER = (
    "outdoor_c", "source_c", *(f"efficiency_{k}" for k in range(5)), *(f"capacity_{k}_kw" for k in range(5)),
    *(f"minimum_modulation_{k}" for k in range(5)), "solar_gain_kw", "solar_kw", "clipped_kw", "cold_water_c",
)  # fmt: skip
USE = ("internal_gain_kw", "household_kw", "draw_kw")


@dataclass(frozen=True)
class Knowledge:
    """What a controller knows at midnight of the days ahead; what it doesn't know, it takes to be as yesterday.

    Attributes
    ----------
    weather, use
        Share of what changes from yesterday on that it sees coming, of the weather and of household and draws [0 to 1].
    price_days
        Days whose prices it knows; those by the clock it knows for ever.
    tries
        How much dearer missing warmth is, and how far set-points lie over needed ones [K]: the first that keeps the
        needs is taken, since who may be wrong needs some room.
    """

    weather: float
    use: float
    price_days: int
    tries: tuple[tuple[float, float], ...] = ((3.0, 0.1), (10.0, 0.3), (10.0, 0.6))

    @property
    def sure(self) -> bool:
        """Whether no day comes colder than it is taken to be."""
        return self.weather >= 1.0


YESTERDAYS = Knowledge(0.0, 0.0, 0)
FORECAST = Knowledge(0.5, 0.0, 1)
PERFECT = Knowledge(1.0, 1.0, AHEAD_DAYS, ((1.0, 0.0), (3.0, 0.1)))


class PeaksSoFar:
    """What a charge on peaks asks for more than the month so far, of any course of the days ahead."""

    def __init__(self, term: PeakTerm) -> None:
        """Begin each month at the peak that is charged in any case."""
        self.term, self.so_far = term, np.full(12, term.floor_kw)
        self.per_kw = np.bincount(term.month, term.per_kw, minlength=12)

    def highest(self, at: Ints, bought_kw: Floats) -> dict[int, Floats]:
        """Highest mean import of each month that these steps touch, of imports (steps, courses), (courses,) [kW]."""
        inside = self.term.interval[at] >= 0
        counted = at[inside]
        known, first, row = np.unique(self.term.interval[counted], return_index=True, return_inverse=True)
        mean = np.zeros((len(known), bought_kw.shape[1]))
        np.add.at(mean, row, bought_kw[inside] * self.term.share[counted][:, None])
        month = self.term.month[counted][first]
        return {m: mean[month == m].max(axis=0) for m in np.unique(month).tolist()}

    def cost(self, at: Ints, bought_kw: Floats) -> Floats:
        """What these steps add to the charge, of imports (steps, courses), (courses,) [currency]."""
        more = (
            self.per_kw[m] * np.maximum(peak - self.so_far[m], 0.0) for m, peak in self.highest(at, bought_kw).items()
        )
        return np.asarray(sum(more, np.zeros(bought_kw.shape[1])))

    def lived(self, at: Ints, bought_kw: Floats) -> None:
        """Take the imports of a day that is over, (steps, 1), into account."""
        for m, peak in self.highest(at, bought_kw).items():
            self.so_far[m] = max(self.so_far[m], float(peak[0]))


class DayByDay:
    """A controller that settles each day in turn."""

    def __init__(self, today: Year, begin: HomeInputs, knows: Knowledge) -> None:
        """Begin with a schedule; its car stays as it is, everything else may be moved."""
        self.today, self.begin, self.knows = today, begin, knows
        self.hours, self.steps, self.slots = today.axis.hours, today.axis.steps, round(24.0 / today.axis.hours)
        self.home = begin.home._replace(
            flow_least=1.0, flow_fixed=0.0, recovery_lift_k=0.0, room_influence=0.0, hysteresis_k=1.0
        )
        room_c = begin.series["needed_c"] - self.home.tolerance_k
        self.room_c = np.maximum(np.maximum(room_c, np.roll(room_c, -1)), SAFE_ROOM_C + SAFE_MARGIN_K)
        self.by_clock = not any(terms.series for terms in today.case.tariff.versions)
        signal = today.setting.signal
        self.prices = {"import": signal.import_per_kwh, "export": signal.export_per_kwh}
        self.mean_price = float(np.maximum(signal.import_per_kwh, 0.0).mean())
        forced = begin.series["water_forced"] > 0.5
        self.target_c = float(np.max(np.where(forced, 0.0, begin.series["water_target_c"])))
        self.fuse = fuse_kw(today.case.site) or np.inf
        imported, exported = today.flow("grid_import"), today.flow("grid_export")
        self.prices_of_peaks = least_prices(
            today.case.tariff, today.axis, imported, exported, country=today.case.site.country
        ).peaks
        self.peaks: list[PeaksSoFar] = []
        self.settings: dict[str, Floats] = {}
        self.charged: dict[str, float] = {}

    def begin_year(self, dearer: float, margin_k: float) -> None:
        """Lay out what days are taken to be like until they are settled, and what is charged for missing warmth."""
        lead = range(round(4.0 / self.hours))
        course = np.max([np.roll(self.room_c, -k) for k in lead], axis=0) + 0.1 + margin_k
        names = ("curve_shape", "water_target_c", "charge_to", "release")
        self.settings = {"set_point_c": course, **{name: self.begin.series[name].copy() for name in names}}
        self.settings["curve_shape"] *= FREE_FLOW if self.knows.sure else UNCAPPED
        self.charged = {name: kwh * dearer * self.mean_price for name, kwh in CHARGED.items()}
        self.peaks = [PeaksSoFar(term) for term in self.prices_of_peaks]

    def year(self, dearer: float, margin_k: float) -> HomeInputs:
        """The schedule of the whole year, found with missing warmth so much dearer and set-points so much higher."""
        self.begin_year(dearer, margin_k)
        state = self.today.run.after._replace(**EXTREMES)
        for first in range(0, self.steps, self.slots):
            self._settle(first, state, margin_k)
            state = self._lived(first, state)
        return HomeInputs(self.home, self.begin.start, self.begin.series | self.settings)

    def _settle(self, first: int, state: State, margin_k: float) -> None:
        """Try the ways of a day one after the other, and keep the cheapest course of each."""
        seen, at = self._seen(first), self._at(first, 1)
        for ways in self._ways(at):
            day = self._day(first, seen)
            tried: list[Move] = [{}, *ways(day, margin_k)]
            best = tried[int(np.argmin(self._costs(first, state, seen, tried)))]
            for name, values in best.items():
                self.settings[name][at] = values

    def _ways(self, at: Ints) -> Iterator[Callable[[Day, float], Iterator[Move]]]:
        heated = self.begin.series["heating_season"][at].any()
        if heated:
            yield from (courses, caps) if self.knows.sure else (courses,)
        yield from (reheats, more_reheats)
        if self.home.usable_kwh > 0:
            yield fills
        if heated:
            yield from (nudges, nudges)

    def _lived(self, first: int, state: State) -> State:
        """The state after the day as it really comes."""
        at = self._at(first, 1)
        series = {name: values[at] for name, values in (self.begin.series | self.settings).items()}
        made = run_courses(HomeInputs(self.home, state, series), [{}], len(at), self.hours)
        for peak in self.peaks:
            peak.lived(at, made.flow("grid_import"))
        return State(*(float(value[0]) for value in made.after))

    def _at(self, first: int, days: int) -> Ints:
        return np.arange(first, first + days * self.slots) % self.steps

    def _seen(self, first: int) -> dict[str, Floats]:
        """Series and prices of the days ahead as the controller takes them, (slots of those days,) each."""
        at, knows = self._at(first, AHEAD_DAYS), self.knows
        before = np.tile(self._at(first - self.slots, 1), AHEAD_DAYS)
        seen = {name: values[at] for name, values in (self.begin.series | self.settings).items()}
        for names, share in ((WEATHER, knows.weather), (USE, knows.use)):
            if share < 1.0:
                for name in names:
                    values = self.begin.series[name]
                    seen[name] = share * values[at] + (1.0 - share) * values[before]
        known = AHEAD_DAYS if self.by_clock else knows.price_days
        day = np.concatenate([at[: known * self.slots], before[known * self.slots :]])
        return seen | {name: values[day] for name, values in self.prices.items()}

    def _day(self, first: int, seen: dict[str, Floats]) -> Day:
        """The day as moves are made from it."""
        at, n = self._at(first, 1), self.slots
        spare = np.clip((seen["solar_kw"][:n] - seen["household_kw"][:n]) / ALL_SPARE_KW, 0.0, 1.0)
        price = seen["import"][:n] * (1.0 - spare) + seen["export"][:n] * spare
        flow = seen["set_point_c"][:n] + self.home.design_excess_k * self.begin.series["curve_shape"][at]
        heat, water = (
            price / np.maximum(self.home.efficiency_scale * seen["efficiency_2"][:n] * cop, 1.0)
            for cop in (
                reference_cops(to, seen["source_c"][:n], lift_of(self.home))
                for to in (flow, np.full(n, self.target_c + WATER_OVER_TARGET_K))
            )
        )
        return Day(
            {name: values[at] for name, values in self.settings.items()}, self.room_c[self._at(first, 2)], price,
            heat, water, self.begin.series["water_forced"][at] > 0.5, self.target_c,
            self.begin.series["curve_shape"][at], self.hours,
        )  # fmt: skip

    def _costs(self, first: int, state: State, seen: dict[str, Floats], tried: list[Move]) -> Floats:
        """What each move makes of the days ahead, with what is missing charged and what is left credited [currency]."""
        at = self._at(first, AHEAD_DAYS)
        rest = {name: values[at] for name, values in self.settings.items()}
        home = HomeInputs(self.home, state, {name: seen[name] for name in self.begin.series} | rest)
        later = slice(self.slots, None)
        courses_ = [{name: np.append(day, rest[name][later]) for name, day in move.items()} for move in tried]
        made = run_courses(home, courses_, len(at), self.hours)
        cost = self.hours * (seen["import"] @ made.flow("grid_import") - seen["export"] @ made.flow("grid_export"))
        for name, price in self.charged.items():
            cost = cost + price * getattr(made.totals, name)
        for peak in self.peaks:
            cost = cost + peak.cost(at, made.flow("grid_import"))
        over = np.maximum(made.after.peak_import_kw - self.fuse, 0.0) * OVER_FUSE_KWH * self.mean_price
        return np.asarray(cost + over - self._left(made.after))

    def _left(self, after: State) -> Floats:
        """What is still of use of what the home holds, at mean prices [currency]."""
        home, price = self.home, self.mean_price
        warmth = LEFT_OF_WARMTH * home.fabric_kwh_per_k * np.asarray(after.fabric_c) / 3.5
        mixed = np.asarray(after.hot_share * after.hot_c + (1.0 - np.asarray(after.hot_share)) * after.cold_c)
        water = home.cylinder_kwh_per_k * mixed / 2.8
        return np.asarray(price * (warmth + water + home.discharge_efficiency * np.asarray(after.stored_kwh)))


def day_by_day(today: Year, begin: HomeInputs, knows: Knowledge, needs: Needs) -> tuple[HomeInputs, float] | None:
    """The cheapest schedule that the controller finds, and its cost of electricity [currency]; None where none holds.

    Parameters
    ----------
    today
        Today's year.
    begin
        A schedule to begin with, whose curve and car are taken over.
    knows
        What the controller knows.
    needs
        What is kept to, over the year as it really comes, which ends in the state in which it began.
    """
    controller = DayByDay(today, begin, knows)
    for dearer, margin_k in knows.tries:
        found = controller.year(dearer, margin_k)
        made = run_variants(today.case, today.setting, [found])
        if needs.kept(made)[0]:
            return found, float(made.cost[0])
    return None
