"""What a long table of homes costs: home-years a second with their bills, growth, memory, and a second worker.

Usage: python tests/bench/long_table.py [MOST] - from 100 homes up to MOST (10,000), tenfold each time.
"""

from __future__ import annotations

import csv
import random
import resource
import sys
import tempfile
import time
from pathlib import Path

from simkit.case.sample_homes import sample_folder
from simkit.stock.stock import sweep_homes

PLACE = "estuary_bungalow"
SIX = ("flat", "long_night", "short_night", "blocks", "peak_power", "day_ahead")


def table(path: Path, count: int, *, by_fuel: bool = False, seed: int = 1) -> Path:
    """An invented table of homes."""
    draw = random.Random(seed)
    loss = "home.loss.fuel_amount" if by_fuel else "home.loss.w_per_k"
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        unit = ["home.loss.fuel_unit"] if by_fuel else []
        rows.writerow(
            ["name", "group", *unit, "home.floor_area_m2", loss, "household.annual_kwh", "controls.design_flow_c"]
        )
        for k in range(count):
            stated = draw.uniform(1200, 2500) if by_fuel else draw.uniform(90, 320)
            rows.writerow([
                f"home {k}", draw.choice(("terrace", "flat", "detached")), *["litre"] * by_fuel, round(draw.uniform(70, 200), 1),
                round(stated, 1), round(draw.uniform(1500, 5000)), draw.choice((40, 45, 50, 55)),
            ])  # fmt: skip
    return path


def measured(count: int, *, tariffs: int = 1, workers: int = 1, by_fuel: bool = False, seed: int = 1) -> float:
    """Seconds of the clock that so many homes take."""
    files = [sample_folder() / "tariffs" / f"estuary_{name}.toml" for name in SIX[:tariffs]]
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held)
        rows = table(folder / "homes.csv", count, by_fuel=by_fuel, seed=seed)
        begun = time.perf_counter()
        found = sweep_homes(
            rows, folder / "out", place=PLACE, tariffs=files, workers=workers, rows=max(20, min(500, count // 4))
        )
        took = time.perf_counter() - begun
    assert found.years == count * tariffs, found.missing[:2]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    what = "by fuel" if by_fuel else "by W/K"
    print(
        f"{count:>7,} homes {what}, {tariffs} tariffs, {workers} workers: {took:7.2f} s, {count / took:7.0f} homes/s, "
        f"{found.years / took:7.0f} home-years/s, at most {memory:.0f} MiB in this process"
    )
    return took


def main() -> None:
    """Print the table."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    measured(50)  # weather and prices are prepared
    count, before = 100, 0.0
    while count <= most:
        took = measured(count)
        if before:
            print(f"{'':>8}slope {took / before / 10:.2f} of ten times")
        before, count = took, count * 10
    some = min(most, 2000)
    one = measured(some, tariffs=6)
    print(f"{'':>8}two workers {one / measured(some, tariffs=6, workers=2):.2f} times as fast as one")
    measured(min(most, 200), by_fuel=True)


if __name__ == "__main__":
    main()
