"""Some rows of a table of homes in; every year of theirs, simulated and charged, in one Parquet file out.

A part knows nothing of the others, so that it may be made anywhere, in any order, and again. Cases travel, and never
what the kernel is given. Years that no tariff can tell apart are simulated once and charged by each.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.heat_loss import find_losses, loss_w_per_k
from simkit.assemble.home import heeds_prices, home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.billing.bill import in_units, rounded
from simkit.billing.charge import charge_lanes_months
from simkit.billing.cost import CHARGED_AT_ONCE, fuel_costs
from simkit.case.build import options_of, vary
from simkit.case.case import Case
from simkit.clients.home import at_line, case_of_place, value_of
from simkit.clients.table import Row
from simkit.errors import CaseError, Fault, SimkitError, either
from simkit.kept.memory import memo
from simkit.kernel.inputs import HomeInputs, alike
from simkit.kernel.run import ManyYears, run_homes
from simkit.performance.boundaries import performance
from simkit.profiles.one_home import number_of
from simkit.schema.toml_file import write_whole
from simkit.stock.outcome import MARK
from simkit.stock.together import Loads, gather, packed
from simkit.tariff.tariff import Tariff
from simkit.weather.record import Weather
from simkit.weather.years import weather_years
from simkit.year.comfort import room_level, water_short

LOSS = "home.loss."
HOUSEHOLD = ("household.home_number", "household.profile", "household.file")  # a row that says which it is keeps it
WORDS = ("name", "group", "option", "tariff", "currency")


@dataclass(frozen=True)
class Job:
    """What one part is made from; plain, so that another process or machine can make it.

    Attributes
    ----------
    rows, table
        The rows, and the name of the file they stand in.
    folder
        Where places are looked for.
    place
        Case of the rows that name none: a file, or a sample home.
    options
        Names of options that each home is run with; none runs it as it stands.
    tariffs
        Tariffs that each is charged at, by name; none takes its own.
    weathers
        How many other years are run beside the usual one.
    street
        Whether each home meets a household of its own, and all are added up step by step.
    digest
        Digest of all of this, which tells whether a part that is there is this one.
    """

    rows: tuple[Row, ...]
    table: str
    folder: Path
    place: str
    options: tuple[str, ...]
    tariffs: tuple[tuple[str, Tariff], ...]
    weathers: int
    street: bool = False
    digest: str = ""


@dataclass(frozen=True)
class Made:
    """What became of a part: how many years stand in it, and why rows are missing (line, name, reason)."""

    years: int
    missing: tuple[tuple[int, str, str], ...]


@dataclass(frozen=True, eq=False)
class Asked:
    """One home-year to be simulated and charged: of which row, option, tariff and weather."""

    row: Row
    option: str
    tariff_name: str
    tariff: Tariff
    case: Case
    setting: Setting
    weather: int
    loss: float


def make(job: Job, path: Path) -> Made:
    """Make a part and write it whole.

    Raises
    ------
    CaseError
        Where it can't be written; a row that is wrong stops no other.
    """
    import pyarrow as pa
    from pyarrow import parquet

    years: list[Asked] = []
    homes: list[tuple[Row, list[Case]]] = []
    missing: list[tuple[int, str, str]] = []
    place_of = cache(lambda name: case_of_place(name, job.folder))  # looked up once a part
    for row in job.rows:
        with _missed(row, job, missing):
            homes.append((row, _cases(row, job, place_of)))
    find_losses(case for _, cases in homes for case in cases)
    for row, cases in homes:
        with _missed(row, job, missing):
            years += list(_years(row, job, cases))
    missing.sort()
    loads: Loads | None = {} if job.street else None
    columns = _columns(years, loads)
    said = {"digest": job.digest, "years": len(years), "missing": missing, "together": packed(loads or {})}
    table = pa.table({
        name: pa.array(values).dictionary_encode() if name in WORDS else pa.array(values)
        for name, values in columns.items()
    })  # fmt: skip
    held = BytesIO()
    parquet.write_table(table.replace_schema_metadata({MARK: json.dumps(said).encode()}), held, compression="zstd")
    write_whole(path, held.getvalue())
    return Made(len(years), tuple(missing))


@contextmanager
def _missed(row: Row, job: Job, missing: list[tuple[int, str, str]]) -> Iterator[None]:
    """Note why a row is missing, and go on with the next."""
    try:
        yield
    except SimkitError as error:
        told = at_line(f"{job.table} line {row.line}", error)
        missing.append((row.line, row.name, " ".join(map(str, told.faults))))


def _years(row: Row, job: Job, cases: Sequence[Case]) -> Iterator[Asked]:
    """Every year that is asked of a row."""
    for case in cases:
        loss = loss_w_per_k(case)
        for name, tariff in job.tariffs or ((case.tariff.name, case.tariff),):
            _require_same_money(case, tariff)
            usual = setting_for(case, tariff=tariff)
            for number, weather in enumerate((usual.weather, *_other_years(usual.weather, case, job.weathers))):
                setting = usual if number == 0 else Setting(usual.axis, weather, usual.signal, usual.folder)
                yield Asked(row, case.name if job.options else "", name, tariff, case, setting, number, loss)


def _cases(row: Row, job: Job, place_of: Callable[[str], Case]) -> list[Case]:
    """The home of a row as it stands, or with each option that is asked for."""
    place = place_of(str(row.values.get("place", job.place)))
    said = {key: value_of(value) for key, value in row.values.items() if "." in key}
    if job.street and place.household.one and not any(key in said for key in HOUSEHOLD):
        said["household.home_number"] = number_of(row.name or f"line {row.line}")
    if any(key.startswith(LOSS) for key in said):  # its own building: what the place says of its loss holds no more
        said = {LOSS.rstrip("."): None} | said
    case = vary(place, said) if said else place
    if not job.options:
        return [case]
    known = {option.name: option for option in options_of(case)}
    if unknown := [name for name in job.options if name not in known]:
        allowed = f"is no option of the case {place.name}"
        remedy = f"Its options are {either(list(known))}" if known else "It lists none"
        raise CaseError([Fault("", f'option "{name}"', allowed, remedy) for name in unknown])
    return [known[name] for name in job.options]


def _require_same_money(case: Case, tariff: Tariff) -> None:
    if tariff.currency != case.currency:
        allowed = f"is priced in {tariff.currency}, and the home in {case.currency}"
        raise CaseError(Fault("", f'tariff "{tariff.name}"', allowed, "Name tariffs of the home's own currency"))


@memo
def _of_climate(weather: Weather, count: int, sd_k: float, seed: int) -> tuple[Weather, ...]:
    return tuple(weather_years(weather, count, sd_k=sd_k, seed=seed))


def _other_years(weather: Weather, case: Case, count: int) -> tuple[Weather, ...]:
    return _of_climate(weather, count, case.uncertainty.weather_sd_k, case.uncertainty.seed) if count else ()


def _columns(years: Sequence[Asked], loads: Loads | None) -> dict[str, Any]:
    """Simulate and charge, batch by batch; every column in the order of the years, and what a street imports."""
    order = sorted(range(len(years)), key=lambda k: (years[k].setting.axis.step_minutes, years[k].setting.axis.zone))
    found: list[dict[str, Floats]] = [{}] * len(years)
    for _, of_axis in groupby(order, key=lambda k: years[k].setting.axis):
        for lanes in _batches(years, list(of_axis)):
            _run(years, lanes, found, loads)
    names = found[0] if found else ()
    words = {
        "line": [one.row.line for one in years],
        "name": [one.row.name for one in years],
        "group": [str(one.row.values.get("group", "")).strip() for one in years],
        "option": [one.option for one in years],
        "tariff": [one.tariff_name for one in years],
        "weather": [one.weather for one in years],
        "currency": [one.case.currency for one in years],
        "loss_w_per_k": [one.loss for one in years],
        "home_number": [one.case.household.home_number or 0 for one in years],
    }
    return words | {name: np.array([one[name] for one in found]) for name in names}


Lane = tuple[HomeInputs, list[int]]  # what is simulated once, and the years that it stands for


def _batches(years: Sequence[Asked], places: Sequence[int]) -> Iterator[list[Lane]]:
    """Homes to be simulated, so many at a time; years that differ in nothing but their charges share one."""
    lanes: list[Lane] = []
    for _, same_home in groupby(places, key=lambda k: (years[k].row.line, years[k].option)):
        own: list[Lane] = []
        for k in same_home:
            one = years[k]
            same = () if heeds_prices(one.case) else (of for _, of in own if years[of[0]].weather == one.weather)
            if (of_other_prices := next(iter(same), None)) is not None:
                of_other_prices.append(k)
                continue
            inputs = home_inputs(one.case, one.setting, one.loss)
            shared = next((of for known, of in own if alike(known, inputs)), None)
            if shared is None:
                own.append((inputs, [k]))
            else:
                shared.append(k)
        lanes += own
        while len(lanes) >= CHARGED_AT_ONCE:
            yield lanes[:CHARGED_AT_ONCE]
            lanes = lanes[CHARGED_AT_ONCE:]
    if lanes:
        yield lanes


def _run(years: Sequence[Asked], lanes: Sequence[Lane], found: list[dict[str, Floats]], loads: Loads | None) -> None:
    """Simulate some homes, charge them by each tariff that asks for them, and put what came out in its place."""
    axis = years[lanes[0][1][0]].setting.axis
    made = run_homes([inputs for inputs, _ in lanes], axis.steps, axis.hours, threads=1)
    bought, sold = (made.flow(name) * axis.hours for name in ("grid_import", "grid_export"))
    energy = _energy(made)
    if loads is not None:
        each = ((years[k], lane) for lane, (_, of) in enumerate(lanes) for k in of)
        usual = [(one.option, one.tariff_name, lane) for one, lane in each if not one.weather]
        gather(loads, axis, made.flow("grid_import"), usual)
    charged: dict[tuple[Tariff, str | None], list[tuple[int, int]]] = {}
    for lane, (_, of) in enumerate(lanes):
        for k in of:
            charged.setdefault((years[k].tariff, years[k].case.site.country), []).append((k, lane))
    for (tariff, country), asked in charged.items():
        at = [lane for _, lane in asked]
        months = charge_lanes_months(tariff, axis, bought[:, at], sold[:, at], country=country)
        bills = in_units(rounded(months, tariff.currency).sum(axis=0), tariff.currency)
        for (k, lane), bill in zip(asked, bills, strict=True):
            fuel, standing, used = (
                float(part[0])
                for part in fuel_costs(years[k].case, np.atleast_1d(made.totals.fuel[lane]), len(axis.dates))
            )
            money = {"cost": bill + fuel + standing, "electricity_cost": bill, "fuel_cost": fuel + standing}
            found[k] = money | {"fuel_kwh": used} | {name: values[lane] for name, values in energy.items()}


def _energy(made: ManyYears) -> dict[str, Floats]:
    """Energy and comfort of each home, (homes,)."""
    t, after = made.totals, made.after
    return {
        "import_kwh": t.grid_import,
        "export_kwh": t.grid_export,
        "heat_kwh": t.space_heat + t.hot_water,
        "spf_h4": np.asarray(performance(t, None).h4),
        "peak_kw": after.peak_import_kw,
        "min_room_c": after.coldest_room_c,
        "degree_hours_below": t.below_k,
        "rooms_level": room_level(t.cool, after.longest_cold_h, t.under_18_wanted),
        "water_short": water_short(t.tap_water_unmet, t.tap_water + t.tap_water_unmet),
    }
