"""Every home of a table, simulated, in; what is said over all of them, what speaks against it first, out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.figures.stock import costs_of_homes, costs_of_homes_sentence
from simkit.notation import PLAIN, Notation, usual_locale
from simkit.stock.outcome import MISSING, Stock
from simkit.year.comfort import LEVELS, LITTLE_COOL, TOO_COLD
from simkit.year.simulate import simulate

QUESTION = "What do these homes cost to run?"
READ = (
    "line", "group", "option", "tariff", "weather", "currency", "cost", "import_kwh", "rooms_level", "water_short",
    "peak_kw",
)  # fmt: skip
LOW, HIGH = 0.1, 0.9
OTHERS = 3  # own: of what else was tried, so many are told in sentences; all stand in the table
FEW_TOGETHER = 10  # own: fewer homes are no street, and their peak together is chance
GROUPS = 40  # own: more are no table that a person reads; all stand in the files


def stock_answer(found: Stock) -> Answer:
    """Say what the middle home pays by option and tariff, which is cheapest for how many, and where comfort fails.

    Parameters
    ----------
    found
        What became of a table of homes.
    """
    every = found.frame(READ)
    kinds = _kinds(every)
    every["kind"] = _joined(every, kinds)
    years = every[every["weather"] == 0]
    currency = str(years["currency"].mode().iloc[0]) if len(years) else ""
    notation = Notation(usual_locale(found.case.site.country), currency) if len(years) else PLAIN
    table = _sums(years, years["kind"])
    best = str(table["cheapest_count"].idxmax()) if len(table) else ""
    by_home = years.pivot(index="line", columns="kind", values="cost")
    table["home_more_cost"] = by_home.sub(by_home[best], axis=0).median() if best else None
    grouped = years.sort_values("group", kind="stable")
    groups = _sums(grouped, _joined(grouped, ["group", *kinds])) if years["group"].ne("").any() else table.head(0)
    tables = [Table("homes", "By option and tariff", table, COLUMNS, note=NOTE, first=_called(kinds))][: len(years)]
    if 0 < len(groups) <= GROUPS:
        tables.append(Table("groups", "By group", groups, COLUMNS, note=NOTE, first=_called(["group", *kinds])))
    said = [
        *_left_out(found, notation),
        *_comfort(table, notation),
        *_costs(table, best, notation, mixed=years["currency"].nunique() > 1),
        *_peaks(found, years, best, notation),
    ]
    together = _together(every, best)
    said += _weathers(together, best, notation)
    spans = table if years["currency"].nunique() == 1 else table.head(0)
    return Answer(
        found.table.name, QUESTION, tuple(said) or ("No home was run.",), notation,
        tables=tuple(tables),
        pictures=(
            Picture(
                "costs", lambda figure: costs_of_homes(spans, figure=figure, notation=notation),
                costs_of_homes_sentence(spans, notation),
            ),
        ) if len(spans) else (),
        cautions=cautions_for([simulate(found.case)], names=["the home that they stand on"]),
        notes=(
            "A row tells what is its own; the case of its place and the defaults hold for the rest.",
            f"Every home-year stands in {found.folder.name}, in {_files(len(found.parts))}.",
        ),
        provenance={"folder": str(found.folder), "parts": [part.name for part in found.parts]},
        data={
            "homes": found.homes, "home_years": found.years, "kept_parts": found.kept,
            "not_run": [{"line": line, "name": name, "reason": why} for line, name, why in found.missing[:GROUPS]],
            "not_run_count": len(found.missing),
            "together": [{"weather": number, "together_cost": cost} for number, cost in together.items()],
            "peaks": [
                {**variant._asdict(), "homes": load.homes, "peak_kw": load.peak_kw, "peak_kw_each": load.each_kw}
                for variant, load in found.together.items()
            ],
        },
    )  # fmt: skip


NOTE = "Estimates, never promises; amounts of different currencies are not compared."
COLUMNS = tuple(map(Column, (
    "homes_count", "home_cost", "home_cost_low", "home_cost_high", "import_kwh", "cheapest_count", "cold_count",
    "cool_count", "short_count",
)))  # fmt: skip


def _files(count: int) -> str:
    return "one Parquet file" if count == 1 else f"{count} Parquet files"


def _kinds(years: pd.DataFrame) -> list[str]:
    """What tells variants apart: those of option, tariff and currency of which there are several."""
    several = [name for name in ("option", "tariff", "currency") if years[name].nunique() > 1]
    return several or ["tariff"]


def _called(kinds: Sequence[str]) -> str:
    return ", ".join(kinds).capitalize()


def _joined(years: pd.DataFrame, kinds: Sequence[str]) -> pd.Series:
    """What tells the variant of each home-year, in one text."""
    first, *rest = (years[kind].astype(str) for kind in kinds)
    return first.str.cat(rest, sep=", ") if rest else first


def _sums(years: pd.DataFrame, kind: pd.Series) -> pd.DataFrame:
    """Sums over the homes of each variant, in the order in which variants are first met."""
    comfortable = (years["rooms_level"] == 0) & ~years["water_short"]
    cost = years["cost"].where(comfortable, np.inf)
    least = cost.groupby([years["line"], years["currency"]], observed=True).transform("min")
    judged = years.assign(
        cheapest=np.isfinite(cost) & (cost <= least), cold=years["rooms_level"] == TOO_COLD,
        cool=years["rooms_level"] == LITTLE_COOL,
    )  # fmt: skip
    by = judged.groupby(kind, sort=False)
    frame = pd.DataFrame(
        {
            "homes_count": by["line"].nunique(),
            "home_cost": by["cost"].median(),
            "home_cost_low": by["cost"].quantile(LOW),
            "home_cost_high": by["cost"].quantile(HIGH),
            "import_kwh": by["import_kwh"].mean(),
            "cheapest_count": by["cheapest"].sum(),
            "cold_count": by["cold"].sum(),
            "cool_count": by["cool"].sum(),
            "short_count": by["water_short"].sum(),
        }
    )
    return frame.rename_axis("homes")


def _left_out(found: Stock, notation: Notation) -> list[str]:
    if not found.missing:
        return []
    of = f"{notation.number(len(found.missing))} of {notation.number(found.homes)} rows"
    return [f"{of} could not be run: {MISSING} beside the results says why of each."]


def _comfort(table: pd.DataFrame, notation: Notation) -> list[str]:
    """In how many homes rooms or water fail, by variant where variants differ."""
    said = []
    for column, words in (
        ("cold_count", f"Rooms are {LEVELS[TOO_COLD]}"), ("cool_count", f"Rooms are {LEVELS[LITTLE_COOL]}"),
        ("short_count", "Hot water runs short"),
    ):  # fmt: skip
        counts = table[column]
        if counts.any():
            worst = counts.idxmax()
            with_it = "" if counts.nunique() == 1 else f" with {worst}, {_least(counts, notation)}"
            of = f"{notation.number(counts[worst])} of {notation.number(table['homes_count'][worst])} homes"
            said.append(f"{words} in {of}{with_it}.")
    return said


def _least(counts: pd.Series, notation: Notation) -> str:
    return f"in {notation.number(counts.min())} with {counts.idxmin()}"


def _costs(table: pd.DataFrame, best: str, notation: Notation, *, mixed: bool) -> list[str]:
    """What the middle home pays with what is cheapest for most, and how much more with the rest."""
    if not best:
        return []
    row = table.loc[best]
    span = f"{notation.money(row.home_cost_low)} to {notation.money(row.home_cost_high)} in eight of ten"
    if len(table) == 1:
        return [f"A year costs {notation.money(row.home_cost)} in the middle home, and {span}."]
    if mixed:
        return []
    if not row.cheapest_count:
        return ["With nothing that was tried are rooms and water as warm as needed, so none is called cheapest."]
    of = f"{notation.number(row.cheapest_count)} of {notation.number(row.homes_count)} homes"
    rest = table["home_more_cost"].drop(index=best).iloc[:OTHERS]
    said = [
        f"{best} is the cheapest that keeps rooms and water as warm as needed in {of}.",
        f"Over all homes{_with_cold(table)} a year with it costs {notation.money(row.home_cost)} in the middle home, "
        f"and {span}.",
    ]
    return [*said, *(f"The middle home pays {notation.more_or_less(more)} with {name}." for name, more in rest.items())]


def _peaks(found: Stock, years: pd.DataFrame, best: str, notation: Notation) -> list[str]:
    """What all homes import together at most, beside each alone, with what is cheapest for most."""
    rows = years[years["kind"] == best]
    known = [
        (variant, load) for variant, load in found.together.items()
        if load.homes == len(rows) and variant[:2] == tuple(rows[["option", "tariff"]].iloc[0])
    ]  # fmt: skip
    if len(rows) < FEW_TOGETHER or not known:
        return []
    (variant, load), number = known[0], notation.number
    return [
        f"With {best} all homes together take at most {number(load.peak_kw)} kW, {number(load.each_kw, 1)} kW each "
        f"(half-hour from {load.peak_at(variant, notation)}); alone the middle home takes up to "
        f"{number(rows['peak_kw'].median(), 1)} kW."
    ]


def _with_cold(table: pd.DataFrame) -> str:
    """A cold home pays for less warmth: that is said of whatever is summed up over it as well."""
    return ", those that are not warm among them," if table[["cold_count", "cool_count"]].to_numpy().any() else ""


def _together(every: pd.DataFrame, best: str) -> dict[int, float]:
    """What all homes together pay with the variant named, by weather, the usual one first [currency]."""
    if every["weather"].nunique() < 2 or every["currency"].nunique() > 1:
        return {}
    by_weather = every[every["kind"] == best].groupby("weather")["cost"].sum()
    return {int(str(number)): float(cost) for number, cost in by_weather.items()}


def _weathers(together: dict[int, float], best: str, notation: Notation) -> list[str]:
    """What all homes together pay in the usual year, and in the others."""
    if not together:
        return []
    usual, *others = (notation.money(cost) for cost in (together[0], min(together.values()), max(together.values())))
    return [
        f"With {best} all homes together pay {usual} in the usual weather, and {others[0]} to {others[1]} in that and "
        f"{notation.number(len(together) - 1)} other years."
    ]
