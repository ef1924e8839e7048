"""Nothing in; how long repricing, reading prices, ranking and dragging take, printed, out. Run by hand: no timed test.

Promises: one simulated year repriced on 200 tariffs in 0.5 s, each laid for the first time; a price file of 17,520 or
35,040 rows read in 0.3 s; a drag of the tariff panel under 150 ms.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
import pandas as pd
from tariffs import band, tariff

from simkit.billing.charge import charge
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.clock import TimeAxis
from simkit.decide.tariff.ranking import rank_tariffs
from simkit.panels.tariffs.model import TariffTrial
from simkit.readers.prices import prices_on
from simkit.tariff.tariff import PriceSeries
from simkit.year.simulate import simulate

SAMPLES = Path(__file__).parents[2] / "sample_data"
TARIFFS, RUNS = 200, 5


def timed(work: Callable[[int], object], runs: int = RUNS) -> tuple[float, float]:
    """Best wall and processor time of several runs, each told its number [s]."""
    walls, works = [], []
    for number in range(runs):
        wall, worked = time.perf_counter(), time.process_time()
        work(number)
        walls.append(time.perf_counter() - wall)
        works.append(time.process_time() - worked)
    return min(walls), min(works)


def told(what: str, promise: str, found: tuple[float, float]) -> None:
    """Print one line."""
    print(f"{what}: {found[0]:.3f} s, {found[1]:.3f} s of processor time ({promise})")


def repricing(step: int) -> None:
    """Charge one simulated year on tariffs that were never laid before, every run on new ones."""
    case = vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), {"step_minutes": step})
    year = simulate(case, step_minutes=step)
    bought = year.flow("grid_import") * year.axis.hours
    fresh = [
        [
            tariff(
                band("Night", 0.15 + 1e-5 * number + 1e-3 * run, "23:00", "08:00"),
                band("Day", 0.36, "08:00", "17:00"), band("Peak", 0.44, "17:00", "23:00"), standing_per_day=0.8,
            )
            for number in range(TARIFFS)
        ]
        for run in range(RUNS)
    ]  # fmt: skip
    charge(tariff(band("All", 0.3, "00:00", "24:00")), year.axis, bought)
    found = timed(lambda run: [charge(one, year.axis, bought) for one in fresh[run]])
    told(f"{TARIFFS} tariffs on one year of {year.axis.steps:,} steps", "promise: hourly within 0.5 s", found)


def reading(minutes: int) -> None:
    """Read a price file and lay it on its axis; every run on a file with another stamp."""
    axis = TimeAxis("Europe/Copenhagen", 2025, minutes)
    prices = 90 + 60 * np.sin(np.arange(axis.steps) / 7)
    table = pd.DataFrame({"time": axis.utc.strftime("%Y-%m-%dT%H:%MZ"), "EUR": prices.round(2)})
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "prices.csv"
        table.to_csv(path, index=False)
        rule = PriceSeries(name="Market", file=str(path), per="MWh", interval_minutes=minutes, clock="utc")

        def read(run: int) -> None:
            os.utime(path, ns=(run + 1, run + 1))
            prices_on(axis, rule, currency="EUR")

        told(f"a price file of {axis.steps:,} rows", "promise: within 0.3 s", timed(read))


def main() -> None:
    """Time all of it."""
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    for step in (60, 30):
        repricing(step)
    for minutes in (30, 15):
        reading(minutes)
    car = {"km_per_week": 220.0, "charger_kw": 7.4, "from": "18:30", "to": "07:30", "charging": "at_once"}
    home = vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), {"car": car, "home.loss": {"w_per_k": 215.0}})
    files = sorted((SAMPLES / "tariffs").glob("estuary_*.toml"))
    rank_tariffs(home, files)
    told(
        "six tariffs ranked, moves searched, quarter-hours", "no promise", timed(lambda _: rank_tariffs(home, files), 3)
    )
    trial = TariffTrial(home, [path for path in files if "peak" not in path.stem])
    trial.set("charging", "by_price")
    drag = timed(lambda run: (trial.set("water_from", f"{run + 1:02d}:00"), trial.table_html()))
    told("a drag of the tariff panel without its picture, half-hours", "promise: whole drag within 0.15 s", drag)


if __name__ == "__main__":
    main()
