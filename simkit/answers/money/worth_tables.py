"""Options weighed over the years in; worth, costs, what decides and the years, as tables, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from simkit.answers.answer import Column, Table
from simkit.answers.money.leaving_fuel import steps_table
from simkit.finance.cash import years_cell
from simkit.finance.cashflow import COLUMNS, RUNNING, OptionMoney
from simkit.finance.offers import OfferPair
from simkit.finance.weighing import Weighed
from simkit.notation import Notation, named
from simkit.quantities import INPUT_WORDS
from simkit.uncertainty.ranges import Range

FUTURES = {
    "prices as today": "regret_today_amount", "fuel grows expensive": "regret_fuel_amount",
    "electricity grows expensive": "regret_expensive_amount", "electricity grows cheap": "regret_cheap_amount",
    "greatest": "regret_most_amount",
}  # fmt: skip
MOST_INPUTS, LESS = 8, "less comfort"


def worth_tables(found: Weighed, notation: Notation, *, years: bool = False) -> Iterator[Table]:
    """Whether to change, what each costs, the offers, what comes next, what decides, carbon; the years where asked."""
    yield _change(found, notation)
    yield _costs(found, notation)
    if any(option.settled.payments for option in found.worth.options):
        yield _written(found, notation)
    if found.pair is not None and found.pair.differences:
        yield _differences(found.pair)
    if any(option.settled.already_paid for option in found.worth.others):
        yield _now(found, notation)
    yield _tornado(found)
    if len(found.regrets) > 1:
        yield _regrets(found)
    yield _carbon(found)
    if found.leaving is not None:
        yield steps_table(found.leaving)
    if years:
        for option in found.worth.options:
            yield from _years(found, option, notation)


def _change(found: Weighed, notation: Notation) -> Table:
    """Each option against keeping what is there: at equal comfort, and as it was lived."""
    worth, horizon = found.worth, found.worth.money.horizon_years
    rows = []
    for option in worth.others:
        like, base, missing = found.keeps_as_warm(option), worth.base, found.lacks_price(option)
        row: dict[str, Any] = {
            "option": option.name, "comfort": option.year.comfort.worded(notation.number),
            "net_price_amount": None if missing else option.settled.net,
        }  # fmt: skip
        for name, other in (("like", None if missing else like), ("lived", None if missing else base)):
            row |= _more(name, found, option, other)
        alike = like is not None and option.year.comfort.as_warm_as(like.year.comfort)
        row["like_words"] = like.name if alike and like is not None else ""
        odds = (
            None if found.sampled is None or missing else found.sampled.odds(option.name, horizon, (like or base).name)
        )
        rows.append(row | {"odds_share": odds})
    shown = (
        Column("comfort"),
        Column("like_more_amount", "like_more_low_amount", "like_more_high_amount", as_difference=True),
        Column("like_back_words"),
        Column("lived_more_amount", "lived_more_low_amount", "lived_more_high_amount", as_difference=True),
        Column("lived_back_words"),
    )  # fmt: skip
    note = (
        f"What it costs more or less over {horizon} years, worth today, than keeping what is there: at equal comfort "
        f"or better, and at the old comfort ({named(worth.against)})."
    )
    if any(str(row[name]) == LESS for row in rows for name in ("like_back_words", "lived_back_words")):
        note += f" Where it says “{LESS}”, rooms or water would not be as warm, so that nothing is like for like."
    return Table("options", "Should I?", pd.DataFrame(rows).set_index("option"), shown, note, first="Option")


def _more(name: str, found: Weighed, option: OptionMoney, other: OptionMoney | None) -> dict[str, Any]:
    """What an option costs more than another over the years with its range, and its payback."""
    more = f"{name}_more"
    empty: dict[str, Any] = dict.fromkeys((f"{more}_amount", f"{more}_low_amount", f"{more}_high_amount"))
    if other is None:
        return empty | {f"{name}_back_words": "price missing" if found.lacks_price(option) else ""}
    if not option.year.comfort.as_warm_as(other.year.comfort):
        return dict.fromkeys((f"{more}_amount", f"{more}_low_amount", f"{more}_high_amount")) | {
            f"{name}_back_words": LESS
        }
    measured, spread = found.measures(option, other), found.more(option, other)
    back = years_cell(
        measured.simple_first,
        measured.simple_payback,
        found.worth.money.horizon_years,
        found.worth.base.case.notation,
    )
    return {f"{more}_amount": -measured.gain_today, **_ends(more, spread), f"{name}_back_words": back}


def _ends(name: str, spread: Range | None) -> dict[str, float | None]:
    low, high = (None, None) if spread is None else (spread.low, spread.high)
    return {f"{name}_low_amount": low, f"{name}_high_amount": high}


def _costs(found: Weighed, notation: Notation) -> Table:
    """What each option costs at what comfort, and what a loan takes."""
    rows = []
    for option in found.worth.options:
        loan, missing = option.settled.financing, found.lacks_price(option)
        rows.append(
            {
                "option": option.name, "comfort": option.year.comfort.worded(notation.number),
                "net_price_amount": None if missing else option.settled.net,
                "first_year_cost": float(option.cash.loc[1, [*RUNNING, "service_cost"]].sum()),
                "even_year_cost": None if missing else option.annualised_cost,
                "whole_life_cost": None if missing else option.worth_today,
                "heat_price_per_kwh": None if missing else option.heat_cost_per_kwh,
                "loan_month_amount": None if loan is None else loan.payment_per_month,
                "loan_year_amount": None if loan is None else loan.payment_per_month * min(loan.months, 12),
            }
        )  # fmt: skip
    names = ["comfort", "net_price_amount", "first_year_cost", "even_year_cost", "heat_price_per_kwh"]
    if any(row["loan_month_amount"] is not None for row in rows):
        names += ["loan_month_amount", "loan_year_amount"]
    frame = pd.DataFrame(rows).set_index("option")
    note = f"Even cost a year: everything over {found.worth.money.horizon_years} years, as one amount a year."
    if frame["net_price_amount"].isna().any():
        note += " Where no price is stated, only running is known."
    return Table("costs", "What each option costs", frame, tuple(map(Column, names)), note, first="Option")


def _written(found: Weighed, notation: Notation) -> Table:
    """The offers as they are written: what is quoted, extras, removal and supports apart, and what binds."""
    rows = []
    for option in found.worth.options:
        if not option.settled.payments:
            continue
        ledger = option.case.ledger
        assert ledger is not None  # its payments come from it
        kinds = ledger.by_kind
        rows.append(
            {
                "option": option.name, "quoted_amount": kinds("quote", "enabling", "tax"),
                "extras_amount": kinds("site_extra"), "removal_amount": kinds("removal", "disconnection"),
                "supports_amount": -option.settled.supports, "net_price_amount": option.settled.net,
                "deposit_amount": option.settled.deposits, "walking_away_amount": ledger.walking_away,
                "valid_words": "" if ledger.valid_until is None else notation.date(ledger.valid_until),
            }
        )  # fmt: skip
    frame = pd.DataFrame(rows).set_index("option")
    kept = [name for name in frame.columns if name in ("quoted_amount", "net_price_amount") or _told(frame[name])]
    lost = "Walking away: what is lost if it is ordered and then cancelled, deposits that don't come back included."
    note = lost if "walking_away_amount" in kept else ""
    return Table("offers", "The offers as written", frame, tuple(map(Column, kept)), note, first="Option")


def _told(column: pd.Series[Any]) -> bool:
    """Whether a column says anything."""
    return any(bool(value) and not pd.isna(value) for value in column)


def _differences(pair: OfferPair) -> Table:
    keys, cheap, expensive = zip(*pair.differences, strict=True)
    frame = pd.DataFrame({"cheap_words": cheap, "expensive_words": expensive}, index=pd.Index(keys, name="key"))
    shown = (Column("cheap_words", title=pair.cheap), Column("expensive_words", title=pair.expensive))
    return Table("differences", "What differs between the offers", frame, shown, first="Key of the case")


def _now(found: Weighed, notation: Notation) -> Table:
    """What is worth doing from here on: what is spent already counts on neither side."""
    rows = []
    for option in found.worth.others:
        if not option.settled.already_paid:
            continue
        measured = found.worth.measures(option.name, sunk=False)
        spread, shift = found.more(option, found.worth.base), found.worth.measures(option.name).gain_today
        moved = None if spread is None else spread.shifted(shift - measured.gain_today)
        back = years_cell(
            measured.simple_first,
            measured.simple_payback,
            found.worth.money.horizon_years,
            notation,
        )
        row: dict[str, Any] = {"comfort": option.year.comfort.worded(notation.number)}
        row |= {"now_price_amount": measured.extra_outlay, "now_more_amount": -measured.gain_today}
        rows.append({"option": option.name, **row, **_ends("now_more", moved), "now_back_words": back})
    shown = (
        Column("comfort"),
        Column("now_price_amount"),
        Column("now_more_amount", "now_more_low_amount", "now_more_high_amount", as_difference=True),
        Column("now_back_words", title="Pays back"),
    )
    note = f"Against {named(found.worth.against)}, with what is spent already left out on both sides."
    return Table("now", "What now, from here on", pd.DataFrame(rows).set_index("option"), shown, note, first="Option")


def _tornado(found: Weighed) -> Table:
    one, other = found.decides_for
    rows = found.tornado.head(MOST_INPUTS)
    frame = pd.DataFrame(
        {"at_low_amount": -rows["at_low"].to_numpy(), "at_high_amount": -rows["at_high"].to_numpy()},
        index=pd.Index([INPUT_WORDS.get(str(name), str(name)) for name in rows.index], name="input"),
    )
    shown = [Column("at_low_amount", as_difference=True), Column("at_high_amount", as_difference=True)]
    if found.shares is not None:
        frame["part_share"] = found.shares["in_all"].reindex(rows.index).to_numpy()
        frame["part_sure_share"] = found.shares["in_all_sure_within"].reindex(rows.index).to_numpy()
        shown += [Column("part_share"), Column("part_sure_share")]
    note = (
        f"What {named(one)} then costs over the years against {named(other)}; each input by itself, the others at "
        "their middle."
    )
    return Table("tornado", "What decides it", frame, tuple(shown), note, first="Input")


def _regrets(found: Weighed) -> Table:
    frame = found.regrets.rename(columns=FUTURES)
    note = "What each option would cost more than the best one, worth today, if prices went that way."
    out = [named(option.name) for option in found.worth.options if option.name not in frame.index]
    if out:
        note += f" Left out, since they lack comfort or a price: {', '.join(out)}."
    return Table("regret", "If prices go another way", frame, note=note, first="Option")


def _carbon(found: Weighed) -> Table:
    rows = []
    for option in found.worth.options:
        carbon = found.worth.carbon[option.name]
        bare = option.name == found.worth.against or found.lacks_price(option)
        measured = None if bare else found.worth.measures(option.name)
        rows.append(
            {
                "option": option.name, "carbon_kg": carbon.first_year_kg, "life_carbon_kg": carbon.life_kg,
                "by_hour_carbon_kg": carbon.electricity_by_hour_kg,
                "tonne_amount": None if measured is None else measured.cost_per_tonne,
            }
        )  # fmt: skip
    frame = pd.DataFrame(rows).set_index("option")
    shown = tuple(Column(name) for name in frame.columns if name != "by_hour_carbon_kg" or _told(frame[name]))
    note = f"A tonne avoided, against {named(found.worth.against)}"
    note += ": below zero where it saves money as well." if (frame["tonne_amount"].dropna() < 0.0).any() else "."
    return Table("carbon", "Carbon dioxide", frame, shown, note, first="Option")


def _years(found: Weighed, option: OptionMoney, notation: Notation) -> Iterator[Table]:
    """Ledger and yearly table of an option, without columns of nothing, so that every figure can be checked by hand."""
    cash = option.cash.rename(columns={"worth_today": "worth_today_amount"}).rename_axis("year")
    cash["carbon_kg"] = [0.0, *found.worth.carbon[option.name].by_year_kg.tolist()]
    moving = [name for name in COLUMNS if (cash[name].abs() >= 0.5).any()]
    heat = (
        f"Heat of a year {notation.number(option.heat_kwh)} kWh. Household and car take "
        f"{notation.share(option.household_share, 2)} of the electricity, which is no cost of heat."
    )
    shown = tuple(map(Column, [*moving, "total_cost", "worth_today_amount", "carbon_kg"]))
    yield Table(f"years of {option.name}", f"{option.name}: year by year", cash, shown, heat, first="Year")
    if option.settled.payments:
        ledger = option.settled.frame().set_index("line")
        frame = pd.DataFrame(
            {
                "date_words": [notation.date(day) for day in ledger["date"]], "kind_words": ledger["kind"].to_numpy(),
                "line_amount": ledger["amount"].to_numpy(), "running_amount": ledger["running"].to_numpy(),
                "source_words": ledger["source"].to_numpy(),
            },
            index=ledger.index,
        )  # fmt: skip
        yield Table(f"ledger of {option.name}", f"{option.name}: the ledger", frame, first="Line")
