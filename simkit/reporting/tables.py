"""Simulated years in; what the terminal shows of them out: the answer first, then the figures behind it."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from simkit.reporting.content import (
    bill_grid,
    comfort_sentence,
    energy_grid,
    flow_pair,
    flow_sentence,
    months_grid,
    performance_grid,
    spf_text,
)
from simkit.reporting.grid import Grid
from simkit.reporting.money import money, more_or_less, span, span_of_difference
from simkit.reporting.terminal import ACCENT, NAME, NOTE, bullets, heading, paragraph, rail
from simkit.reporting.words import ESTIMATE, RANGE_MEANS, comparison_answer, either_way, split_notes, year_answer
from simkit.uncertainty.ranges import Range
from simkit.year.compare import Comparison, about_even
from simkit.year.year import Year

RAIL_FROM_WIDTH = 104  # narrower windows show the ranges in figures only
TABLE_WIDTH = 82


def comparison_view(comparison: Comparison, *, title: str, width: int, ranged: bool = True) -> RenderableType:
    """Lay out a comparison: the answer, one row of two lines for each option, and what the words mean.

    Parameters
    ----------
    comparison
        The options.
    title
        Name of the home.
    width
        Width of the window [characters].
    ranged
        Whether to sample and show the ranges.
    """
    parts: list[RenderableType] = [heading(title, "what a year costs")]
    first, *more = comparison_answer(comparison, ranged=ranged)
    parts += [paragraph(first, NAME), *(paragraph(sentence) for sentence in more)]
    parts += [_options(comparison, width=width, ranged=ranged), Text()]
    said = [RANGE_MEANS.format(lanes=comparison.base.case.uncertainty.lanes)] if ranged else []
    said.append(
        "SPF H4: heat per electricity over the year, heaters, pumps and standby included; under it the flow, designed "
        "for the coldest day/mean over the heat given."
    )
    return Group(*parts, Text(" ".join([*said, ESTIMATE]), style=NOTE), _cautions(comparison.years))


def year_view(year: Year, *, ranged: bool = True) -> RenderableType:
    """Lay out one year: the answer, bill, months, energy, performance, comfort, sizing, cautions.

    Parameters
    ----------
    year
        The simulated year.
    ranged
        Whether to sample and show the range.
    """
    parts = [heading(year.case.name, "one year"), paragraph(year_answer(year, ranged=ranged), NAME)]
    parts += [heading("Bill", year.case.tariff.name), bill_grid(year), Text()]
    parts += [heading("Months"), months_grid(year), Text()]
    parts += [heading("Energy", "kWh in the year"), energy_grid(year), Text()]
    performance = performance_grid(year)
    if performance is not None:
        parts += [heading("Performance", "heat per electricity over the year"), performance]
        parts += [paragraph(flow_sentence(year)), Text()]
    parts += [heading("Comfort"), paragraph(comfort_sentence(year))]
    if year.sizing is not None:
        parts += [heading("Size"), paragraph(year.sizing.words)]
    said = [RANGE_MEANS.format(lanes=year.case.uncertainty.lanes)] if ranged else []
    return Group(*parts, Text(" ".join([*said, ESTIMATE]), style=NOTE), _cautions((year,)))


def _options(comparison: Comparison, *, width: int, ranged: bool) -> Grid:
    years, currency = comparison.years, comparison.base.case.currency
    titles = [
        "Option, and its rooms",
        "A year, likely range" if ranged else "A year",
        "Against the baseline",
        "SPF H4",
    ]
    with_rail = ranged and width >= RAIL_FROM_WIDTH
    ranges = [year.range() for year in years] if ranged else []
    least, most = (min(r.low for r in ranges), max(r.high for r in ranges)) if ranges else (0.0, 1.0)
    rows: list[tuple[Text, ...]] = []
    cheapest = min(years, key=lambda year: year.bill.total)
    for place, year in enumerate(years):
        cost = Text(money(year.bill.total, currency), style=NAME if year is cheapest else "")
        difference = _difference(comparison, year, ranged=ranged)
        spf = Text.assemble(spf_text(year), "\n", (flow_pair(year), NOTE))
        row: list[Text] = [Text.assemble(year.case.name, "\n", (year.comfort.words, NOTE)), cost, difference, spf]
        if ranged:
            found = ranges[place]
            cost.append(f"\n{span(found.low, found.high, currency)}", style=NOTE)
            if with_rail:
                drawn = rail(found.low, year.bill.total, found.high, least=least, most=most, width=width - TABLE_WIDTH)
                row.append(Text(drawn, style=ACCENT, no_wrap=True))
        rows.append(tuple(row))
    titles += [f"From {span(least, most, currency)}"] if with_rail else []
    return Grid(tuple(titles), tuple(rows), words=(0, 4) if with_rail else (0,))


def _difference(comparison: Comparison, year: Year, *, ranged: bool) -> Text:
    """What an option costs more or less than the baseline, with its range."""
    currency = year.case.currency
    if year is comparison.base:
        return Text("is the baseline", style=NOTE)
    if about_even(year, comparison.base):
        return Text("about even", style=NOTE)
    text = Text(more_or_less(year.bill.total - comparison.base.bill.total, currency))
    if ranged:
        saved = comparison.saving_range(year)
        more = Range(-saved.high, -saved.middle, -saved.low)
        text.append(f"\n{span_of_difference(more.low, more.high, currency)}", style=NOTE)
        if either_way(more):
            text.append("\neither way", style=NOTE)
    return text


def _cautions(years: tuple[Year, ...]) -> RenderableType:
    """Every caution once, and how many assumptions there are."""
    cautions = list(dict.fromkeys(note for year in years for note in split_notes(year.notes)[0]))
    assumed = {note for year in years for note in split_notes(year.notes)[1]}
    parts: list[RenderableType] = [Text()]
    if cautions:
        parts += [bullets(cautions), Text()]
    count = len(assumed)
    word = "1 value was" if count == 1 else f"{count} values were"
    parts.append(Text(f"{word} assumed for you: `simkit check` lists them with their sources.", style=NOTE))
    return Group(*parts)
