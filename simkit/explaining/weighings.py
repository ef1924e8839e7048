"""Options of a home in; figures of the tariffs that they name, of what could be done next, and their ranges, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import permutations
from math import isnan

from simkit.decide.measures.combinations import OWN_TARIFF
from simkit.decide.measures.ladder import Ladder, rank_measures
from simkit.decide.measures.rung_ranges import rung_ranges
from simkit.decide.measures.usual import usual_measures
from simkit.decide.tariff.ranked import SOUTHERN_WINTER, WINTER, TariffYear
from simkit.decide.tariff.ranking import TariffRanking, rank_tariffs
from simkit.errors import CaseError
from simkit.explaining.catalogue import slug, year_figures
from simkit.explaining.chain import MONEY, PRICE, Figure, Link, Links, fixed
from simkit.explaining.energy import KERNEL
from simkit.explaining.money import added, month_links
from simkit.explaining.over_years import costs_from_here, worth_of
from simkit.explaining.within import ends
from simkit.finance.risk import prospects
from simkit.finance.weighing import SAMPLES
from simkit.notation import named
from simkit.tariff.tariff import Tariff
from simkit.year.compare import Comparison
from simkit.year.simulate import simulate
from simkit.year.year import Year


def tariffs_named(found: Comparison) -> list[Tariff]:
    """The tariffs that the options name."""
    return list({year.case.tariff.name: year.case.tariff for year in found.years}.values())


def ladder_of(found: Comparison) -> Ladder | None:
    """What could be done to the home; None where nothing could be asked about."""
    case = found.stated
    listed = case.money.measure if case.money else None
    try:
        return rank_measures(case, listed or usual_measures(case))
    except CaseError:
        return None


def tariffs(found: Comparison) -> Iterator[Figure]:
    """A home's year at each tariff that the options name, as it is and with what may be moved."""
    several = tariffs_named(found)
    for year in found.years if len(several) > 1 else ():
        prefix = f"tariff.{slug(year.case.name)}." if len(found.years) > 1 else "tariff."
        yield from _ranked(rank_tariffs(year.case, several), prefix)


def _ranked(found: TariffRanking, prefix: str) -> Iterator[Figure]:
    own = next(row for row in found.rows if row.name == found.own.name)
    for row in found.rows:
        for how, one in (("as_it_is", row.as_is), ("moved", row.shifted)):
            if one.granted:
                continue
            key, moved = f"{prefix}{slug(row.name)}.{how}.", f", {' and '.join(one.moved)}" if one.moved else ""
            for figure in year_figures(one.year, key):
                yield replace(figure, label=f"{figure.label} at {named(row.name)}{moved}")
            yield from _details(one, key, f"at {named(row.name)}{moved}")
            if row is not own or how == "moved":
                more = one.year.bill.total - own.as_is.year.bill.total
                yield fixed(f"{key}more", f"what it costs more than now at {named(row.name)}{moved}", "more_cost",
                            (own.as_is.year, one.year), more,
                            partial(_more, own.as_is.year, one.year))  # fmt: skip


def _details(one: TariffYear, key: str, at: str) -> Iterator[Figure]:
    """What a table of tariffs holds besides a year's bill."""
    year, n = one.year, one.year.case.notation
    winter = WINTER if year.case.site.latitude_deg >= 0 else SOUTHERN_WINTER
    worked = added(n, (float(one.bill.months[month - 1]) for month in winter))
    link = Link("Cost of the winter months", worked, one.winter_cost, MONEY, 2, "bill by month")
    yield fixed(
        f"{key}winter", f"cost of the winter {at}", "winter_cost", (year,), one.winter_cost, partial(list, [link])
    )
    month, most = one.worst_month
    links = partial(month_links, year, month)
    yield fixed(f"{key}worst", f"most expensive month {at}", "worst_month_cost", (year,), most, links)
    when = f"{year.axis.local[int(year.flow('grid_import').argmax())]:%Y-%m-%d %H:%M}"
    link = Link("Highest power bought", f"about {when}", one.peak_kw, "kW", 2, KERNEL)
    yield fixed(f"{key}peak", f"highest power bought {at}", "peak_kw", (year,), one.peak_kw, partial(list, [link]))
    if one.cheap_share is not None:
        yield fixed(f"{key}cheap", f"share of what is bought that is bought cheaply {at}", "cheap_share", (year,),
                    one.cheap_share, partial(_cheap, one))  # fmt: skip
    mean = one.bill.mean_price_per_kwh
    if not isnan(mean):
        bought = sum(band.kwh for band in one.bill.bands)
        worked = f"{n.money(mean * bought, 2)} for energy, tax included ÷ {n.number(bought, 1)} kWh"
        link = Link("Mean price", worked, mean, PRICE, 4, "bill, without what is due by day or by kW")
        yield fixed(f"{key}mean", f"mean price of a kilowatt-hour bought {at}", "mean_price_per_kwh", (year,), mean,
                    partial(list, [link]))  # fmt: skip


def _cheap(one: TariffYear) -> Links:
    """From what is bought to the share of it that is bought where it is cheapest."""
    assert one.cheap_share is not None  # who asks has seen it
    bought, n = one.year.totals["import"], one.year.case.notation.number
    cheap = one.cheap_share * bought
    market = any(line.kind == "market" for line in one.bill.lines)
    where = "in the cheapest quarter of all hours" if market else "in the band of the lowest price"
    return [
        Link("Bought", "", bought, "kWh", 1, KERNEL), Link("Of it cheaply", where, cheap, "kWh", 1, "bill"),
        Link("Share bought cheaply", f"{n(cheap, 1)} ÷ {n(bought, 1)} kWh", one.cheap_share, "–", 3, "both"),
    ]  # fmt: skip


def _more(now: Year, then: Year) -> Links:
    """From both bills to what one is more than the other."""
    was, will = now.bill.total, then.bill.total
    n = then.case.notation
    worked = f"{n.money(will, 2)} − {n.money(was, 2)}"
    return [
        Link("As it is now", "", was, MONEY, 2, f"bill at the tariff {named(now.case.tariff.name)}"),
        Link("At the other tariff", "", will, MONEY, 2, f"bill at the tariff {named(then.case.tariff.name)}"),
        Link("More a year", worked, will - was, MONEY, 2, "both bills"),
    ]


def measures(found: Comparison) -> Iterator[Figure]:
    """What each thing that could be done saves, by itself and after what is done before it."""
    ladder = ladder_of(found)
    if ladder is None:
        return
    year, before = simulate(ladder.combined.cases[0]), 0
    for rung in ladder.rungs:
        key, name = f"measure.{slug(rung.measure.name)}.", named(rung.measure.name)
        alone = ladder.combined.row([rung.measure.name])
        figures = {
            "price": (f"price of {name}", "line_amount", rung.measure.cost, [_price(ladder, rung.measure.name)]),
            "alone": (f"saved a year by {name} alone", "saved_cost", rung.alone, _saved(ladder, 0, alone)),
            "adds": (f"saved a year by {name} after what is done before it", "saved_cost", rung.adds,
                     _saved(ladder, before, rung.row)),
            "so_far": (f"saved a year by {name} and all that is done before it", "saved_cost", rung.saved_so_far,
                       _saved(ladder, 0, rung.row)),
        }  # fmt: skip
        for what, (label, column, amount, links) in figures.items():
            yield fixed(f"{key}{what}", label, column, (year,), amount, partial(list, links))
        before = rung.row
    yield from _budgets(ladder, year)


def _budgets(ladder: Ladder, year: Year) -> Iterator[Figure]:
    """What each budget buys: its price, what it saves, and what is left of that after its own even cost."""
    for budget, row in ladder.budgets().iterrows():
        names, n = [name for name in str(row["buys"]).split("; ") if name != "nothing"], year.case.notation
        prices = [_price(ladder, name) for name in names]
        worked = added(n, (price.value for price in prices))
        cost = [*prices, Link("Price of all", worked, float(row["cost"]), MONEY, 2, "sum of the prices")]
        saved = _saved(ladder, 0, ladder.combined.row(names))
        even = float(row["saved"] - row["net"])
        worked = f"{n.money(float(row['saved']), 2)} − {n.money(even, 2)}, their price as an even amount a year"
        left = [*saved, Link("Left a year", worked, float(row["net"]), MONEY, 2, "annuity over their lives")]
        figures = {"cost": ("spent_amount", cost), "saved": ("saved_cost", saved), "net": ("net_amount", left)}
        for what, (column, links) in figures.items():
            key, amount = f"measure.budget.{budget:.0f}.{what}", float(row[what])
            label = f"{links[-1].what.lower()}, of what a budget of {n.money(float(budget))} buys"
            yield fixed(key, label, column, (year,), amount, partial(list, links))


def _price(ladder: Ladder, name: str) -> Link:
    measure = next(one for one in ladder.combined.measures if one.name == name)
    return Link(f"Price of {named(name)}", f"lasts {measure.life_years:g} years", measure.cost, MONEY, 2,
                "[[money.measure]] cost")  # fmt: skip


def _saved(ladder: Ladder, before: int, after: int) -> Links:
    """From the heat loss and the year's cost before to those after."""
    c, n = ladder.combined, ladder.combined.cases[0].notation
    links = []
    for row, when in ((before, "before"), (after, "after")):
        held = ", ".join(map(named, c.names(row))) or "the home as it is"
        at = c.tariffs[int(c.costs[row].argmin())]
        links.append(Link(f"Heat loss {when}", held, float(c.losses[row]), "W/K", 1, "[home.loss], less what is saved"))
        links.append(Link(f"Cost of the year {when}", f"simulated, at the tariff {named(at)}" if at != OWN_TARIFF else
                          "simulated", float(c.best_costs[row]), MONEY, 2, "bill of the year"))  # fmt: skip
    was, now = float(c.best_costs[before]), float(c.best_costs[after])
    worked = f"{n.money(was, 2)} − {n.money(now, 2)}"
    return [*links, Link("Saved a year", worked, was - now, MONEY, 2, "both bills")]


def spreads(found: Comparison) -> Iterator[Figure]:
    """Of what each option costs more than each other, of each tariff, and of what each measure adds."""
    yield from _worths(found)
    yield from _tariffs(found)
    yield from _measures(found)


def _worths(found: Comparison) -> Iterator[Figure]:
    held = worth_of(found)
    if held is None:
        return
    sampled = prospects(held, samples=SAMPLES)
    for other, option in permutations(held.options, 2):
        key = f"spread.{slug(option.name)}.against.{slug(other.name)}."
        label = f"what {named(option.name)} costs more over the years than {named(other.name)}"
        more = -sampled.gain_samples(option.name, other.name)
        now = other.worth_today - option.worth_today
        yield from ends(key, label, "worth_today_amount", more, -now, other.year, option.year)
        if option.settled.already_paid:
            spent = costs_from_here(held, other, option) + now
            years = other.year, option.year
            yield from ends(
                f"{key}from_here.", f"from here on, {label}", "worth_today_amount", more + spent, spent - now, *years
            )


def _tariffs(found: Comparison) -> Iterator[Figure]:
    tariffs = tariffs_named(found)
    for year in found.years if len(tariffs) > 1 else ():
        ranking = rank_tariffs(year.case, tariffs)
        own = ranking.samples[ranking.own.name, False]
        for row in ranking.rows:
            one, samples = row.shifted, ranking.samples[row.name, True]
            key, at = f"spread.{slug(year.case.name)}.{slug(row.name)}.", f"at {named(row.name)}"
            yield from ends(key, f"cost of a year {at}", "year_cost", samples, one.cost, one.year)
            more = one.cost - ranking.own.as_is.cost
            yield from ends(f"{key}more.", f"what a year costs more {at}", "more_cost", samples - own, more, one.year)


def _measures(found: Comparison) -> Iterator[Figure]:
    ladder = ladder_of(found)
    if ladder is None or not ladder.rungs:
        return
    year, table = simulate(ladder.combined.cases[0]), rung_ranges(ladder)
    for rung in ladder.rungs:
        name = rung.measure.name
        for end in ("low", "high"):
            amount = float(table.loc[name, end])
            links = [
                Link("Adds, as stated", "after what is done before it", rung.adds, MONEY, 2, "both bills"),
                Link(f"Its {end} end", "10 or 90 of a hundred samples stay under", amount, MONEY, 2, "[uncertainty]"),
            ]
            label = f"{end} end of what {named(name)} adds a year"
            yield fixed(f"spread.{slug(name)}.{end}", label, "more_cost", (year,), amount, partial(list, links))
