"""Nothing in; time and memory of a schedule search and of an optimum on an hourly year, and what panels and battery add.

Run as ``python tests/bench/schedules.py``. Promises: some two thousand schedules in 2 s, an optimum in 20 s and 1 GiB on
two cores, panels and battery no more than a fifth of the year in the kernel.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from decide.invented import CAR, ROOF, stored, tariff, terrace

from simkit.case.build import vary
from simkit.decide.optimum.optimum import optimum
from simkit.decide.schedule.search import best_schedule
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_homes
from simkit.year.simulate import simulate


def least_cpu_s(home: HomeInputs, steps: int, *, tries: int = 12) -> float:
    """Least processor time of 64 years on one thread [s]."""
    best = float("inf")
    for _ in range(tries):
        start = time.process_time()
        run_homes([home] * 64, steps, 1.0, threads=1, run_in=False)
        best = min(best, time.process_time() - start)
    return best


def main() -> None:
    """Print one line for each promise: wall time, and processor time for a machine that others use too."""
    case = stored()
    best_schedule(case)
    wall, cpu = time.perf_counter(), time.process_time()
    found = best_schedule(case)
    print(
        f"{found.tried} schedules: {time.perf_counter() - wall:.2f} s, {time.process_time() - cpu:.2f} s of processors"
    )
    everything = vary(case, {"car": CAR, "solar": ROOF, "tariff": tariff(export=0.05)})
    for what, home, schedule in (("battery", case, found), ("car, panels and battery", everything, None)):
        wall, cpu = time.perf_counter(), time.process_time()
        best = optimum(home, schedule=schedule)
        print(
            f"optimum of an hourly year, {what}: {time.perf_counter() - wall:.1f} s, "
            f"{time.process_time() - cpu:.1f} s of processors"
        )
        print(best)
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20:.2f} GiB")
    roofed = vary(case, {"solar": ROOF})
    years = [simulate(home, step_minutes=60) for home in (terrace(), roofed, vary(roofed, {"battery.coupling": "dc"}))]
    times = [least_cpu_s(year.inputs, year.axis.steps) for year in years]
    for what, spent in zip(("with an inverter of its own", "behind that of the panels"), times[1:], strict=True):
        print(f"panels and battery in the kernel, {what}: {spent / times[0] - 1.0:+.1%} of the year")


if __name__ == "__main__":
    main()
