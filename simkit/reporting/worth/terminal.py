"""Options weighed over the years in; what the terminal shows of them out."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.finance.breakeven import BreakEvens
from simkit.finance.cash import years_cell
from simkit.finance.cashflow import RUNNING
from simkit.finance.offers import OfferPair
from simkit.finance.risk import Prospects
from simkit.finance.sensitivity import tornado_sentence
from simkit.finance.worth import Worth
from simkit.quantities import INPUT_WORDS
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import NAME, NOTE, bullets, heading, paragraph
from simkit.reporting.worth.cash_years import cash_years_view
from simkit.uncertainty.distributions import input_lines

ODDS = "Odds: share of the samples that have paid for themselves for good within so many years."
CAUTION = "Estimates under the stated assumptions, no guarantee; a likely range holds eight samples of ten."


@dataclass(frozen=True, eq=False)
class Weighed:
    """Everything that is said of a worth; parts that were not asked for are None.

    Attributes
    ----------
    worth
        Options and terms.
    sampled
        Samples, for ranges.
    pair
        Two offers side by side.
    deciding
        Tornado of the gain of `decides_for`.
    decides_for
        The option that it is about, and the one it is measured against.
    break_evens
        Of the alternative and the option with a heat pump.
    regrets
        By named price future.
    shares
        Share of the spread of that gain by input, everything moved at once.
    """

    worth: Worth
    sampled: Prospects | None = None
    pair: OfferPair | None = None
    deciding: pd.DataFrame | None = None
    decides_for: tuple[str, str] | None = None
    break_evens: BreakEvens | None = None
    regrets: pd.DataFrame | None = None
    shares: pd.DataFrame | None = None


def weighing_view(found: Weighed, *, title: str, years: bool = False) -> RenderableType:
    """Lay out a worth: the offers first, then options, what was and what now, what decides, break-evens, notes.

    `years` adds ledger and yearly table of every option.
    """
    worth, currency = found.worth, found.worth.base.year.bill.currency
    parts: list[RenderableType] = [heading(title, f"{worth.money.horizon_years} years, against {worth.against}")]
    if found.pair is not None:
        parts.append(paragraph(found.pair.sentence(), NAME))
        parts += [differences_grid(found.pair), Text()]
    parts += [_costs(worth), Text(), _gains(found), Text()]
    if found.sampled is not None:
        told = found.pair.dear if found.pair is not None else worth.others[0].name
        parts.append(paragraph(f"{ODDS} {found.sampled.convergence_sentence(told)}", NOTE))
    was = [after(worth.was_it_worth_it(option.name)) for option in worth.others]
    parts += [heading("Was it worth it", "everything counted, what is spent already too"), bullets(was), Text()]
    open_ = [option.name for option in worth.others if option.settled.already_paid]
    if open_:
        now = [after(worth.what_now(name)) for name in open_]
        parts += [heading("What now", "from here on, what is spent already left out"), bullets(now), Text()]
    if found.deciding is not None and found.decides_for is not None:
        option, against = found.decides_for
        parts += [heading("What decides it", f"{option} against {against}"),
                  paragraph(tornado_sentence(found.deciding, currency).removeprefix("What decides it: "))]  # fmt: skip
    if found.shares is not None:
        parts.append(paragraph(shares_sentence(found.shares)))
    if found.break_evens is not None:
        parts += [heading("Where it tips"), paragraph(found.break_evens.sentence())]
    if found.regrets is not None:
        parts += [
            heading("If prices go another way", f"regret in {currency} of today's money"),
            regrets_grid(found.regrets),
            Text(),
        ]
    parts += [heading("Carbon"), bullets(carbon_lines(worth)), Text()]
    if found.sampled is not None:
        parts += [heading("What the ranges stand on"), bullets(input_lines(worth.base.case)), Text()]
    ending = [cash_years_view(worth)] if years else []
    return Group(*parts, bullets(worth.notes, NOTE), Text(CAUTION, style=NOTE), *ending)


def differences_grid(pair: OfferPair) -> Grid:
    """What differs between two offers."""
    return Grid(("Differs in", pair.cheap, pair.dear), tuple(pair.differences), words=(0, 1, 2))


def after(sentence: str) -> str:
    """A sentence without its beginning, which the heading says."""
    return sentence.partition(": ")[2]


def _costs(worth: Worth) -> Grid:
    """What each option costs, one row each."""
    years = worth.money.horizon_years
    rows = []
    for option in worth.options:
        first = option.cash.loc[1, [*RUNNING, "service_cost"]].sum()
        name = Text(option.name).append(f"\n  {option.year.comfort.words}", style=NOTE)
        rows.append((name, f"{option.settled.net:,.0f}", f"{first:,.0f}", f"{option.annualised_cost:,.0f}",
                     f"{option.heat_cost_per_kwh:.3f}"))  # fmt: skip
    titles = ("Option, and its rooms", "Net price", "First year", f"A year over {years}", "Heat per kWh")
    return Grid(titles, tuple(rows))


def _gains(found: Weighed) -> Grid:
    """What each option is worth against the alternative, one row each."""
    worth, years = found.worth, found.worth.money.horizon_years
    sampled = ("Likely", f"Odds {years // 2} y", f"{years} y") if found.sampled is not None else ()
    rows = []
    for option in worth.others:
        measured = worth.measures(option.name)
        back = years_cell(measured.simple_first, measured.simple_payback, years)
        likely = []
        if found.sampled is not None:
            gain = found.sampled.gain(option.name)
            shares = [f"{found.sampled.odds(option.name, within):.0%}" for within in (years // 2, years)]
            likely = [f"{gain.low:+,.0f} to {gain.high:+,.0f}", *shares]
        rows.append((option.name, f"{measured.gain_today:+,.0f}", *likely, back))
    return Grid(("Option", "Gain today", *sampled, "Pays back"), tuple(rows))


def regrets_grid(regrets: pd.DataFrame) -> Grid:
    """Regret of each option by named price future."""
    rows = tuple((str(name), *(f"{value:,.0f}" for value in row)) for name, row in regrets.iterrows())
    return Grid(("Option", *(str(name) for name in regrets.columns)), rows)


def shares_sentence(shares: pd.DataFrame) -> str:
    """Name the inputs that cause most of the spread when everything moves at once, with how sure that is."""
    parts = [
        f"{INPUT_WORDS.get(str(name), str(name))} {row['in_all']:.0%} (±{row['in_all_sure_within']:.0%})"
        for name, row in shares.head(3).iterrows()
    ]
    return f"With everything moved at once, what each has a part in of the spread: {', '.join(parts)}."


def carbon_lines(worth: Worth) -> list[str]:
    """What each option avoids, and what that costs or saves; both factors named."""
    said = [worth.carbon[worth.against].words]
    for option in worth.others:
        measured, carbon = worth.measures(option.name), worth.carbon[option.name]
        kg, tonnes = measured.carbon_saved_kg, measured.carbon_saved_life_t
        way = "less" if kg >= 0 else "more"
        text = f"{option.name}: {abs(kg):,.0f} kg {way} in the first year, {abs(tonnes):,.1f} t over the horizon"
        if isfinite(measured.cost_per_tonne):
            kind = "costing" if measured.cost_per_tonne >= 0 else "saving"
            text += f", {kind} {abs(measured.cost_per_tonne):,.0f} a tonne and {abs(measured.first_year_saving):,.0f} "
            text += "more a year to run" if measured.first_year_saving < 0 else "less a year to run"
        if carbon.electricity_by_hour_kg is not None:
            text += f"; its electricity by the hour {carbon.electricity_by_hour_kg:,.0f} kg"
        said.append(f"{text}.")
    return said
