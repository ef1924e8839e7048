"""A home and its options in; every further figure that a report or a command shows of them, family by family, out.

The figures of a year and of the options against the baseline stand in `simkit.explaining.catalogue`. These take longer
to work out, so that a family is only looked through when nothing nearer is meant, or when it is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from types import MappingProxyType
from typing import Any

import numpy as np

from simkit.answers.comparison import as_comfortable
from simkit.answers.report.coldest import week_days
from simkit.answers.report.inputs import stated_values
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.assumptions import moved_costs
from simkit.decide.flow.sweep import at_design_flow, sweep_flow
from simkit.errors import CaseError
from simkit.explaining.catalogue import slug, up_to, year_figures
from simkit.explaining.chain import MONEY, Figure, InputFigure, LaterFigure, Link, Links, fixed
from simkit.explaining.energy import KERNEL, Sums, energy_links
from simkit.explaining.money import added, saving_links
from simkit.explaining.over_years import worths
from simkit.explaining.weighings import measures, spreads, tariffs
from simkit.explaining.within import ends
from simkit.finance.difference import difference
from simkit.kernel.run import run_home
from simkit.notation import Notation
from simkit.performance.en14825 import StandardSeason
from simkit.schema.hints import shown
from simkit.year.compare import Comparison
from simkit.year.seasonal import standard_seasons
from simkit.year.simulate import simulate
from simkit.year.year import Year

Family = Callable[[Comparison], Iterator[Figure]]
METHOD = "EN 14825"
SOME = 0.5  # currency: less is shown as nothing
FLOW_FIGURES = {
    "cost": ("cost of the year", "year_cost", "bill.total"), "spf_h4": ("SPF H4", "spf", "spf.h4"),
    "space_h4": ("SPF of the heating alone", "spf", "spf.space_h4"),
    "cool_h": ("hours felt cool", "cool_h", "comfort.cool_hours"),
    "below_18_h": ("hours under 18 °C", "below_18_h", "comfort.hours_below_18"),
}  # fmt: skip


def homes(found: Comparison) -> Iterator[tuple[str, Year]]:
    """The years that figures are asked of, each with what stands before its keys: of the case, then of each option."""
    own = found.stated
    if all(year.case.digest != own.digest for year in found.years):
        yield "", simulate(own)
    for year in found.years:
        yield f"{slug(year.case.name)}." if len(found.years) > 1 else "", year


def inputs(found: Comparison) -> Iterator[Figure]:
    """Every value that the case states, and every one that was filled in."""
    for prefix, year in homes(found):
        stated = ((key, f"{value} {unit}".strip(), "stated in the case file") for key, value, unit in stated_values(
            year.case))  # fmt: skip
        filled = ((one.key, shown(one.value), f"filled in: {one.source}") for one in year.case.assumed)
        for key, text, source in (*stated, *filled):
            links = partial(_input_links, key, text, source)
            yield InputFigure(
                f"input.{prefix}{_dotted(key)}",
                f"{key}, {source}",
                "quantity",
                (year,),
                partial(_constant, 0.0),
                links,
                text,
            )


def _input_links(key: str, text: str, source: str) -> Links:
    return [Link(key, text, 0.0, "", 0, source)]


def causes(found: Comparison) -> Iterator[Figure]:
    """What each cause does to the cost of an option, against the baseline and against what is as comfortable."""
    for year in found.years:
        rivals = {id(one): one for one in (found.base, as_comfortable(found, year)) if one not in (None, year)}
        for other in rivals.values():
            assert other is not None  # it was left out above
            against = f"{slug(year.case.name)}.{slug(other.case.name)}"
            more = year.bill.total - other.bill.total
            label = f"what “{year.case.name}” costs more a year than “{other.case.name}”"
            yield fixed(f"cause.{against}.all", label, "cause_amount", (other, year), more, partial(_all, other, year))
            for cause, amount in difference(other, year).amounts.items():
                label = f"what {cause} does to the cost of “{year.case.name}” against “{other.case.name}”"
                key = f"cause.{against}.{slug(cause)}"
                yield fixed(key, label, "cause_amount", (other, year), amount, partial(_to, cause, other, year))


def _all(other: Year, year: Year) -> Links:
    """All causes together."""
    links = saving_links(other, year)[1:-2]
    worked = added(year.case.notation, (link.value for link in links))
    return [*links, Link("All of it", worked, year.bill.total - other.bill.total, MONEY, 2, "both bills")]


def _to(cause: str, other: Year, year: Year) -> Links:
    """The split of a difference, in the order in which it is drawn, ended by one cause."""
    links = saving_links(other, year)
    at = next(place for place, link in enumerate(links) if link.what == cause)
    return [*links[:at], *links[at + 1 : -2], links[at]]


def ranges(found: Comparison) -> Iterator[Figure]:
    """Both ends of the likely range of each year's cost, and of what an option costs more than the baseline."""
    for prefix, year in homes(found):
        total = year.samples.total
        yield from ends(f"range.{prefix}", "cost of a year", "year_cost", total, year.bill.total, year)
        if year is not found.base and prefix:
            more, now = total - found.base.samples.total, year.bill.total - found.base.bill.total
            label = f"what a year costs more than with “{found.base.case.name}”"
            yield from ends(f"range.{prefix}more.", label, "more_cost", more, now, found.base, year)


def flows(found: Comparison) -> Iterator[Figure]:
    """Every figure of a home at other design flows."""
    for prefix, year in homes(found):
        try:
            table = sweep_flow(year.case).table
        except CaseError:  # no heat pump, or no curve that is led by a design flow
            continue
        for row in table.to_dict("records"):
            flow = float(row["design_flow_c"])
            for name, (words, column, key) in FLOW_FIGURES.items():
                made = partial(_at_flow, year.case, flow, key)
                yield LaterFigure(f"flow.{prefix}{flow:g}.{name}", f"{words} at a design flow of {flow:g} °C", column,
                                  (year,), partial(_constant, float(row[name if name != "cost" else "year_cost"])),
                                  list, made)  # fmt: skip


def moved(found: Comparison) -> Iterator[Figure]:
    """What a year's cost changes by where a value that was filled in is something else."""
    for prefix, year in homes(found):
        assumed, tried, costs = moved_costs(year)
        for one, move, cost in zip(assumed, tried, costs.tolist(), strict=True):
            if cost >= SOME:
                link = Link(one.said, f"tried: {move.words}; the year simulated again", cost, MONEY, 0, one.source)
                label = f"what {one.key} moves the cost of a year by, up or down"
                yield fixed(
                    f"moved.{prefix}{_dotted(one.key)}", label, "moved_cost", (year,), cost, partial(list, [link])
                )


def _dotted(key: str) -> str:
    """A key as a person finds it in the file, as part of the key of a figure."""
    return key.replace("[", "").replace("] ", ".").replace(" ", "_")


def _constant(value: float, _: object) -> float:
    return value


def _at_flow(case: Case, flow_c: float, key: str) -> Figure:
    """A figure of the year at another design flow, emitters as they are."""
    level = {"controls.design_flow_from_rooms": False}
    setting, loss = setting_for(case), loss_w_per_k(case)
    inputs = at_design_flow(home_inputs(vary(case, level), setting, loss), flow_c)
    run, at = run_home(inputs, setting.axis.steps, setting.axis.hours), {"controls.design_flow_c": flow_c}
    made = Year(vary(case, level | at), setting.axis, loss, setting, inputs, run)
    return next(figure for figure in year_figures(made, f"flow.{flow_c:g}.") if figure.key.endswith(f".{key}"))


def week(found: Comparison) -> Iterator[Figure]:
    """The days of the coldest week."""
    for prefix, year in homes(found):
        for day, row in week_days(year).iterrows():
            steps = np.asarray(year.axis.local.normalize() == day)
            for column, amount in row.items():
                label = f"{str(column).rsplit('_', 1)[0].replace('_', ' ')} on {day:%Y-%m-%d}"
                links = partial(_day_links, year, steps, str(column), float(amount))
                yield fixed(f"week.{prefix}{day:%Y-%m-%d}.{column}", label, str(column), (year,), float(amount), links)


def _day_links(year: Year, steps: Any, column: str, amount: float) -> Links:
    if column.endswith("_c"):
        how = "lowest" if column.startswith("min") else "mean"
        worked = f"{how} of {int(steps.sum())} steps of {year.axis.step_minutes} minutes"
        return [Link("On that day", worked, amount, "°C", 1, KERNEL)]
    return up_to(energy_links(Sums(year, steps)), "On that day", amount)


def seasons(found: Comparison) -> Iterator[Figure]:
    """The reference seasons of every machine, and what is sensible in the field at its design flow."""
    for year in found.years:
        try:
            known = standard_seasons(year)
            band = year.seasonal.band
        except CaseError:  # no heat pump
            continue
        prefix = f"season.{slug(year.case.name)}." if len(found.years) > 1 else "season."
        for one in known:
            label = f"SCOP of the machine in the {one.climate.name} climate at {one.application_c} °C"
            key = f"{prefix}{one.climate.name}.{one.application_c}"
            yield fixed(key, label, "spf", (year,), one.scop, partial(_season_links, one, year.case.notation))
        for end, value in (("low", band.low), ("high", band.high)):
            label = f"{end} end of the field band at a design flow of {band.design_flow_c:.0f} °C"
            link = Link(label, f"read at {band.design_flow_c:.0f} °C", value, "–", 2, band.source)
            yield fixed(f"{prefix}field.{end}", label, "spf", (year,), value, partial(list, [link]))


def _season_links(season: StandardSeason, notation: Notation) -> Links:
    """From the load of the design day, bin by bin in sums, to heat over electricity."""
    n, sums = notation.number, season.account.sum(numeric_only=True)
    bins = int((season.account["hours"] > 0.0).sum())
    design = f"carried by the machine alone down to {n(season.bivalent_c, 1)} °C"
    worked = " + ".join(f"{n(sums[name])} kWh" for name in ("machine_kwh", "backup_kwh", "off_kwh"))
    return [
        Link("Load on the design day", design, season.design_kw, "kW", 1, f"{METHOD}, [heat_pump] point"),
        Link("Heat of the season", f"load × hours in {bins} bins of 1 K", sums["heat_kwh"], "kWh", 0, METHOD),
        Link("Electricity of the machine", "heat ÷ COP, bin by bin", sums["machine_kwh"], "kWh", 0, "test points"),
        Link("Electricity of the heater", "what the machine lacks", sums["backup_kwh"], "kWh", 0, METHOD),
        Link("Electricity while off", "hours × power by mode", sums["off_kwh"], "kWh", 0, "[heat_pump] standby_w"),
        Link("SCOP", f"{n(sums['heat_kwh'])} kWh ÷ ({worked})", season.scop, "–", 2, METHOD),
    ]


FAMILIES: Mapping[str, Family] = MappingProxyType(
    {"input": inputs, "worth": worths, "cause": causes, "week": week, "season": seasons, "range": ranges,
     "flow": flows, "moved": moved, "tariff": tariffs, "measure": measures, "spread": spreads}
)  # fmt: skip
