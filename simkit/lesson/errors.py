"""A pupil in; a calculation of sixteen lines out, ten of which hold an error that was planted there, and the key.

Each line stands on its own, so that an error is never carried on. Each can be right or wrong: the pupil's number says
which, so that no two neighbours look for the same ones.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from simkit.kept.memory import memo
from simkit.lesson import figures
from simkit.lesson.pupil import LOWER_K, SEED, WARM_C, Pupil, pupil
from simkit.physics.constants import KELVIN
from simkit.physics.heat_pump import carnot

PLANTED = 10
BASE_C = 15.5  # the base of UK tables of degree-days
JANUARY_DAYS, YEAR_DAYS, MONTHS = 31, 365, 12


@dataclass(frozen=True)
class Step:
    """One line of a calculation that can be right or wrong.

    Attributes
    ----------
    said
        What it says, up to its result.
    right, wrong
        The result, and the one that a usual slip gives.
    why
        What the slip is.
    """

    said: str
    right: str
    wrong: str
    why: str


@dataclass(frozen=True)
class Line:
    """One line as a pupil reads it; `why` is empty where it is right."""

    number: int
    text: str
    right: str
    why: str = ""


@memo
def calculation(number: int) -> tuple[Line, ...]:
    """The calculation of a pupil, with ten errors in it.

    Parameters
    ----------
    number
        The pupil's number.
    """
    steps = tuple(_steps(pupil(number)))
    wrong = set(np.random.default_rng((SEED, number, 3)).permutation(len(steps))[:PLANTED].tolist())
    return tuple(
        Line(
            k + 1,
            f"{step.said} {step.wrong if k in wrong else step.right}.",
            step.right,
            step.why if k in wrong else "",
        )
        for k, step in enumerate(steps)
    )


def wrong_lines(number: int) -> frozenset[int]:
    """Numbers of the lines that hold an error."""
    return frozenset(line.number for line in calculation(number) if line.why)


def lines_in(given: str) -> frozenset[int] | None:
    """Numbers of lines that somebody wrote: ``2, 5 and 7``; None where something else stands there."""
    parts = re.sub(r"\band\b|[,;&\s]+", " ", given).split()
    if not all(part.isdecimal() and len(part) < 4 for part in parts):
        return None
    return frozenset(map(int, parts))


def found(number: int, named: frozenset[int]) -> tuple[int, int]:
    """How many of the errors were found, and how many lines were accused that are right."""
    wrong = wrong_lines(number)
    return len(named & wrong), len(named - wrong)


def marks(number: int, named: frozenset[int]) -> int:
    """One mark an error that was found, one off for a right line that was accused; none in all at least."""
    hit, missed = found(number, named)
    return max(0, hit - missed)


def _steps(home: Pupil) -> Iterator[Step]:
    yield from _of_heat(home)
    yield from _of_fuel(home)
    yield from _of_prices(home)
    yield from _of_savings(home)


def _of_heat(home: Pupil) -> Iterator[Step]:
    n, case, year = home.written.number, home.case, home.steady
    cold, backup = case.site.design_outdoor_c, case.heat_pump.backup_kw if case.heat_pump else 0.0
    heat, taken = figures.heat_kwh(year), figures.taken_kwh(year)
    yield Step(
        f"The home loses {n(year.loss_w_per_k)} W for each kelvin between indoors and outdoors. At {n(WARM_C, 1)} °C "
        "indoors "
        f"and {n(cold)} °C outdoors that is", f"{n(year.loss_w_per_k * (WARM_C - cold) / 1000, 2)} kW",
        f"{n(year.loss_w_per_k * (WARM_C + cold) / 1000, 2)} kW", "Below zero counts on top: the difference is larger.",
    )  # fmt: skip
    yield Step(
        f"The electric heater of {n(backup)} kW runs for 4 hours on the coldest night. It uses", f"{n(4 * backup)} kWh",
        f"{n(backup / 4, 2)} kWh", "Energy is power times hours; here it was divided by them.",
    )  # fmt: skip
    yield Step(
        f"The heat pump makes {n(heat)} kWh of heat of {n(taken)} kWh of electricity. Heat for each of electricity:",
        n(heat / taken, 2), n(taken / heat, 2), "Turned round: a heat pump gives more heat than it takes.",
    )  # fmt: skip
    cold_month, mild = figures.in_month(year, 1), figures.in_month(year, 7)
    both = (cold_month.heat + mild.heat) / (cold_month.taken + mild.taken)
    mean = (cold_month.heat / cold_month.taken + mild.heat / mild.taken) / 2
    yield Step(
        f"January: {n(cold_month.heat)} kWh of heat of {n(cold_month.taken)} kWh of electricity. July: "
        f"{n(mild.heat)} kWh of "
        f"{n(mild.taken)} kWh. Heat for each of electricity, both together:", n(both, 2), n(mean, 2),
        "A mean of two ratios is not the ratio of the sums.",
    )  # fmt: skip
    yield Step(
        f"A direct electric heater would take for those {n(heat)} kWh of heat", f"{n(heat)} kWh of electricity",
        f"{n(heat * taken / heat)} kWh of electricity", "That is what the heat pump takes; a direct heater gives 1 "
        "of 1.",
    )  # fmt: skip


def _of_fuel(home: Pupil) -> Iterator[Step]:
    n, w, fuel, boiler = home.written.number, home.written, home.case.fuel, home.case.boiler
    assert fuel is not None  # the class home has both
    assert boiler is not None
    burnt = sum(home.on_oil.fuel_kwh.values())
    litres = burnt / fuel.kwh_per_unit
    yield Step(
        f"The old boiler burns {n(litres)} litres of oil a year, of {n(fuel.kwh_per_unit, 2)} kWh each. That is",
        f"{n(litres * fuel.kwh_per_unit)} kWh of fuel", f"{n(litres / fuel.kwh_per_unit)} kWh of fuel",
        "Kilowatt-hours a litre are multiplied by litres, not divided into them.",
    )  # fmt: skip
    yield Step(
        f"Of 100 kWh of fuel it gives the rooms {w.share(boiler.space_efficiency)} as heat. For 1,000 kWh of heat it "
        "burns",
        f"{n(1000 / boiler.space_efficiency)} kWh of fuel", f"{n(1000 * boiler.space_efficiency)} kWh of fuel",
        "Something is lost on the way, so that more is burnt than arrives.",
    )  # fmt: skip
    yield Step(
        f"A litre of oil costs {w.money(fuel.price_per_unit, 2)}. Those {n(litres)} litres cost",
        w.money(litres * fuel.price_per_unit), w.money(burnt * fuel.price_per_unit),
        "The price is for a litre, and kilowatt-hours were put in.",
    )  # fmt: skip


def _of_prices(home: Pupil) -> Iterator[Step]:
    n, w, price, (day, night) = home.written.number, home.written, home.price, home.day_and_night
    standing, bought = home.case.tariff.standing_per_day, home.steady.totals["import"]
    by_day, by_night = (figures.bought_kwh(home.on_nights, band) for band in ("Day", "Night"))
    yield Step(
        f"{n(bought)} kWh at {w.price(price)}, and {w.money(standing, 2)} for each day of the year:",
        w.money(bought * price + YEAR_DAYS * standing), w.money(bought * price + MONTHS * standing),
        "The charge is for each day; it was counted for each month.",
    )  # fmt: skip
    yield Step(
        f"{n(by_night)} kWh at {w.price(night)} and {n(by_day)} kWh at {w.price(day)}:",
        w.money(by_night * night + by_day * day), w.money(bought * (night + day) / 2),
        "The mean of both prices holds only where as much is bought by day as at night.",
    )  # fmt: skip
    yield Step(
        f"The price rises from {w.price(price)} to {w.price(day)}. That is", f"{w.share(day / price - 1, 1)} more",
        f"{w.share(1 - price / day, 1)} more", "Per cent are counted from what it was before.",
    )  # fmt: skip
    yield Step(
        f"{n(by_night)} of {n(bought)} kWh are bought at night. The share bought at night is",
        w.share(by_night / bought), w.share(by_night / by_day), "A share is of the whole, not of the rest.",
    )  # fmt: skip


def _of_savings(home: Pupil) -> Iterator[Step]:
    n, w = home.written.number, home.written
    before, after = figures.rooms_kwh(home.steady), figures.rooms_kwh(home.cooler)
    saved, direct = 1 - after / before, 1 - figures.taken_kwh(home.steady) / figures.heat_kwh(home.steady)
    spent = 100 * int(np.random.default_rng((SEED, home.number, 4)).integers(9, 25))
    yield Step(
        f"With water {n(LOWER_K)} K cooler on the coldest day {n(after)} instead of {n(before)} kWh are taken. For "
        "each kelvin "
        "that is", f"{w.share(saved / LOWER_K, 2)} less", f"{w.share(saved, 2)} less",
        "That is the saving of all the kelvins together.",
    )  # fmt: skip
    yield Step(
        f"The heat pump takes {w.share(direct)} less than a direct heater, and cooler water {w.share(saved)} less "
        "than that. "
        "Together they take", f"{w.share(1 - (1 - direct) * (1 - saved))} less", f"{w.share(direct + saved)} less",
        "The second saving is a share of what the first one left.",
    )  # fmt: skip
    money = (before - after) * home.price
    yield Step(
        f"The larger radiators cost {w.money(spent)} and save {n(before - after)} kWh a year at "
        f"{w.price(home.price)}. They have "
        "paid for themselves after", f"{n(spent / money)} years", f"{n(spent / (before - after), 1)} years",
        "The price was divided by kilowatt-hours instead of by money.",
    )  # fmt: skip
    water, outdoor = round(figures.flowed_c(home.steady)), round(figures.heated_at_c(home.steady))
    lift = float(water - outdoor)
    yield Step(
        f"Water at {water} °C, outdoors {outdoor} °C: the most heat that any machine could make of one of "
        "electricity is "
        f"T divided by the lift of {n(lift)} K, or", n(carnot(float(water), lift), 1), n(water / lift, 1),
        f"T is counted in kelvin: {KELVIN:g} more than in degrees Celsius.",
    )  # fmt: skip
