"""Ranked tariffs in; which of them suits this home, why, and how sure that is, out."""

from __future__ import annotations

from calendar import month_abbr
from collections.abc import Mapping
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.money.day_ahead import ahead_data, ahead_sentence, controls_table
from simkit.answers.money.leaving_fuel import fuel_data, fuel_sentence, steps_table
from simkit.answers.wording import capital, closing, either_way, home_is, in_futures, provenance_of
from simkit.decide.tariff.day_ahead import DayAhead
from simkit.decide.tariff.ranked import RankedTariff, TariffYear
from simkit.decide.tariff.ranking import TariffRanking
from simkit.finance.leaving_fuel import LeavingFuel, leaving_fuel
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range

BY_THE_HOUR = (
    "it was charged at the hourly prices of one year, and in a year of high prices it may cost more than a fixed price."
)
NOTICED = 5.0  # own: a difference of less a year is not worth a word [currency]
MEANS = (
    "Cost a year: with the best of what may be moved, found for each tariff anew. Against your tariff: as it is now, "
    "nothing moved; of that by prices, and by moving."
)
BREAKS_EVEN = (
    "Breaks even at: the share in its cheapest band at which it costs what yours costs now; below 0 % always, "
    "above 100 % never."
)


def tariff_answer(
    ranking: TariffRanking, *, ranged: bool = True, ahead: Mapping[str, DayAhead] | None = None
) -> Answer:
    """Say which tariff suits a home.

    Parameters
    ----------
    ranking
        The ranked tariffs.
    ranged
        Whether to sample the likely ranges as well.
    ahead
        What knowing the hours' prices is worth, by name of the tariff.
    """
    notation, ahead = ranking.case.notation, ahead or {}
    fuel = leaving_fuel(ranking.own.as_is.year)
    tables = [_tariffs(ranking, notation, ranged=ranged), _details(ranking), *_moved(ranking)]
    tables += [controls_table(name, found) for name, found in ahead.items()]
    years = {f"{ranking.own.name}, as it is": ranking.own.as_is.year}
    years |= {row.name: row.shifted.year for row in ranking.rows}
    said = tariff_sentences(ranking, notation, ranged=ranged)
    said += [f"On {named(name)}, {ahead_sentence(found, notation)}" for name, found in ahead.items()]
    said += _household(ranking.own.as_is, notation)
    if fuel is not None and fuel.burners:
        said.append(fuel_sentence(fuel, notation))
        tables.append(steps_table(fuel))
    return Answer(
        ranking.case.name, "Which tariff suits this home?",
        (*said, closing(*(year.case for year in years.values()), ranged=ranged)), notation,
        tables=tuple(tables), pictures=(_picture(ranking, ranged=ranged),),
        cautions=cautions_for(list(years.values()), names=list(years)),
        notes=ranking.notes,
        provenance=provenance_of(ranking.own.as_is.year),
        data=_data(ranking, ahead, fuel, notation, ranged=ranged),
    )  # fmt: skip


def tariff_sentences(ranking: TariffRanking, notation: Notation, *, ranged: bool) -> list[str]:
    """The tariff that costs least with what it saves, what moving does, why it wins, and how sure that is."""
    winner = ranking.winner
    market = any(line.kind == "market" for line in winner.shifted.bill.lines)
    said = [_first(ranking, notation, ranged=ranged)]
    if winner.shifted.moved:
        moved = notation.money(-winner.behaviour_effect)
        said.append(f"Moving use is counted in, and saves {moved} a year: {'; '.join(winner.shifted.moved)}.")
    said.append(reasons(ranking, notation))
    if market:
        said.append(f"{named(winner.name)} follows the market: {BY_THE_HOUR}")
    plain = ranking.winner_as_is
    if plain is not winner:
        said.append(
            f"If you move nothing, {named(plain.name)} costs least, about {notation.money(plain.as_is.cost)} a year."
        )
    if ranged and len(ranking.rows) > 1:
        other = ", none of which has another year's hourly prices" if market else ""
        said.append(f"{named(winner.name)} costs least {in_futures(ranking.certainty)}{other}.")
    return said


def _first(ranking: TariffRanking, notation: Notation, *, ranged: bool) -> str:
    """The tariff that costs least, at what cost, against the own one; what speaks against the home comes first."""
    winner, own = ranking.winner, ranking.own
    found = ranking.range(winner) if ranged else None
    likely = f" (likely {notation.span(found)})" if found is not None else ""
    cost = f"about {notation.estimate(winner.shifted.cost, found)} a year{likely}"
    wrong = home_is(winner.shifted.year)
    head = f"{capital(wrong)}; no tariff mends that. As it is, " if wrong else ""
    if len(ranking.rows) == 1:
        only = f"{named(own.name)}, which you have, comes to {cost}; no other tariff was named to rank it with."
        return f"{head}{only}"
    least = f"{_which(ranking, ranged=ranged, wrong=bool(wrong))} of {len(ranking.rows)} tariffs for this home"
    if winner is own:
        return f"{head}{least}: {cost}."
    saved = ranking.saving_range(winner) if ranged else None
    less = Range(-saved.high, -saved.middle, -saved.low) if saved is not None else None
    more = winner.shifted.cost - own.as_is.cost
    if less is not None and either_way(less):
        span = notation.span_more_or_less(less)
        return (
            f"{head}{least}: {cost}; against {named(own.name)} as it is now it could go either way (likely {span} a "
            "year)."
        )
    span = f" (likely {notation.span_more_or_less(less)})" if less is not None else ""
    return f"{head}{least}: {cost}, {notation.more_or_less(more, less)} than now on {named(own.name)}{span}."


def _which(ranking: TariffRanking, *, ranged: bool, wrong: bool) -> str:
    """The tariff that costs least; or it and the next, where the range of their difference spans zero."""
    winner, second = [row for row in ranking.rows if not row.as_is.granted][:2]
    name, other = (f"{named(row.name)}{', which you have,' if row is ranking.own else ''}" for row in (winner, second))
    if ranged and either_way(ranking.gap_range(winner, second)):
        return f"{name} and {other} cost about the same, the least"
    return f"{name} {'costs least' if wrong else 'is the cheapest'}"


def reasons(ranking: TariffRanking, notation: Notation) -> str:
    """Why the winner costs least, in one sentence: mean price, the band that makes it, and what is due otherwise."""
    winner, other = ranking.winner, ranking.beside
    bill = winner.shifted.bill
    said = f"A kilowatt-hour costs {_price(bill.mean_price_per_kwh, notation)} on average"
    if other is None:
        return f"{said}."
    against = other.as_is.bill
    said += f", against {_price(against.mean_price_per_kwh, notation)} on {named(other.name)}"
    share = winner.shifted.cheap_share
    if share is not None and any(line.kind == "market" for line in bill.lines):
        said += f": {notation.share(share)} of what you buy falls into the cheapest quarter of all hours"
    elif share is not None:
        cheap = min(bill.bands, key=lambda band: band.price_per_kwh)
        price = _price(cheap.price_per_kwh, notation)
        said += f": {notation.share(share)} of what you buy falls into {named(cheap.name)} at {price}"
    more = ranking.standing_more
    if abs(more) < NOTICED:
        return f"{said}."
    peak = any(line.kind == "demand" for line in bill.lines)
    what = "standing charges and peak power" if peak else "standing charges"
    return f"{said}; its {what} come to {notation.more_or_less(more)} a year."


def _price(per_kwh: float, notation: Notation) -> str:
    return notation.price(per_kwh).removesuffix("/kWh")


def _household(now: TariffYear, notation: Notation) -> list[str]:
    """What the household's standby takes and costs; nothing where none is stated."""
    household = now.year.case.household
    if not household.standby_w:
        return []
    kwh = household.standby_w / 1000.0 * now.year.axis.steps * now.year.axis.hours
    whole = now.year.totals["household"]
    return [
        f"Of the household's {notation.number(whole)} kWh, {notation.number(kwh)} kWh ({notation.share(kwh / whole)}) "
        f"is a standby of {notation.brief(household.standby_w)} W that never stops, about "
        f"{notation.money(kwh * now.bill.mean_price_per_kwh)} a year at the mean price."
    ]


def _tariffs(ranking: TariffRanking, notation: Notation, *, ranged: bool) -> Table:
    """One row by tariff, the cheapest after moving first."""
    rows = []
    for row in ranking.rows:
        cost = ranking.range(row) if ranged else None
        mine, same = row is ranking.own, row.shifted is ranking.own.as_is
        saved = ranking.saving_range(row) if ranged and not same else None
        rows.append(
            {
                "tariff": f"{row.name} (yours)" if mine else row.name, "year_cost": row.shifted.cost,
                "year_cost_low": cost.low if cost else None, "year_cost_high": cost.high if cost else None,
                "as_is_cost": row.as_is.cost, "more_cost": None if same else row.shifted.cost - ranking.own.as_is.cost,
                "more_cost_low": -saved.high if saved else None, "more_cost_high": -saved.low if saved else None,
                "by_prices_cost": row.price_effect, "by_moving_cost": row.behaviour_effect,
                "comfort": row.shifted.year.comfort.worded(notation.number),
            }
        )  # fmt: skip
    frame = pd.DataFrame(rows).set_index("tariff")
    comfort = () if all(row.shifted.year.comfort.held for row in ranking.rows) else (Column("comfort"),)
    shown = (
        *comfort, Column("year_cost", "year_cost_low", "year_cost_high"), Column("as_is_cost"),
        Column("more_cost", "more_cost_low", "more_cost_high", title="Against your tariff", as_difference=True),
        Column("by_prices_cost", as_difference=True), Column("by_moving_cost", as_difference=True),
    )  # fmt: skip
    return Table("tariffs", "The tariffs", frame, shown, MEANS, first="Tariff")


def _details(ranking: TariffRanking) -> Table:
    """What each tariff comes to after moving: prices, seasons, peak and fuse."""
    rows = []
    for row in ranking.rows:
        shifted = row.shifted
        month, worst = shifted.worst_month
        rows.append(
            {
                "tariff": row.name, "mean_price_per_kwh": shifted.bill.mean_price_per_kwh,
                "import_kwh": shifted.year.totals["import"], "cheap_share": shifted.cheap_share,
                "break_even_share": row.break_even_share, "winter_cost": shifted.winter_cost,
                "worst_month_cost": worst, "month_words": month_abbr[month], "peak_kw": shifted.peak_kw,
            }
            | ({} if shifted.year.fuse is None else {"fuse_margin_a": shifted.year.fuse.margin_a})
        )  # fmt: skip
    frame = pd.DataFrame(rows).set_index("tariff")
    return Table("details", "Prices, seasons and peaks, after moving", frame, note=BREAKS_EVEN, first="Tariff")


def _moved(ranking: TariffRanking) -> list[Table]:
    """What is moved on each tariff on which moving pays; no table where it pays on none."""
    moved = {row.name: "; ".join(row.shifted.moved) for row in ranking.rows if row.shifted.moved}
    if not moved:
        return []
    frame = pd.DataFrame({"moved_words": moved.values()}, index=pd.Index(list(moved), name="tariff"))
    return [Table("moved", "What is moved", frame, first="Tariff")]


def _picture(ranking: TariffRanking, *, ranged: bool) -> Picture:
    from simkit import figures
    from simkit.figures.tariff.ranking import ROW_INCHES, SHEET

    table = ranking.table(ranges=ranged)
    words: dict[str, Any] = {"notation": ranking.case.notation, "own": ranking.own.name}
    return Picture(
        "tariffs",
        lambda figure: figures.tariff_bars(table, ax=SHEET.axes([ROW_INCHES * len(table)], figure=figure)[0], **words),
        figures.tariff_bars_sentence(table, **words),
    )


def _data(
    ranking: TariffRanking, ahead: Mapping[str, DayAhead], fuel: LeavingFuel | None, notation: Notation, *, ranged: bool
) -> dict[str, Any]:
    """The object of a ranking: money in the currency, energy in kWh, power in kW."""
    return {
        "case": ranking.case.name,
        "currency": ranking.case.currency,
        "own": ranking.own.name,
        "winner": ranking.winner.name,
        "winner_as_is": ranking.winner_as_is.name,
        "why": reasons(ranking, notation),
        "standing_more": ranking.standing_more,
        "certainty": ranking.certainty if ranged else None,
        "shifting": vars(ranking.shifting),
        "tariffs": [_row_data(row, ranking, ranged=ranged) for row in ranking.rows],
        "day_ahead": {name: ahead_data(found, notation) for name, found in ahead.items()},
        "leaving_fuel": None if fuel is None else fuel_data(fuel, notation),
    }


def _row_data(row: RankedTariff, ranking: TariffRanking, *, ranged: bool) -> dict[str, Any]:
    return {
        "name": row.name,
        "scenario": row.as_is.granted,
        "as_is": _year_data(row.as_is),
        "shifted": _year_data(row.shifted),
        "moved": list(row.shifted.moved),
        "price_effect": row.price_effect,
        "behaviour_effect": row.behaviour_effect,
        "break_even_share": row.break_even_share,
        "range": ranking.range(row) if ranged else None,
        "saving": ranking.own.as_is.cost - row.shifted.cost,
        "saving_range": ranking.saving_range(row) if ranged else None,
    }


def _year_data(one: TariffYear) -> dict[str, Any]:
    month, worst = one.worst_month
    bill, fuse = one.bill, one.year.fuse
    return {
        "total": one.cost,
        "winter": one.winter_cost,
        "worst_month": {"month": month, "amount": worst},
        "fixed_amount": bill.fixed_amount,
        "mean_price_per_kwh": bill.mean_price_per_kwh,
        "import_kwh": one.year.totals["import"],
        "bands": [
            {key: getattr(band, key) for key in ("name", "kwh", "share", "price_per_kwh")} for band in bill.bands
        ],
        "cheap_share": one.cheap_share,
        "peak_kw": one.peak_kw,
        "fuse": None if fuse is None else {"margin_a": fuse.margin_a, "hours_over": fuse.hours_over},
        "comfort": one.year.comfort.worded(one.year.case.notation.number),
        "lines": [
            {key: getattr(line, key) for key in ("label", "quantity", "unit", "amount", "kind")} for line in bill.lines
        ],
        "months": bill.months,
    }
