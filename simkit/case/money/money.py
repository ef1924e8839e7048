"""What the user says of money over the years in, a validated `Money` out: horizon, rates, service, parts, measures.

Nothing here is an amount that was paid or offered: that is each option's own ledger (``case/ledger.py``). Rates are
shares a year in the terms that are stated, real (without general inflation) or nominal (with it).
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, Literal

from simkit.bounds import CHANGE_CHARACTERS
from simkit.errors import Fault
from simkit.notation import PLAIN, Notation
from simkit.schema.section import PROSE_PATTERN, Section, number, said, text
from simkit.schema.toml_file import unbounded

PartOf = Literal["heat_pump", "boiler", "hot_water", "emitters", "solar", "battery"]
Bother = Literal["none", "an hour", "a day", "days of work"]
Trade = Literal["you", "a handy person", "a licensed trade"]


class Escalation(Section):
    """Yearly rise of prices, in the terms stated; one that is left out rises with general prices."""

    electricity: float | None = number(
        -0.2, 0.25, "share", "Yearly rise of the price of electricity", example=0.01, absent=True
    )
    fuel: float | None = number(-0.2, 0.25, "share", "Yearly rise of the price of fuel", example=0.02, absent=True)
    standing: float | None = number(-0.2, 0.25, "share", "Yearly rise of standing charges", example=0.01, absent=True)
    export: float | None = number(-0.2, 0.25, "share", "Yearly rise of what export earns", example=-0.02, absent=True)
    electricity_sd: float = number(0, 0.15, "share", "Spread of the yearly rise of electricity", example=0.01)
    fuel_sd: float = number(0, 0.15, "share", "Spread of the yearly rise of fuel", example=0.02)


class Service(Section):
    """What is spent each year on looking after a heat source, at today's prices."""

    heat_pump: float = number(0, 1e6, "currency", "Yearly service of the heat pump", example=150)
    boiler: float = number(0, 1e6, "currency", "Yearly service of the boiler", example=120)


class Part(Section):
    """A part that is replaced at an age, in every option that has it."""

    name: str = text("What is replaced", example="outdoor unit")
    of: PartOf = said("What it is a part of: options without that go without the cost", example="heat_pump")
    cost: float = number(0, 1e8, "currency", "Cost of replacing it at today's prices", example=4500)
    life_years: float = number(0.5, 100, "years", "Age at which it is replaced", example=16)
    age_years: float = number(0, 100, "years", "Its age at the start", example=0)

    def clashes(self) -> Iterator[Fault]:
        """Yield a part that is older than it gets."""
        if self.age_years > self.life_years:
            allowed = f"is above life_years = {self.life_years:g}, the age at which it is replaced"
            yield Fault("", f"age_years = {self.age_years:g}", allowed, "Write an age below its life, or a longer life")


class Measure(Section):
    """One thing that could be done to the home, as lines that change the case, with its price and its bother."""

    name: str = text("What is done", example="two fan convectors")
    changes: tuple[str, ...] = said(
        "Lines that it changes in the case, each a dotted path and a value",
        example=["controls.design_flow_c = 47.0", "emitters.sized_for_flow_c = 47.0"],
    )
    loss_saved_w_per_k: float | None = number(
        0, 2000, "W/K", "Heat loss that it takes away: area times what its U-value falls", example=16, absent=True
    )
    cost: float = number(0, 1e8, "currency", "What it costs, grants taken off", example=1400)
    life_years: float = number(0.5, 100, "years", "How long it lasts", example=25)
    bother: Bother = said("How much it disturbs", example="a day")
    who: Trade = said("Who does it", example="a licensed trade")
    safety: str | None = said(
        "What must be heeded", example="Drain down and bleed", absent=True, max_length=500, pattern=PROSE_PATTERN
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield lines that can't be read, and a measure that does nothing."""
        if not self.changes and self.loss_saved_w_per_k is None:
            remedy = "Add lines of changes, or loss_saved_w_per_k for insulation"
            yield Fault("", f'measure "{self.name}"', "changes nothing", remedy)
        for line in self.changes:
            try:
                changed_paths((line,))
            except ValueError:
                allowed = "is not a dotted path and a value"
                yield Fault("", f"changes = '{line}'", allowed, "Write for example 'controls.design_flow_c = 47.0'")


def changed_paths(changes: tuple[str, ...]) -> dict[str, Any]:
    """Read lines of changes as values by dotted path; raises ValueError on a line that is none."""
    found: dict[str, Any] = {}
    for line in changes:
        path, equals, value = line.partition("=")
        if not equals or not path.strip() or len(line) > CHANGE_CHARACTERS or "\n" in line:
            raise ValueError(line)
        try:
            held = tomllib.loads(f"value = {value.strip()}")
        except RecursionError:
            raise ValueError(line) from None
        if unbounded(held, "") is not None:
            raise ValueError(line)
        found[path.strip()] = held["value"]
    return found


class Money(Section):
    """How amounts of different years are weighed."""

    start: dt.date = said("Day from which the years are counted", example=dt.date(2026, 1, 1))
    horizon_years: int = number(1, 60, "years", "How many years are looked at", example=20)
    terms: Literal["real", "nominal"] = said(
        "Whether rates and amounts leave general inflation out (real) or hold it (nominal)", example="real"
    )
    discount_rate: float = number(-0.05, 0.3, "share", "What a year's waiting is worth", example=0.035)
    inflation: float = number(-0.05, 0.25, "share", "Yearly rise of general prices", example=0.02)
    savings_rate: float = number(0, 0.25, "share", "Interest that cash earns a year until it is due", example=0.02)
    degradation_per_year: float = number(0, 0.1, "share", "Efficiency a heat pump loses a year", example=0.005)
    residual: Literal["straight line", "none"] = said(
        "What things are worth at the end of the horizon: their price by the life that is left, or nothing",
        example="straight line",
    )
    carbon_decline_per_year: float = number(0, 0.3, "share", "Yearly fall of the electricity's carbon", example=0.03)
    escalation: Escalation = said("How prices rise", example={"electricity": 0.01})
    service: Service = said("Yearly service", example={"heat_pump": 150})
    part: tuple[Part, ...] | None = said(
        "Parts replaced at an age", example=[{"name": "outdoor unit"}], absent=True, min_length=1
    )
    measure: tuple[Measure, ...] | None = said(
        "Things that could be done, with their prices",
        example=[{"name": "bigger radiators"}],
        absent=True,
        min_length=1,
    )

    def rise(self, what: str) -> float:
        """Yearly rise of the prices of "electricity", "fuel", "standing", "export" or "general" in the terms stated."""
        general = self.inflation if self.terms == "nominal" else 0.0
        stated = None if what == "general" else getattr(self.escalation, what)
        return general if stated is None else float(stated)

    def clashes(self) -> Iterator[Fault]:
        """Yield names that stand twice."""
        for key, things in (("part", self.part), ("measure", self.measure)):
            names = [thing.name for thing in things or ()]
            for name in sorted({name for name in names if names.count(name) > 1}):
                yield Fault("", f'{key} "{name}"', "stands more than once", "Give each a name of its own")


def money_words(money: Money, notation: Notation = PLAIN) -> str:
    """Say in one sentence in which money and at which rates years are weighed."""
    rises: Mapping[str, float] = {what: money.rise(what) for what in ("electricity", "fuel", "standing")}
    kind = (
        "real: without general inflation"
        if money.terms == "real"
        else f"nominal: inflation {notation.share(money.inflation, 1)}"
    )
    shown = ", ".join(f"{what} {notation.change(rate, 1)}" for what, rate in rises.items())
    years = f"{money.horizon_years} years from {notation.date(money.start)}"
    return (
        f"{years}, discounted at {notation.share(money.discount_rate, 1)} ({kind}); "
        f"prices rise a year by: {shown}; the first year is at today's prices."
    )
