"""Nothing in; what the kernel and the road through it cost, beside what was promised, out. Run by hand: no timed test.

    python tests/bench/run.py                  # a table, in four minutes or so
    python tests/bench/run.py --write          # the same, and into README.md of this folder
    python tests/bench/run.py --tiny           # every measurement once, on a few steps: that it still runs

Everything is measured one after the other, in processor time, the best of several: so that what else the machine does
shows least. Where threads share the work it is the time of all of them, which no clock on the wall could pass.
"""

from __future__ import annotations

import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

import long_table  # noqa: E402
from homes import NAMES, SAMPLES, inputs, sample, setting  # noqa: E402
from over_homes import laws_over_homes  # noqa: E402

from simkit.case.build import Case, vary  # noqa: E402
from simkit.kept import disk  # noqa: E402
from simkit.kernel.inputs import HomeInputs, pack, pack_one  # noqa: E402
from simkit.kernel.kernel import LANES, many_homes, one_home  # noqa: E402
from simkit.physics.records import Flows, Levels, Now  # noqa: E402
from simkit.physics.step import step  # noqa: E402
from simkit.uncertainty.sampled_years import sampled_home, sampled_years  # noqa: E402
from simkit.year.simulate import simulate  # noqa: E402

BEGIN, END = "<!-- measured: begin (written by tests/bench) -->", "<!-- measured: end -->"
HOMES_IN_NUMPY = 1024
spreads: list[float] = []  # how much longer the middle run of several took than the best
disk.to_disk = False  # what is measured is work; the processes that are begun keep what they do


@dataclass(frozen=True)
class Row:
    """One measurement: what, how much in which unit, and what was promised."""

    what: str
    value: float
    unit: str
    promise: str
    holds: bool | None

    @property
    def cells(self) -> tuple[str, str, str]:
        digits = 0 if self.value >= 100 else 1 if self.value >= 10 else 2 if self.value >= 0.01 else None
        number = f"{self.value:.1e}" if digits is None else f"{self.value:,.{digits}f}"
        kept = "" if self.holds is None else "" if self.holds else " (missed here)"
        return self.what, f"{number} {self.unit}".strip(), self.promise + kept


@dataclass(frozen=True)
class Effort:
    """How often to measure, and on how much."""

    times: int
    plain_steps: int
    numpy_steps: int
    processes: int


FULL, TINY = Effort(15, 2000, 60, 3), Effort(1, 10, 2, 0)


def best(work: Callable[[], object], times: int) -> float:
    """Least processor time of several runs [s]; one more beforehand, which compiles and fills caches."""
    work()
    spent = []
    for _ in range(times):
        began = time.process_time()
        work()
        spent.append(time.process_time() - began)
    if times > 1:
        spreads.append(float(np.median(spent)) / min(spent))
    return min(spent)


def everything_on() -> Case:
    """The canal home with panels and a battery: the case that the kernel's promise is meant for."""
    battery = {"usable_kwh": 8.0, "charge_kw": 3.0, "discharge_kw": 3.0, "fill_below_price": 0.3}
    roof = sample("canal_terrace", "One price, panels on the roof")
    return vary(roof, {"battery": battery, "controls.flow": "compensated"})


def kernel_once(home: HomeInputs, steps: int, hours: float) -> Callable[[], None]:
    """One home's year, every step recorded, without its run-in."""
    run, table = one_home(), pack_one(home, steps)
    constants, totals = np.array(home.home, dtype=float), np.zeros(len(Flows._fields))
    trace = np.empty((steps, len(Flows._fields) + len(Levels._fields)))
    return lambda: run(table, constants, np.array(home.start, dtype=float), totals, trace, hours, steps, 0, True)


def blocks_at_once(home: HomeInputs, steps: int, hours: float, blocks: int) -> Callable[[], None]:
    """Blocks of 16 unlike homes on two threads, without their run-in."""
    unlike = [replace(home, home=home.home._replace(efficiency_scale=0.8 + 0.02 * i)) for i in range(LANES)]
    packed, run = pack(unlike, steps), many_homes()
    pool, alike, places = ThreadPoolExecutor(2), np.ones(len(Now._fields), dtype=np.bool_), np.arange(LANES)

    def one(_: int) -> None:
        totals, grid = np.zeros(len(Flows._fields) * LANES), np.empty((2, LANES, steps))
        state, constants = packed.state.ravel(), packed.constants.ravel()
        run(packed.table, packed.rows, alike, constants, state, totals, grid, places, hours, 0, True)

    return lambda: list(pool.map(one, range(blocks))) and None


def plain(home: HomeInputs, steps: int, hours: float) -> Callable[[], None]:
    """The same laws as a plain Python loop over one home's steps."""

    def loop() -> None:
        state = home.start
        columns = [home.series[name] for name in Now._fields]
        for k in range(steps):
            state, _, _ = step(home.home, state, Now(*[float(column[k]) for column in columns]), hours)

    return loop


def in_numpy(home: HomeInputs, steps: int, hours: float) -> Callable[[], None]:
    """The same laws on NumPy arrays over a thousand homes."""
    laws = laws_over_homes()
    wide = np.ones(HOMES_IN_NUMPY)
    many = laws["Home"](*(np.asarray(value) * wide for value in home.home))
    start = laws["State"](*(np.asarray(0.0 if np.isinf(value) else value) * wide for value in home.start))

    def loop() -> None:
        state = start
        for k in range(steps):
            now = laws["Now"](*(home.series[name][k] * wide for name in Now._fields))
            state, _, _ = laws["step"](many, state, now, hours)

    return loop


def process(*words: str, times: int) -> float:
    """Least processor time of several whole processes [s], after one that warms the caches."""
    environment, spent = {**os.environ, "PYTHONPATH": str(ROOT)}, []
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # as of a user, whose kit is compiled to bytecode once
    for _ in range(times + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], check=True, capture_output=True, cwd=ROOT, env=environment)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(spent[1:])


def measured(effort: Effort) -> list[Row]:
    """Every measurement beside its promise."""
    case = everything_on()
    around, home = setting(case), inputs(case)
    half = inputs(case, 30)
    steps, hours = (around.axis.steps, around.axis.hours) if effort is FULL else (48, 1.0)
    if effort is TINY:
        home, half = _cut(home, 48), _cut(half, 96)
    rows: list[Row] = []

    def say(what: str, value: float, unit: str, promise: str, holds: bool | None) -> None:
        rows.append(Row(what, value, unit, promise, holds))

    one = best(kernel_once(home, steps, hours), effort.times)
    say("one home, one hourly year, everything on, kernel alone", 1e3 * one, "ms", "at most 1.2 ms", 1e3 * one <= 1.2)
    two = best(kernel_once(half, 2 * steps, 0.5 * hours), effort.times)
    say("the same year half-hourly, against hourly", two / one, "times", "at most 2.2 times", two / one <= 2.2)
    blocks = 12
    many = 2.0 * blocks * LANES / best(blocks_at_once(home, steps, hours, blocks), effort.times)
    say(
        "homes on 16 lanes and two threads, kernel alone",
        many,
        "home-years/s",
        "at least 5,000, aim 10,000",
        many >= 5000,
    )
    slow = best(plain(home, effort.plain_steps, hours), 1) / effort.plain_steps
    say("the same laws as a plain Python loop, against the kernel", slow / (one / steps), "times", "at least 400 times", slow / (one / steps) >= 400)  # fmt: skip
    arrays = best(in_numpy(home, effort.numpy_steps, hours), 1) / effort.numpy_steps / HOMES_IN_NUMPY
    say(
        "the same laws on NumPy arrays over 1,024 homes, against two threads of lanes",
        arrays * steps * many,
        "times",
        "",
        None,
    )
    if effort is TINY:
        return rows
    hourly = best(lambda: simulate(case, step_minutes=60), effort.times)
    say(
        "simulate an hourly year, run-in included, inputs reused",
        1e3 * hourly,
        "ms",
        "at most 6 ms",
        1e3 * hourly <= 6.0,
    )
    hourly_case = vary(case, {"step_minutes": 60})
    ranged = best(lambda: sampled_years(sampled_home(hourly_case)), 5)
    say("its range: 64 lanes, run-in and bills included", 1e3 * ranged, "ms", "at most 80 ms", 1e3 * ranged <= 80.0)
    rows += of_tables()
    left = max(abs(v) for name in NAMES for _, _, option in sample(name).options() for v in simulate(option).balance().values())  # fmt: skip
    say("worst energy balance of the samples", left, "kWh a year", "at most 1e-6", left <= 1e-6)
    light = process("-c", "import simkit", times=effort.processes) - process("-c", "pass", times=effort.processes)
    say("import simkit", light, "s", "at most 0.7 s", light <= 0.7)
    flagship = str(SAMPLES / "estuary_bungalow" / "case.toml")
    for words, most in ((("run", flagship, "--no-range"), 0.9), (("run", flagship), 1.5), (("compare", flagship), 1.6)):
        whole = process("-m", "simkit.cli", *words, times=effort.processes)
        asked = " ".join(word for word in words if word != flagship)
        say(
            f"simkit {asked} of the flagship, second time, whole process",
            whole,
            "s",
            f"at most {most} s",
            whole <= most,
        )
    return rows


def of_tables() -> list[Row]:
    """Tables of unlike homes to Parquet, in this process, by processor time; and two processes against one, by the clock."""
    long_table.measured(150, seed=2)  # weather and prices are prepared
    rows = []
    for what, count, tariffs, by_fuel, most in (
        ("homes of a table in W/K", 500, 1, False, 1000.0), ("home-years of a table at six tariffs", 150, 6, False, 4000.0),
        ("homes of a table by fuel", 150, 1, True, 150.0),
    ):  # fmt: skip
        began = time.process_time()
        long_table.measured(count, tariffs=tariffs, by_fuel=by_fuel)
        rate = count * tariffs / (time.process_time() - began)
        rows.append(Row(f"{what}, to Parquet with bills", rate, "a second", f"at least {most:,.0f}", rate >= most))
    both = long_table.measured(1000, seed=3) / long_table.measured(1000, workers=2, seed=4)
    rows.append(Row("two processes against one, 1,000 homes in W/K", both, "times", "at least 1.8", both >= 1.8))
    return rows


def machine() -> str:
    """What it ran on, and how far apart runs lay."""
    info = Path("/proc/cpuinfo")
    lines = info.read_text(encoding="utf-8").splitlines() if info.exists() else []
    name = next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())
    versions = ", ".join(f"{package} {version(package)}" for package in ("numba", "numpy", "pandas", "pyarrow"))
    return (
        f"On {os.cpu_count()} shared cores ({name}) with Python {platform.python_version()}, {versions}, in processor time, "
        f"the best of several runs, of which the middle one took {min(spreads):.2f} to {max(spreads):.2f} times as long:"
    )


def _cut(home: HomeInputs, steps: int) -> HomeInputs:
    return replace(home, series={name: home.series[name][:steps] for name in Now._fields})


def table_of(rows: list[Row]) -> str:
    """The rows as a Markdown table."""
    lines = ["| what | measured | promised |", "|---|---|---|"]
    return "\n".join([*lines, *(f"| {' | '.join(row.cells)} |" for row in rows)])


def main(words: list[str]) -> int:
    rows = measured(TINY if "--tiny" in words else FULL)
    table = table_of(rows)
    print(table)
    if "--write" in words:
        page = Path(__file__).parent / "README.md"
        before, _, rest = page.read_text(encoding="utf-8").partition(BEGIN)
        _, _, after = rest.partition(END)
        page.write_text(f"{before}{BEGIN}\n{machine()}\n\n{table}\n{END}{after}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
