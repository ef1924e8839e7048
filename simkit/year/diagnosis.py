"""Nothing in; this installation, its machine and whether it still finds the results stored with it out.

For a report of a fault: what is installed, where compiled code is kept, how fast it is here, and the sample homes
simulated anew beside what they came to where this version was made.
"""

from __future__ import annotations

import os
import platform
import sys
import time
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, requires, version
from pathlib import Path
from typing import ClassVar

import pandas as pd

from simkit.answered import Answered
from simkit.case.load import read_case
from simkit.case.sample_homes import CASE_FILE, SAMPLE_DATA, shipped_folder
from simkit.kept.disk import cache_home
from simkit.kernel.compiled import cache_folder, settings
from simkit.year.simulate import simulate
from simkit.year.year import Year

PACKAGE = "home-heat-simkit"
STORED = Path(__file__).with_suffix(".toml")
CLOSE = 1e-6  # own: of a figure; other processors and compilers round a sum of 10,000 steps otherwise by far less
FIGURES: Mapping[str, Callable[[Year], float]] = {
    "Bill of the year": lambda year: year.bill.total,
    "Electricity bought [kWh]": lambda year: year.totals["import"],
    "Heat into the rooms [kWh]": lambda year: year.totals["space_heat"],
}


@dataclass(frozen=True, eq=False)
class Diagnosis(Answered):
    """What an installation is and whether it computes what it should.

    Attributes
    ----------
    versions
        simkit, Python and every library that it needs, by name; “not installed” where one is missing.
    machine
        System, processor and its cores, by name.
    cache
        Where compiled code is kept, in words.
    speeds
        Milliseconds by what was timed, the best of three.
    table
        A row per sample home and figure: ``stored``, ``got``, ``agrees``.
    """

    answered_by: ClassVar[str] = "simkit.answers.kit.diagnosis:diagnosis_answer"

    versions: Mapping[str, str]
    machine: Mapping[str, str]
    cache: str
    speeds: Mapping[str, float]
    table: pd.DataFrame

    @property
    def sound(self) -> bool:
        """Whether every stored result was found again."""
        return bool(self.table["agrees"].all())


def diagnose() -> Diagnosis:
    """Look at this installation, and simulate the sample homes anew.

    Returns
    -------
    Diagnosis
        Some seconds of work; the first time the kernel is compiled as well.

    Raises
    ------
    DataError
        Where the sample homes did not come with this installation.
    """
    years = {name: simulate(read_case(shipped_folder(SAMPLE_DATA) / name / CASE_FILE)) for name in stored_results()}
    return Diagnosis(_versions(), _machine(), _cache(), _speeds(next(iter(years.values()))), _found_again(years))


def stored_results() -> dict[str, dict[str, float]]:
    """What the sample homes came to where this version was made, by name and figure."""
    with STORED.open("rb") as file:
        return tomllib.load(file)


def _found_again(years: Mapping[str, Year]) -> pd.DataFrame:
    """The stored results beside what was found."""
    rows = {
        (year.case.name, figure): (stored_results()[name][figure], found(year))
        for name, year in years.items()
        for figure, found in FIGURES.items()
    }
    table = pd.DataFrame(list(rows.values()), pd.MultiIndex.from_tuples(rows), columns=["stored", "got"])
    table["agrees"] = (table["got"] - table["stored"]).abs() <= CLOSE * table["stored"].abs()
    return table


def _versions() -> dict[str, str]:
    needed = [need for need in requires(PACKAGE) or [] if "extra ==" not in need]
    names = [need.split(">")[0].split(";")[0].strip() for need in needed]
    return {"simkit": _version(PACKAGE), "Python": platform.python_version()} | {one: _version(one) for one in names}


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def _machine() -> dict[str, str]:
    return {
        "System": platform.platform(),
        "Processor": platform.processor() or platform.machine(),
        "Cores": str(os.cpu_count()),
        "Text": sys.stdout.encoding,
    }


def _cache() -> str:
    if settings.DISABLE_JIT:
        return "nothing is compiled: NUMBA_DISABLE_JIT is set"
    folder = cache_folder()
    if folder is None:
        return f"compiled anew in each process: nothing can be written in {cache_home()}"
    size = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
    return f"{folder}, {size / 2**20:.1f} MiB"


def _speeds(year: Year) -> dict[str, float]:
    return {
        "A year of one home, inputs reused": _best(lambda: simulate(year.case)),
        "A range of 64 years": _best(lambda: simulate(year.case).range()),
    }


def _best(work: Callable[[], object]) -> float:
    """The shortest of three goes [ms]."""
    times = []
    for _ in range(3):
        before = time.perf_counter()
        work()
        times.append(1000.0 * (time.perf_counter() - before))
    return min(times)
