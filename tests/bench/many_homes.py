"""Nothing in; how long sampled home-years and combinations of measures take, printed, out. Run by hand: no timed test.

Promises, on two cores that do nothing else: 10,000 sampled home-years with their bills in 8 s, the run-in year included;
1,024 combinations of ten measures at ten tariffs in 6 s. Memory doesn't grow with the number of homes.
"""

from __future__ import annotations

import os
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from case.stated import made, table

from simkit.case.build import Case
from simkit.case.money.money import Measure
from simkit.decide.measures.combinations import combined
from simkit.kept import disk
from simkit.uncertainty.distributions import usual_distributions
from simkit.uncertainty.draws import drawn
from simkit.uncertainty.sampled_years import sampled_home, sampled_years

HOMES, TARIFFS = 10_000, 10
CHANGES = (
    ("controls.design_flow_c = 46.0",), ("controls.setback_c = 18.5",), ("emitters.sized_for_flow_c = 45.0",),
    ("hot_water.coil_area_m2 = 3.0",), ("hot_water.loss_class = \"A\"",), ("controls.mixing_penalty_k = 0.0",),
    ("solar.array = [{ kwp = 3.0, tilt_deg = 35.0, azimuth_deg = 180.0 }]", "solar.inverter_kw = 3.0"),
    ("battery.usable_kwh = 5.0", "battery.charge_kw = 2.0", "battery.discharge_kw = 2.0"),
    ("home.air_side_share = 0.3",), ("hot_water.target_c = 52.0",),
)  # fmt: skip

disk.to_disk = False  # what is measured is work


def home() -> Case:
    """The home of the tests, on hourly steps."""
    hours = {
        "comfort": {"periods": [{"from": "07:00", "to": "22:00", "c": 20.5}], "setback_c": 18.0},
        "controls": {
            "periods": [{"from": "06:00", "to": "22:00", "c": 20.5}],
            "setback_c": 19.5,
            "design_flow_c": 50.0,
        },
    }
    return made(table("option", "baseline", **hours))


def memory_mb() -> float:
    """Most memory that this process has held so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def main() -> None:
    """Time both, after one small run that compiles and fills the caches."""
    case = home()
    inputs = usual_distributions(case)
    sampled_years(sampled_home(case, drawn(inputs, 64)))
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    for count in (2_000, HOMES):
        begun, worked = time.perf_counter(), time.process_time()
        sampled_years(sampled_home(case, drawn(inputs, count)))
        took, worked = time.perf_counter() - begun, time.process_time() - worked
        print(f"{count:,} sampled home-years with bill and run-in: {took:.1f} s ({worked:.1f} s of one core), "
              f"{count / took:,.0f} a second, {memory_mb():,.0f} MB at most")  # fmt: skip
    said = {"cost": 100.0, "life_years": 20.0, "bother": "a day", "who": "you"}
    measures = [Measure.model_validate({"name": f"m{k}", "changes": lines, **said}) for k, lines in enumerate(CHANGES)]
    tariffs = [case.tariff.model_copy(update={"name": f"tariff {k}"}) for k in range(TARIFFS - 1)]
    combined(case, measures[:2], tariffs=tariffs[:1])
    begun, worked = time.perf_counter(), time.process_time()
    found = combined(case, measures, tariffs=tariffs)
    took, worked = time.perf_counter() - begun, time.process_time() - worked
    print(
        f"{found.costs.shape[0]:,} combinations × {found.costs.shape[1]} tariffs: "
        f"{took:.1f} s ({worked:.1f} s of one core)"
    )


if __name__ == "__main__":
    main()
