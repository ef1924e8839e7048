"""Promises of the meter, measured: `python tests/bench/meter.py [homes]` prints speeds and coverages, row by row.

Speeds: 35,040 half-hours read and checked in every layout (≤ 0.3 s), a fit of forty days with 20,000 draws (≤ 15 s).
Coverages of others, by `python tests/bench/meter.py 24 strangers real`: homes that obey another model than the kit's
(tests/meter/strangers.py), and a real house (tests/meter/real_house.py). Fits in a row in flat memory, by
`python tests/bench/meter.py 100 memory`.
Coverages on invented homes, whose truth is known: 90 % intervals of the unknowns should hold 85 to 95 %; a year projected
from January alone should lie inside its 10–90 range at least 80 % of the time. Their truth is drawn from the priors
themselves (simkit/meter/fitting/parameters.py), cut at 2.2 standard deviations; beyond what the fit knows of, their people use
electricity and water irregularly, hold the rooms 0.15 K apart from day to day, are away now and then, and their meters
err (tests/meter/invented.py). Times are processor times.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from meter.drifting import notices
from meter.homes import days_of, flagship, forty, twin
from meter.invented import invent
from meter.real_house import hours_of, pooled
from meter.strangers import degree_day_home, five_node_home
from meter.written import LAYOUTS, ZONE, put, truth

from simkit.case.build import options_of, vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.projection import project
from simkit.meter.reading.reading import read_meter

ALL = ("heat_pump_kwh", "heat_kwh", "import_kwh", "room_c")


def reading() -> None:
    """Best of three for each layout."""
    s = truth(("2024-01-01", "2026-01-01")).iloc[:35_040]
    with tempfile.TemporaryDirectory() as folder:
        for layout in LAYOUTS:
            path = put(Path(folder), layout(s))
            times = []
            for _ in range(3):
                began = time.process_time()
                read_meter(path, zone=ZONE)
                times.append(time.process_time() - began)
            print(f"read 35,040 half-hours, {layout.__name__}: {min(times):.2f} s (promise 0.3)")


def fitting() -> None:
    """One fit of forty days."""
    made = twin()
    fit(flagship(), forty(), weather=made.weather, draws=640)
    began = time.process_time()
    fit(flagship(), forty(), weather=made.weather)
    print(f"fit forty days of half-hours, 20,000 draws: {time.process_time() - began:.1f} s (promise 15)")


def coverage(homes: int, meters: tuple[str, ...]) -> None:
    """Share of homes whose truth lies inside the 90 % interval of each unknown."""
    inside: dict[str, list[bool]] = {}
    for number in range(homes):
        made = invent(flagship(), 5000 + number, "2025-01-10", "2025-02-19", meters=meters)
        table = fit(flagship(), made.readings, weather=made.weather).table
        for name, row in table.to_dict("index").items():
            inside.setdefault(str(name), []).append(bool(row["low"] <= made.truth[str(name)] <= row["high"]))
    shares = ", ".join(f"{name} {100 * np.mean(found):.0f} %" for name, found in inside.items())
    print(f"coverage of 90 % intervals, {homes} homes, {'+'.join(meters)}: {shares} (promise 85 to 95)")


def other_homes(homes: int) -> None:
    """Coverage where a boiler burns oil, and where panels and a battery send electricity out."""
    roofed = options_of(read_case(sample_file("canal_terrace")))[-1]
    battery = {"battery.usable_kwh": 6.0, "battery.charge_kw": 3.0, "battery.discharge_kw": 3.0}
    for words, case, meters in (
        ("oil boiler", options_of(flagship())[0], ("fuel_kwh",)),
        ("panels and battery", vary(roofed, battery | {"battery.store_surplus": True}), ("import_kwh", "export_kwh")),
    ):
        inside: dict[str, list[bool]] = {}
        for number in range(homes):
            made = invent(case, 9000 + number, "2025-01-10", "2025-02-19", meters=meters)
            table = fit(case, made.readings, weather=made.weather).table
            for name, row in table.to_dict("index").items():
                inside.setdefault(str(name), []).append(bool(row["low"] <= made.truth[str(name)] <= row["high"]))
        shares = ", ".join(f"{name} {100 * np.mean(found):.0f} %" for name, found in inside.items())
        print(f"coverage of 90 % intervals, {homes} homes, {words}: {shares}")


def drifts(homes: int) -> None:
    """False and true notices of an account, three months after its fit."""
    told = [[notice is not None for notice in notices(number, (0.0, 0.15, 0.3))] for number in range(homes)]
    quiet, some, more = np.sum(told, axis=0)
    print(f"notices of a drift, {homes} homes: {quiet} left alone, {some} with 15 % more heating, {more} with 30 %")


def january(homes: int) -> None:
    """Share of homes whose year lies inside the range projected from January."""
    inside, apart = [], []
    for number in range(homes):
        made = invent(flagship(), 7000 + number, "2025-01-01", "2026-01-01")
        found = fit(flagship(), days_of(made.readings, 0, 31), weather=made.weather, draws=8000)
        year, true = project(found).year_kwh, float(made.readings.frame["import_kwh"].sum())
        inside.append(year.low <= true <= year.high)
        apart.append(year.middle / true - 1.0)
    print(
        f"year from January alone, {homes} homes: inside 10–90 {100 * np.mean(inside):.0f} % (promise 80), "
        f"middle off by {100 * np.median(np.abs(apart)):.1f} % in the median"
    )


def strangers(homes: int) -> None:
    """Heat loss, days and totals of homes that obey another model than the kit's, in their 90 % ranges."""
    after = ("2025-02-27", "2025-03-27")
    for words, kind in (("degree-day homes", degree_day_home), ("five-node homes", five_node_home)):
        loss, off, days, totals = [], [], [], []
        for number in range(homes):
            made = kind(number)
            found = fit(flagship(), made.part(0, 42), weather=made.weather, draws=1280, seed=number)
            row = found.table.loc["loss_w_per_k"]
            loss.append(row["low"] <= made.loss_w_per_k <= row["high"])
            off.append(row["middle"] / made.loss_w_per_k - 1.0)
            true = made.readings.frame["import_kwh"].to_numpy()[42:]
            ranges = found.predict(*after, level=0.9)
            days.append(np.mean((ranges["low"] <= true) & (true <= ranges["high"])))
            total = found.predict_total(*after, level=0.9)
            totals.append(total.low <= true.sum() <= total.high)
        print(
            f"{words}, 90 % ranges: heat loss in {sum(loss)} of {homes}, {100 * np.mean(off):+.0f} % in the mean; "
            f"{100 * np.mean(days):.0f} % of 28 days; {sum(totals)} totals (promise 85 to 95 %)"
        )


def real_house() -> None:
    """Every six-week window of a real house, where SIMKIT_OPEN_DATA names its folder."""
    folder = os.environ.get("SIMKIT_OPEN_DATA")
    if not folder:
        print("a real house: SIMKIT_OPEN_DATA names no folder, nothing was tried")
        return
    made = pooled(hours_of(folder), every=1, draws=2000)
    share = made["days"] / made["days"].sum()
    of = {name: float((made[name] * share).sum()) for name in made.columns}
    print(
        f"a real house, {len(made)} windows, 80 % ranges: {100 * of['inside']:.1f} % of the days (a line's "
        f"{100 * of['line_inside']:.1f}; promise 75 to 85), {made['total_inside'].sum():.0f} totals (a line's "
        f"{made['line_total_inside'].sum():.0f}; promise 70 %), a day {of['error']:.2f} kWh off (a line "
        f"{of['line_error']:.2f}), {of['width'] / of['line_width']:.2f} times a line's width (promise 1.2)"
    )


def memory(homes: int) -> None:
    """Fits in a row, each of a home and weather of its own: what the process holds after each fifth of them."""
    for number in range(homes):
        made = degree_day_home(number)
        fit(flagship(), made.part(0, 21), weather=made.weather, draws=640, seed=number)
        if (number + 1) % max(homes // 5, 1) == 0:
            pages = int(Path("/proc/self/statm").read_text().split()[1])
            print(f"{number + 1} fits in a row: {pages * resource.getpagesize() / 1e6:.0f} MB held", flush=True)


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    parts = sys.argv[2:] or [
        "reading",
        "fitting",
        "coverage",
        "all",
        "other_homes",
        "january",
        "drifts",
        "strangers",
        "real",
    ]
    for part in parts:
        {
            "reading": reading,
            "fitting": fitting,
            "coverage": lambda: coverage(count, ("import_kwh",)),
            "all": lambda: coverage(count, ALL),
            "other_homes": lambda: other_homes(count),
            "january": lambda: january(count),
            "drifts": lambda: drifts(count),
            "strangers": lambda: strangers(count),
            "real": real_house,
            "memory": lambda: memory(count),
        }[part]()
