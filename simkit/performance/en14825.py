"""A heat pump's test points and a reference climate in; its seasonal COP by EN 14825, bin by bin, out.

The same map of efficiency and capacity that the year runs on, held against the published reference seasons: no
installation factor, no house, no weather of ours. Bins and off-modes stand in one account whose columns add up.
Source of the method: EN 14825; Regulations (EU) 811/2013 Annex VII and 813/2013 Annex III.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.machine import MachineMap, machine_map
from simkit.case.heating.heat_pump import HeatPump
from simkit.errors import CaseError, Fault
from simkit.notation import PLAIN, Localised
from simkit.performance.en14825_climates import (
    CLIMATES,
    FOUND,
    NO_LOAD_C,
    OFF_HOURS,
    OFF_MODES,
    OUTLETS,
    Climate,
    ClimateName,
    outlet_c,
)
from simkit.physics.heat_pump import carnot, cycling_factor, part_load_factor, worked_flow_c, working_cop

Application = Literal[35, 55]

NO_LIMIT_C = -100.0  # own: stands for no limit, colder than any season


@dataclass(frozen=True)
class OffPower:
    """Electricity taken while nothing is heated, by mode [W]; None stands for the machine's stated standby."""

    thermostat_off_w: float | None = None
    standby_w: float | None = None
    crankcase_w: float = 0.0
    switched_off_w: float | None = None

    def watts(self, standby_w: float) -> tuple[float, float, float, float]:
        """Power by mode, in the order of `OFF_MODES` [W]."""
        known = [standby_w if w is None else w for w in (self.thermostat_off_w, self.standby_w, self.switched_off_w)]
        return known[0], known[1], self.crankcase_w, known[2]


STATED_STANDBY = OffPower()


@dataclass(frozen=True, eq=False, repr=False)
class StandardSeason:
    """A machine's reference season.

    Attributes
    ----------
    climate, application_c
        The season, and the outlet temperature on its design day: 35 (low) or 55 (medium temperature) [°C].
    design_kw
        Load at the design temperature, Pdesignh [kW].
    bivalent_c
        Coldest outdoor temperature at which the machine alone carries the load [°C].
    limit_c
        Outdoor temperature below which it stops [°C].
    account
        One row for each bin and one for each off-mode. `hours`, `heat_kwh`, `machine_kwh`, `backup_kwh`, `off_kwh` and
        `electricity_kwh` may be added up; `outdoor_c`, `outlet_c`, `part_load`, `load_kw`, `capacity_kw`,
        `running_cop`, `cycling_factor` and `cop` are of the bin.
    notes
        What was assumed, and what of it is only remembered.
    """

    climate: Climate
    application_c: int
    design_kw: float
    bivalent_c: float
    limit_c: float
    account: pd.DataFrame
    notes: tuple[str, ...]

    @property
    def scop(self) -> float:
        """Heat over all electricity, off-modes included [-]."""
        return float(self.account["heat_kwh"].sum() / self.account["electricity_kwh"].sum())

    @property
    def scop_on(self) -> float:
        """Heat over the electricity of machine and back-up heater [-]."""
        return float(self.account["heat_kwh"].sum() / self.account[["machine_kwh", "backup_kwh"]].to_numpy().sum())

    @property
    def scop_net(self) -> float:
        """Heat of the machine alone over its electricity [-]."""
        heat = self.account["heat_kwh"].sum() - self.account["backup_kwh"].sum()
        return float(heat / self.account["machine_kwh"].sum())

    def __repr__(self) -> str:
        return (
            f"SCOP {self.scop:.2f} ({self.climate.name} climate, {self.application_c} °C, {self.design_kw:.1f} kW at "
            f"{self.climate.design_outdoor_c:g} °C, bivalent at {self.bivalent_c:.1f} °C)"
        )


def standard_season(
    machine: HeatPump,
    climate: ClimateName = "average",
    *,
    application_c: Application = 55,
    design_kw: float | None = None,
    bivalent_c: float | None = None,
    off: OffPower = STATED_STANDBY,
) -> StandardSeason:
    """Run a machine's test points through a reference heating season.

    Parameters
    ----------
    machine
        The heat pump; its efficiency scale and the installation play no part.
    climate
        "average", "colder" or "warmer".
    application_c
        35 (low temperature) or 55 (medium temperature) [°C].
    design_kw
        Load at the design temperature [kW]; None takes the load that puts the bivalent point at `bivalent_c`.
    bivalent_c
        Bivalent point [°C]; None takes −7 (average), −15 (colder) or 2 (warmer), or where the cold stops the machine
        before, that. Not used where `design_kw` is given.
    off
        Electricity by off-mode.

    Returns
    -------
    StandardSeason

    Raises
    ------
    CaseError
        Where the machine makes no heat at its bivalent point.
    """
    season = CLIMATES[climate]
    on_test = _OnTest(machine, machine_map(machine), season, application_c)
    if design_kw is None:
        usual = max(season.usual_bivalent_c, on_test.limit_c)
        design_kw = on_test.load_for(usual if bivalent_c is None else bivalent_c)
    found = on_test.bivalent_c(design_kw)
    watts, hours = np.array(off.watts(machine.standby_w)), np.array(OFF_HOURS[season.name])
    resting = {"off_hours": hours, "off_w": watts, "off_kwh": hours * watts / 1000.0}  # these hours are no bin hours
    nothing = dict.fromkeys(("hours", "heat_kwh", "machine_kwh", "backup_kwh"), 0.0)
    off_modes = pd.DataFrame({**nothing, **resting}, index=pd.Index(OFF_MODES, name="part"))
    account = pd.concat([on_test.bins(design_kw), off_modes])
    account["electricity_kwh"] = account["machine_kwh"] + account["backup_kwh"] + account["off_kwh"]
    notes = _notes(on_test, found)
    return StandardSeason(season, application_c, design_kw, found, on_test.limit_c, account, notes)


def energies(hours: Floats, load_kw: Floats, capacity_kw: Floats, cop: Floats) -> dict[str, Floats]:
    """Heat, electricity of the machine, and of the back-up heater that gives what the machine can't, (bins,) [kWh].

    Parameters
    ----------
    hours
        Hours of each bin, (bins,) [h].
    load_kw
        Heat wanted, (bins,) [kW].
    capacity_kw
        Most heat of the machine, (bins,) [kW].
    cop
        COP with part load and cycling, (bins,) [-].
    """
    carried = np.minimum(load_kw, capacity_kw)
    return {
        "heat_kwh": hours * load_kw, "machine_kwh": hours * carried / cop, "backup_kwh": hours * (load_kw - carried)
    }  # fmt: skip


@dataclass(frozen=True, eq=False)
class _OnTest:
    """A machine in a season: what it makes at the outlet temperature that the season asks for."""

    machine: HeatPump
    made: MachineMap
    season: Climate
    application_c: int

    @property
    def limit_c(self) -> float:
        """Outdoor temperature below which the machine stops [°C]."""
        return self.machine.lowest_outdoor_c if self.machine.source == "air" else NO_LIMIT_C

    def outlet_c(self, outdoor_c: Floats) -> Floats:
        return outlet_c(self.season.name, self.application_c, outdoor_c)

    def source_c(self, outdoor_c: Floats) -> Floats:
        """Temperature the machine draws from [°C]; ground and constant sources keep their stated mean."""
        own = self.machine.source == "air"
        return outdoor_c if own else np.full(len(outdoor_c), float(self.machine.source_c or 0.0))

    def read(self, table: Floats, outdoor_c: Floats, outlet_c: Floats | None = None) -> Floats:
        """Read a table of the map at each outdoor temperature, at the season's outlet or at another [°C], (n,)."""
        source = self.source_c(outdoor_c)
        outlets = self.outlet_c(outdoor_c) if outlet_c is None else outlet_c
        rows = np.array([np.interp(source, self.made.sources_c, column) for column in table.T]).T
        flows = self.made.flows_c
        return np.array([np.interp(f, flows, row) for f, row in zip(outlets, rows, strict=True)])

    def capacity_kw(self, outdoor_c: Floats) -> Floats:
        """Most heat, none below the operation limit, (n,) [kW]."""
        return self.read(self.made.capacity_kw, outdoor_c) * (outdoor_c >= self.limit_c)

    def load_for(self, bivalent_c: float) -> float:
        """Design load with which capacity and load meet at `bivalent_c` [kW]."""
        t = np.array([bivalent_c])
        capacity, share = float(self.capacity_kw(t)[0]), float(self.season.part_load(t)[0])
        if not (capacity > 0.0 and share > 0.0):
            raise CaseError(
                Fault(
                    "standard season", f"bivalent_c = {bivalent_c:g}",
                    f"leaves no load or no capacity there ({capacity:.1f} kW, part load {share:.2f})",
                    f"Choose a bivalent point below {NO_LOAD_C:g} °C at which the machine runs",
                )
            )  # fmt: skip
        return capacity / share

    def bivalent_c(self, design_kw: float) -> float:
        """Coldest temperature from which on the machine carries the load [°C], to a hundredth of a kelvin."""
        t = np.arange(self.season.design_outdoor_c, NO_LOAD_C, 0.01)
        carried = self.capacity_kw(t) >= design_kw * self.season.part_load(t) * (1.0 - 1e-9)
        short = np.flatnonzero(~carried)
        return float(t[0] if not len(short) else t[min(int(short[-1]) + 1, len(t) - 1)])

    def bins(self, design_kw: float) -> pd.DataFrame:
        """Every bin of the season: load, capacity, COP with part load and cycling, and the energies."""
        season, made = self.season, self.made
        t, hours = season.outdoor_c, season.hours
        outlet, source, lift = self.outlet_c(t), self.source_c(t), made.lift
        load, capacity = design_kw * season.part_load(t), self.capacity_kw(t)
        worked = np.array([worked_flow_c(w, s, lift.least_lift_k) for w, s in zip(outlet, source, strict=True)])
        efficiency = self.read(made.efficiency, t, worked)
        share = np.minimum(load, capacity) / np.maximum(capacity, 1e-9)
        minimum_modulation = self.read(made.minimum_modulation, t)
        part = [part_load_factor(s, m, made.part_load_gain) for s, m in zip(share, minimum_modulation, strict=True)]
        running = np.array(
            [working_cop(e, w, s, lift, 1.0, p) for e, w, s, p in zip(efficiency, outlet, source, part, strict=True)]
        )
        cycling = np.array(
            [
                cycling_factor(s / m, self.machine.cycling_degradation)
                for s, m in zip(share, minimum_modulation, strict=True)
            ]
        )
        return pd.DataFrame(
            {
                "outdoor_c": t, "hours": hours, "outlet_c": outlet, "part_load": season.part_load(t), "load_kw": load,
                "capacity_kw": capacity, "running_cop": running, "cycling_factor": cycling, "cop": running * cycling,
                "carnot_cop": carnot(worked, worked - source),
                **energies(hours, load, capacity, running * cycling), "off_kwh": 0.0,
            },
            index=pd.Index([f"bin {value:g} °C" for value in t], name="part"),
        )  # fmt: skip


def _notes(on_test: _OnTest, bivalent_c: float) -> tuple[str, ...]:
    season, limit_c = on_test.season, on_test.limit_c
    rows = OUTLETS[season.name, on_test.application_c]
    sure = [f"{PLAIN.brief(w)} °C at {PLAIN.brief(t)} °C" for t, w, status in rows if status == FOUND]
    known = f"; only {', '.join(sure)} is corroborated by Regulation (EU) 811/2013" if sure else ""
    notes = [
        f"The outlet temperatures of this season are from memory of EN 14825{known}.",
        "The off-mode hours are from memory of EN 14825.",
        "A reference season holds no hot water, no circulation pump beyond the appliance, and no installation.",
    ]
    if bivalent_c > season.warmest_bivalent_c + 1e-6:
        notes.append(
            Localised(
                lambda n: (
                    f"The bivalent point of {n.number(bivalent_c, 1)} °C is warmer than the "
                    f"{n.brief(season.warmest_bivalent_c)} °C that may be declared for this climate: the machine "
                    "is too small for this load."
                )
            )
        )
    if limit_c > season.warmest_limit_c:
        most = season.warmest_limit_c
        stops = "The machine stops at {} °C, above the {} °C that may be declared."
        notes.append(Localised(lambda n: stops.format(n.brief(limit_c), n.brief(most))))
    return (*notes, *on_test.made.notes)
