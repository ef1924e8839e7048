"""Nothing in; how long a sweep of flows and emitters takes, printed, out. Run by hand: no timed test.

Promise, on two cores that do nothing else: 60 design flows × 6 sets of emitters for one home, hourly, run-in years and
bills included, in 0.3 s once the kernel is compiled.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.sweep import sweep_flow

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"
WHOLE_HOURS = {
    "comfort.periods": [{"from": "07:00", "to": "22:00", "c": 20.0}],
    "controls.periods": [{"from": "05:00", "to": "22:00", "c": 21.0}],
    "boiler.as_operated": None, "option": None, "baseline": None,
}  # fmt: skip
RUNS = 7


def timed(home: Case) -> tuple[float, float]:
    """Best wall and processor time of several runs [s]."""
    flows = np.linspace(35.0, 60.0, 60)
    sets = [vary(home, {"name": f"set {k}", "room.bath.rated_kw": 0.85 + 0.1 * k}) for k in range(6)]
    sweep_flow(home, flows, sets=sets)
    walls, works = [], []
    for _ in range(RUNS):
        wall, work = time.perf_counter(), time.process_time()
        sweep_flow(home, flows, sets=sets)
        walls.append(time.perf_counter() - wall)
        works.append(time.process_time() - work)
    return min(walls), min(works)


if __name__ == "__main__":
    hourly = vary(read_case(SAMPLE), WHOLE_HOURS)
    half_hourly = vary(hourly, {"step_minutes": 30})
    for name, case in (("hourly", hourly), ("half-hourly", half_hourly)):
        wall, work = timed(case)
        print(f"360 years, {name}: {wall:.3f} s, {work:.3f} s of processor time (promise: hourly within 0.3 s)")
