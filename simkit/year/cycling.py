"""A simulated year in; how much of it lies below the machine's least output, how often it starts, and its cost, out.

Below its least output a machine heats the water faster than the rooms take it, stops at the top of the hysteresis and
starts again at its bottom. With the water's heat C·h between the two, P made and L taken, it runs C·h/(P − L) and
stands C·h/L, which makes L·(P − L)/(C·h·P) starts an hour: most of them at half the least output.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.emitters import design_load_kw, emitter_rating_kw
from simkit.assemble.machine import machine_map
from simkit.case.heating.heat_pump import HeatPump
from simkit.errors import CaseError, Fault
from simkit.notation import PLAIN, Notation
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.heat_pump import cycling_factor, reference_cops
from simkit.physics.running import lift_of

if TYPE_CHECKING:
    from simkit.year.year import Year

PIPES_L = 20.0  # common practice: pipes and machine
HYSTERESIS_K = 5.0  # common practice: of the flow
MANY_STARTS_A_DAY = 24.0  # common practice: about one an hour is easy on a compressor
BIN_K = 2.0


@dataclass(frozen=True, eq=False, repr=False)
class Cycling:
    """How a machine fits the load of a year.

    Attributes
    ----------
    hours_below, hours_heated
        Hours in which the load lay below the least output, and hours in which rooms were heated [h].
    heat_below_share
        Share of the machine's space heat made there [-].
    starts_a_day, most_starts_a_day
        Expected starts over the days with heating, on their mean and on the day with most [1/d].
    lost_kwh, lost_cost
        Electricity that cycling takes in the year, and what it costs at the prices of its hours [kWh, currency].
    overshoot_k, overshoot_kwh
        How far the flow rises at most past the hysteresis, for the machine runs on until its shortest run is over [K],
        and about what that takes in the year, which no bill here holds [kWh].
    water_l, hysteresis_k
        What the starts were worked out for.
    by_outdoor
        One row by outdoor temperature: `hours`, `load_kw`, `least_kw`, `capacity_kw`, `heat_kwh`, `heat_below_kwh`,
        `starts_a_day`.
    design_load_kw
        Load on the design day [kW].
    """

    hours_below: float
    hours_heated: float
    heat_below_share: float
    starts_a_day: float
    most_starts_a_day: float
    lost_kwh: float
    lost_cost: float
    overshoot_k: float
    overshoot_kwh: float
    water_l: float
    hysteresis_k: float
    by_outdoor: pd.DataFrame
    design_load_kw: float

    @property
    def hours_share(self) -> float:
        """Share of the heated hours below the least output [-]."""
        return self.hours_below / self.hours_heated if self.hours_heated else 0.0

    def worded(self, notation: Notation = PLAIN) -> str:
        """The finding in one or two sentences."""
        if not self.hours_below:
            return "The machine never cycles: its least output lies under the load in every heated hour."
        mildest = self.by_outdoor[self.by_outdoor["hours"] > 0].iloc[-1]
        many = " That is many: more water or a wider hysteresis would calm it." * (
            self.most_starts_a_day > MANY_STARTS_A_DAY
        )
        number, share = notation.number, notation.share
        load = f"{number(mildest['least_kw'], 1)} kW in mild weather against a design load of "
        least = f"{load}{number(self.design_load_kw, 1)} kW"
        return (
            f"In {share(self.hours_share)} of the heated hours, with {share(self.heat_below_share)} of the heat, the "
            f"load lies below the least output ({least}): about {number(self.starts_a_day)} starts a day, "
            f"{number(self.most_starts_a_day)} on the busiest, {number(self.lost_kwh)} kWh a year lost.{many}"
            f"{self._overshot(notation)}"
        )

    def _overshot(self, notation: Notation) -> str:
        if round(self.overshoot_k, 1) <= 0.0:
            return ""
        return (
            f" Its shortest run takes the flow up to {notation.number(self.overshoot_k, 1)} K past the hysteresis, "
            f"which costs some {notation.number(self.overshoot_kwh)} kWh a year more than is counted here."
        )


def starts_per_hour(
    load_kw: Floats, least_kw: Floats, water_l: float, hysteresis_k: float, minimum_run_h: float = 0.0
) -> Floats:
    """Starts an hour at a load below the least output, shape as given [1/h]; none above it or without load.

    A machine that runs for a time at least, P·t made in each run, starts no more than L/(P·t) times an hour: what it
    makes beyond the hysteresis warms the water further.
    """
    held = KWH_PER_LITRE_K * water_l * hysteresis_k
    load, least = np.asarray(load_kw, dtype=np.float64), np.maximum(np.asarray(least_kw, dtype=np.float64), 1e-9)
    most = load / (least * minimum_run_h) if minimum_run_h > 0.0 else np.inf
    return np.where((load > 0) & (load < least), np.minimum(load * (least - load) / (held * least), most), 0.0)


def overshoot_k(load_kw: Floats, least_kw: Floats, water_l: float, hysteresis_k: float, minimum_run_h: float) -> Floats:
    """How far a shortest run warms the water past the hysteresis, shape as given [K]: (P − L)·t/C − h, or nothing."""
    warmed = (least_kw - load_kw) * minimum_run_h / (KWH_PER_LITRE_K * water_l)
    return np.where((load_kw > 0) & (load_kw < least_kw), np.maximum(warmed - hysteresis_k, 0.0), 0.0)


def least_output_kw(machine: HeatPump, outdoor_c: Sequence[float], flow_c: Sequence[float]) -> pd.DataFrame:
    """Least output of an air machine without stopping, rows outdoor and columns flow temperature [kW]."""
    made = machine_map(machine)

    def laid_out(values: Floats) -> Floats:
        by_flow = np.array([np.interp(flow_c, made.flows_c, row) for row in values])
        return np.array([np.interp(outdoor_c, made.sources_c, column) for column in by_flow.T]).T

    table = laid_out(made.capacity_kw) * laid_out(made.minimum_modulation)
    return pd.DataFrame(table, index=pd.Index(outdoor_c, name="outdoor_c"), columns=pd.Index(flow_c, name="flow_c"))


def cycling_of(year: Year, *, water_l: float | None = None, hysteresis_k: float = HYSTERESIS_K) -> Cycling:
    """Look at the load of a year against the machine's least output.

    Parameters
    ----------
    year
        A year in which a heat pump heats the rooms.
    water_l
        Water in the heating circuit, a buffer in series included [litres]; None takes the usual volume of its emitters.
    hysteresis_k
        How far the flow may swing about its set-point before the machine stops or starts [K].

    Raises
    ------
    CaseError
        Without a heat pump.
    """
    case, hours = year.case, year.axis.hours
    if case.heat_pump is None or case.heat_source == "boiler":
        remedy = 'Choose an option with heat_source = "heat_pump"'
        raise CaseError(
            Fault(case.label, f'heat_source = "{case.heat_source}"', "has no heat pump that cycles", remedy)
        )
    loss = year.loss_w_per_k
    usual = PIPES_L + case.emitters.water_l_per_kw * emitter_rating_kw(case, loss) + case.controls.buffer_l
    water = water_l if water_l is not None else usual
    frame = _steps(year, water, hysteresis_k)
    day = frame.groupby(year.axis.day)["starts"].sum()
    heated = frame.groupby(year.axis.day)["heated"].sum() > 0
    heat, below = frame["heat_kw"].sum(), frame.loc[frame["below"], "heat_kw"].sum()
    return Cycling(
        float(frame["below"].sum()) * hours, float(frame["heated"].sum()) * hours,
        float(below / heat) if heat > 0 else 0.0,
        float(day[heated].mean()) if heated.any() else 0.0, float(day.max()),
        float(frame["lost_kw"].sum()) * hours, float((frame["lost_kw"] * frame["price"]).sum()) * hours,
        float(frame["over_k"].max()), float(frame["over_kw"].sum()) * hours,
        water, hysteresis_k, _by_outdoor(frame, hours), design_load_kw(case, loss),
    )  # fmt: skip


def _steps(year: Year, water_l: float, hysteresis_k: float) -> pd.DataFrame:
    """Load, least output, starts and what cycling takes in each step."""
    hourly, home = year.hourly, year.inputs.home
    left = np.maximum(1.0 - hourly["water_share"].to_numpy(), 1e-9)
    heat = year.flow("heat_pump_space_heat")
    load, least = heat / left, hourly["least_output_kw"].to_numpy()
    heated = heat > 1e-6
    below = heated & (load < least * (1.0 - 1e-9))
    ratio = np.where(heated, load / np.maximum(least, 1e-9), 1.0)
    factor = np.array([cycling_factor(r, home.cycling_degradation) for r in ratio.tolist()])
    shortest_h = year.case.heat_pump.minimum_run_min / 60.0 if year.case.heat_pump else 0.0
    starts = starts_per_hour(load, least, water_l, hysteresis_k, shortest_h) * left * year.axis.hours * below
    over = overshoot_k(load, least, water_l, hysteresis_k, shortest_h) * below
    flow, source = year.flow("flow_c") + year.case.controls.mixing_penalty_k, year.inputs.series["source_c"]
    asked, hotter = (reference_cops(at, source, lift_of(home)) for at in (flow, flow + 0.5 * over))
    return pd.DataFrame(
        {
            "outdoor_c": hourly["outdoor_c"].to_numpy(), "heated": heated, "below": below, "heat_kw": heat,
            "load_kw": load, "least_kw": least, "capacity_kw": hourly["capacity_kw"].to_numpy(), "starts": starts,
            "lost_kw": year.flow("heat_pump_space") * (1.0 - factor), "over_k": over,
            "over_kw": year.flow("heat_pump_space") * (asked / hotter - 1.0),  # by half of it, from end to end
            "price": hourly["import_price_per_kwh"].to_numpy(),
        }
    )  # fmt: skip


def _by_outdoor(frame: pd.DataFrame, hours: float) -> pd.DataFrame:
    """The heated steps by outdoor temperature."""
    rows = frame[frame["heated"]]
    grouped = rows.groupby((rows["outdoor_c"] / BIN_K).round() * BIN_K)
    found = grouped[["load_kw", "least_kw", "capacity_kw"]].mean()
    found.insert(0, "hours", grouped.size() * hours)
    found["heat_kwh"] = grouped["heat_kw"].sum() * hours
    found["heat_below_kwh"] = (rows["heat_kw"] * rows["below"]).groupby(
        rows["outdoor_c"].div(BIN_K).round() * BIN_K
    ).sum() * hours
    found["starts_a_day"] = grouped["starts"].sum() / found["hours"] * 24.0
    return found
