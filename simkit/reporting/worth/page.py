"""Options weighed over the years in; one HTML page out: answer, pictures, ranges, ledgers and yearly tables."""

from __future__ import annotations

from typing import Any

from simkit.case.build import Case
from simkit.figures.money.over_years import (
    cash_fan,
    cash_fan_sentence,
    ledger_steps,
    ledger_steps_sentence,
)
from simkit.figures.money.tornado import tipping_map, tipping_map_sentence
from simkit.figures.style import Sheet
from simkit.finance.cash import years_cell
from simkit.finance.sensitivity import tornado_sentence
from simkit.reporting.grid import Grid
from simkit.reporting.on_page import drawn_bytes
from simkit.reporting.page import rendered
from simkit.reporting.pictures import Picture
from simkit.reporting.worth.cash_years import HOW, heat_sentence, ledger_grid, years_grid
from simkit.reporting.worth.picture import deciding_picture, offers_picture
from simkit.reporting.worth.terminal import (
    CAUTION,
    ODDS,
    Weighed,
    after,
    carbon_lines,
    differences_grid,
    regrets_grid,
    shares_sentence,
)
from simkit.uncertainty.distributions import input_lines

STEP_INCHES = 0.36


def weighing_page(found: Weighed, case: Case) -> str:
    """Write the page of a worth.

    Parameters
    ----------
    found
        What was worked out; ranges are left out where nothing was sampled.
    case
        The case: its name and note head the page.

    Returns
    -------
    str
        The whole HTML document, which fetches nothing.
    """
    worth = found.worth
    pair = found.pair
    content: dict[str, Any] = {
        "title": case.name,
        "note": case.note,
        "answer": [pair.sentence()] if pair else [worth.was_it_worth_it(option.name) for option in worth.others],
        "against": worth.against,
        "years": worth.money.horizon_years,
        "pictures": _pictures(found),
        "differences": differences_grid(pair) if pair else None,
        "costs": _costs(found),
        "gains": _gains(found),
        "odds": f"{ODDS} {found.sampled.convergence_sentence(_told(found))}" if found.sampled else "",
        "was": [after(worth.was_it_worth_it(option.name)) for option in worth.others],
        "now": [after(worth.what_now(option.name)) for option in worth.others if option.settled.already_paid],
        "regret": regrets_grid(found.regrets) if found.regrets is not None else None,
        "carbon": carbon_lines(worth),
        "shares": shares_sentence(found.shares) if found.shares is not None else "",
        "inputs": input_lines(worth.base.case) if found.sampled else (),
        "options": [_option(found, name) for name in (option.name for option in worth.options)],
        "how": HOW,
        "notes": worth.notes,
        "estimate": CAUTION,
    }
    return rendered("worth.html", content)


def _told(found: Weighed) -> str:
    """The option that is looked at closely."""
    return found.pair.dear if found.pair else found.worth.others[0].name


def _pictures(found: Weighed) -> list[Picture]:
    """Offers, ledger, fan, what decides and where it tips: those that were worked out."""
    worth, pair, name = found.worth, found.pair, _told(found)
    currency, made = worth.base.year.bill.currency, []
    if pair is not None:
        made.append(Picture(offers_picture(pair, currency, "svg"), pair.sentence()))
    ledger = worth.option(name).settled.frame()
    if len(ledger):
        sheet, high = Sheet(left=2.3, right=0.9), STEP_INCHES * (len(ledger) + 1)
        drawn = drawn_bytes(
            lambda figure: ledger_steps(ledger, currency=currency, name=name, ax=sheet.axes([high], figure=figure)[0]),
            "svg",
        )
        made.append(Picture(drawn, ledger_steps_sentence(ledger, currency=currency, name=name)))
    return [*made, *_uncertain(found, name, currency)]


def _uncertain(found: Weighed, name: str, currency: str) -> list[Picture]:
    """Fan, what decides, and where it tips."""
    worth, made = found.worth, []
    if found.sampled is not None:
        fan, sheet = found.sampled.fan(name), Sheet(right=1.5)
        words = {"option": name, "against": worth.against, "currency": currency}
        drawn = drawn_bytes(lambda figure: cash_fan(fan, ax=sheet.axes([2.8], figure=figure)[0], **words), "svg")
        made.append(Picture(drawn, cash_fan_sentence(fan, **words)))
    if found.deciding is not None:
        about = f"{' against '.join(found.decides_for)}. " if found.decides_for else ""
        made.append(Picture(deciding_picture(found, "svg"), about + tornado_sentence(found.deciding, currency)))
    even = found.break_evens
    if even is not None:
        flat = Sheet(left=0.7, right=0.5)
        drawn = drawn_bytes(
            lambda figure: tipping_map(
                *even.tipping(), home=even.home, currency=currency, ax=flat.axes([3.6], figure=figure)[0]
            ),
            "svg",
        )
        made.append(Picture(drawn, tipping_map_sentence(home=even.home, need_spf=even.with_own_electricity)))
    return made


def _costs(found: Weighed) -> Grid:
    """What each option costs, and what its rooms are like."""
    table = found.worth.table()
    rows = tuple(
        (option.name, f"{row['net_price']:,.0f}", f"{row['first_year']:,.0f}", f"{row['whole_life_cost']:,.0f}",
         f"{row['cost_a_year']:,.0f}", f"{row['heat_cost_per_kwh']:.3f}", option.year.comfort.words)
        for option, (_, row) in zip(found.worth.options, table.iterrows(), strict=True)
    )  # fmt: skip
    titles = ("Option", "Net price", "First year", "Whole life, today", "Even cost a year", "Heat per kWh", "Rooms")
    return Grid(titles, rows, words=(0, len(titles) - 1))


def _gains(found: Weighed) -> Grid:
    """What each option is worth against the alternative, with odds where there are samples."""
    worth, years = found.worth, found.worth.money.horizon_years
    within = (years // 4, years // 2, years)
    titles = ["Option", "Gain today", *(["Likely", *(f"Odds {n} y" for n in within)] if found.sampled else [])]
    rows = []
    for option in worth.others:
        measured = worth.measures(option.name)
        cells = [option.name, f"{measured.gain_today:+,.0f}"]
        if found.sampled is not None:
            gain = found.sampled.gain(option.name)
            cells += [f"{gain.low:+,.0f} to {gain.high:+,.0f}"]
            cells += [f"{found.sampled.odds(option.name, n):.0%}" for n in within]
        cells += [
            years_cell(measured.simple_first, measured.simple_payback, years),
            years_cell(measured.discounted_first, measured.discounted_payback, years),
        ]
        rows.append((*cells, measured.rate.words))
    return Grid((*titles, "Pays back", "Discounted", "Rate of return"), tuple(rows), words=(0, len(titles) + 2))


def _option(found: Weighed, name: str) -> dict[str, Any]:
    option = found.worth.option(name)
    return {
        "name": name,
        "ledger": ledger_grid(option) if option.settled.payments else None,
        "years": years_grid(found.worth, option),
        "heat": heat_sentence(option),
    }
