"""Ranked tariffs in; what the terminal shows and what `--json` prints of them out."""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from simkit.decide.tariff.day_ahead import DayAhead
from simkit.decide.tariff.ranked import RankedTariff, TariffYear
from simkit.decide.tariff.ranking import TariffRanking
from simkit.finance.leaving_fuel import LeavingFuel, leaving_fuel
from simkit.reporting.grid import Grid
from simkit.reporting.money import money, span, span_of_difference
from simkit.reporting.terminal import ACCENT, NAME, NOTE, bullets, heading, paragraph
from simkit.reporting.words import ESTIMATE, RANGE_MEANS
from simkit.year.year import Year

MEANS = (
    "As it is: this home's use unchanged. Shifted: with the best of what may be moved, found for each tariff. Saved: "
    "against your tariff as it is, first by prices, then by moving."
)


def tariffs_view(
    ranking: TariffRanking, *, ranged: bool = True, ahead: Mapping[str, DayAhead] | None = None
) -> RenderableType:
    """Lay out a ranking: the answer, two lines for each tariff, what is moved, hourly prices, fuel, and notes."""
    parts: list[RenderableType] = [heading(ranking.case.name, "tariffs"), paragraph(ranking.why, NAME)]
    if ranged:
        parts.append(paragraph(certainty_sentence(ranking)))
    parts += [_table(ranking, ranged=ranged), Text()]
    moved = [f"{row.name}: {'; '.join(row.shifted.moved)}." for row in ranking.rows if row.shifted.moved]
    if moved:
        parts += [heading("What is moved"), bullets(moved), Text()]
    if ahead:
        said = [f"{name}: {found.sentence}" for name, found in ahead.items()]
        parts += [heading("Hourly prices", "real control against perfect knowledge"), bullets(said), Text()]
    house = household_sentence(ranking.own.as_is)
    if house:
        parts += [heading("Household"), paragraph(house)]
    fuel = leaving_fuel(ranking.own.as_is.year)
    if fuel is not None and fuel.burners:
        parts += [heading(f"Leaving {fuel.fuel.lower()}"), *_fuel(fuel), Text()]
    parts += [heading("Notes"), bullets(ranking.notes, NOTE), Text()]
    lanes = RANGE_MEANS.format(lanes=ranking.case.uncertainty.lanes)
    return Group(*parts, Text(" ".join([MEANS, *([lanes] if ranged else []), ESTIMATE]), style=NOTE))


def certainty_sentence(ranking: TariffRanking) -> str:
    """How sure it is that the winner is the cheapest, and what it saves."""
    winner, own = ranking.winner, ranking.own
    share = f"It is the cheapest in {ranking.certainty:.0%} of the samples"
    if winner is own:
        return f"{share}."
    saved = ranking.saving_range(winner)
    less = span_of_difference(-saved.high, -saved.low, ranking.case.currency)
    return f"{share}; against {own.name} as it is now it costs {less} a year (likely range)."


def household_sentence(now: TariffYear) -> str:
    """What the household's standby takes and costs; empty where none is stated."""
    household = now.year.case.household
    if not household.standby_w:
        return ""
    kwh = household.standby_w / 1000.0 * now.year.axis.steps * now.year.axis.hours
    cost = money(kwh * now.bill.mean_price_per_kwh, now.bill.currency)
    whole = now.year.totals["household"]
    return (
        f"Of the household's {whole:,.0f} kWh, {kwh:,.0f} kWh ({kwh / whole:.0%}) is a standby of "
        f"{household.standby_w:g} W that never stops, about {cost} a year at the mean price."
    )


def _table(ranking: TariffRanking, *, ranged: bool) -> Grid:
    currency = ranking.case.currency
    rows = []
    for row in ranking.rows:
        mine = row is ranking.own
        name = Text.assemble((row.name, NAME if row is ranking.winner else ""), (" (yours)" if mine else "", ACCENT))
        name.append(f"\n{details(row)}", style=NOTE)
        cells = [
            Text(money(row.as_is.cost, currency)),
            Text(money(row.shifted.cost, currency), style=NAME if row is ranking.winner else ""),
        ]
        if ranged:
            found = ranking.range(row)
            cells.append(Text(span(found.low, found.high, currency)))
        saved = ranking.own.as_is.cost - row.shifted.cost
        parts = f"{money(-row.price_effect, currency)} + {money(-row.behaviour_effect, currency)}"
        cells.append(Text.assemble(money(saved, currency), "\n", (parts, NOTE)))
        rows.append((name, *cells))
    return Grid(("Tariff", "As it is", "Shifted", *(("Likely range",) if ranged else ()), "Saved"), tuple(rows))


def details(row: RankedTariff) -> str:
    """Mean price, share in the cheapest band and where it breaks even, seasons and peak, in one line."""
    shifted = row.shifted
    month, worst = shifted.worst_month
    said = [f"{shifted.bill.mean_price_per_kwh:.3f} a kWh"]
    if shifted.cheap_share is not None:
        share = f"{shifted.cheap_share:.0%} at its cheapest"
        if row.break_even_share is not None:
            share += f" ({_break_even(row.break_even_share)})"
        said.append(share)
    said.append(f"winter {shifted.winter_cost:,.0f}, {calendar.month_abbr[month]} {worst:,.0f}")
    said.append(f"peak {shifted.peak_kw:.1f} kW")
    if shifted.year.fuse is not None:
        said.append(
            f"fuse {shifted.year.fuse.margin_a:+.0f} A" if not shifted.year.fuse.hours_over else "over the fuse"
        )
    return ", ".join(said)


def _break_even(share: float) -> str:
    if share <= 0:
        return "pays at any share"
    return "pays at no share" if share >= 1 else f"pays from {share:.0%}"


def _fuel(found: LeavingFuel) -> list[RenderableType]:
    return [paragraph(found.sentence), bullets(found.steps)]


def tariffs_object(
    ranking: TariffRanking, *, ranged: bool = True, ahead: Mapping[str, DayAhead] | None = None
) -> dict[str, Any]:
    """Make the JSON object of a ranking: stable keys, money in the currency, energy in kWh, power in kW."""
    fuel = leaving_fuel(ranking.own.as_is.year)
    return {
        "case": ranking.case.name,
        "currency": ranking.case.currency,
        "own": ranking.own.name,
        "winner": ranking.winner.name,
        "winner_as_is": ranking.winner_as_is.name,
        "why": ranking.why,
        "certainty": ranking.certainty if ranged else None,
        "shifting": {
            "water": ranking.shifting.water, "car": ranking.shifting.car, "preheat_k": ranking.shifting.preheat_k,
        },
        "tariffs": [_row_object(row, ranking, ranged=ranged) for row in ranking.rows],
        "day_ahead": {
            name: {"costs": found.costs, "not_knowing": found.not_knowing, "answer": found.sentence}
            for name, found in (ahead or {}).items()
        },
        "leaving_fuel": None if fuel is None else _fuel_object(fuel),
        "notes": list(ranking.notes),
    }  # fmt: skip


def _row_object(row: RankedTariff, ranking: TariffRanking, *, ranged: bool) -> dict[str, Any]:
    return {
        "name": row.name,
        "scenario": row.as_is.granted,
        "as_is": _year_object(row.as_is),
        "shifted": _year_object(row.shifted),
        "moved": list(row.shifted.moved),
        "price_effect": row.price_effect,
        "behaviour_effect": row.behaviour_effect,
        "break_even_share": row.break_even_share,
        "range": ranking.range(row) if ranged else None,
        "saving": ranking.own.as_is.cost - row.shifted.cost,
        "saving_range": ranking.saving_range(row) if ranged else None,
    }


def _year_object(one: TariffYear) -> dict[str, Any]:
    year: Year = one.year
    month, worst = one.worst_month
    fuse = one.year.fuse
    return {
        "total": one.cost,
        "winter": one.winter_cost,
        "worst_month": {"month": month, "amount": worst},
        "mean_price_per_kwh": one.bill.mean_price_per_kwh,
        "import_kwh": year.totals["import"],
        "bands": [
            {"name": b.name, "kwh": b.kwh, "share": b.share, "price_per_kwh": b.price_per_kwh} for b in one.bill.bands
        ],
        "cheap_share": one.cheap_share,
        "peak_kw": one.peak_kw,
        "fuse": None if fuse is None else {"margin_a": fuse.margin_a, "hours_over": fuse.hours_over},
        "comfort": one.year.comfort.words,
        "lines": [
            {"label": x.label, "quantity": x.quantity, "unit": x.unit, "amount": x.amount, "kind": x.kind}
            for x in one.bill.lines
        ],
        "months": one.bill.months,
    }


def _fuel_object(fuel: LeavingFuel) -> dict[str, Any]:
    return {
        "fuel": fuel.fuel, "burners": list(fuel.burners), "standing_cost": fuel.standing_cost,
        "other_fuel_cost": fuel.other_fuel_cost, "electricity_cost": fuel.electricity_cost,
        "capping_fee": fuel.capping_fee, "saving": fuel.saving, "answer": fuel.sentence, "steps": list(fuel.steps),
    }  # fmt: skip
