"""What a battery saves in; whether it is worth having, how large, and what panels make of it, out."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import closing, either_way, provenance_of, wrong_first
from simkit.decide.battery.size import require_battery
from simkit.decide.battery.together import Together
from simkit.decide.battery.worth import BatteryWorth, Saved
from simkit.notation import Notation

WEAR = (
    "Savings are those of the bill. Wear, at the price stated for a kWh given, stands beside them; what a battery "
    "costs is weighed over its life, never both ways."
)
TWICE = "Counted twice: by how much the parts' own savings, added up, are more than what they save together."


def battery_answer(found: BatteryWorth, *, added: Together | None = None) -> Answer:
    """Say what a battery is worth.

    Parameters
    ----------
    found
        Its savings.
    added
        Panels, battery and the best schedule in every combination, where asked for.
    """
    notation, panels = found.case.notation, found.beside_panels is not None or added is not None
    tables = [_sizes(found, notation), _week(found)]
    if added is not None:
        tables.append(_together(added))
    return Answer(
        found.case.name, "What does a battery save, and what would one kWh more?",
        tuple(battery_sentences(found, notation, added)), notation,
        tables=tuple(tables), pictures=(_picture(found),),
        cautions=cautions_for([found.year], {"battery", "panels"} if panels else {"battery"}),
        notes=(WEAR, *found.year.notes), provenance=provenance_of(found.year), data=_data(found, added),
    )  # fmt: skip


def battery_sentences(found: BatteryWorth, notation: Notation, added: Together | None = None) -> list[str]:
    """What it saves with its range, without panels and beside them; its size; the coldest day; the parts together."""
    alone, beside = found.alone, found.beside_panels
    where = " without panels" if beside is not None else ""
    ranged = alone.likely is not None
    what = f"a battery of {notation.brief(alone.usable_kwh)} kWh {_saves(alone, notation)}{where}"
    said = [wrong_first(found.year, f"{what}{_next(alone, notation)}")]
    if beside is not None:
        said.append(f"With the panels first it {_saves(beside, notation)}{_next(beside, notation)}.")
    else:
        if alone.saving < 0:
            said.append("What it loses and draws itself costs more than what it moves to cheaper hours saves.")
        said.append("This home has no panels: what a battery does beside them is not said here.")
    said += [text for text in (found.assumed, added.assumed if added else None) if text]
    said += [
        _knee(alone, "without panels" if beside else "", notation),
        *([_knee(beside, "beside panels", notation)] if beside else []),
    ]
    said.append(_coldest(found, notation))
    if added is not None:
        said.append(_together_sentence(added, notation))
    return [*said, closing(found.case, ranged=ranged)]


def _coldest(found: BatteryWorth, notation: Notation) -> str:
    """Whether it carries the expensive hours of the coldest day."""
    cold = found.coldest
    day = f"On the coldest day, {notation.date(dt.date.fromisoformat(cold.date))} at "
    day += f"{notation.number(cold.outdoor_c, 1)} °C on average,"
    if not cold.week["carried_kwh"].any():
        return f"{day} and all through the coldest week, nothing fills it and it carries nothing."
    share = notation.share(cold.carried_kwh / cold.expensive_kwh if cold.expensive_kwh > 0 else 1.0)
    said = f"{day} it carries {share} of the {notation.number(cold.expensive_kwh, 1)} kWh of the expensive hours"
    return f"{said} and is down to its reserve from {cold.empty_at}." if cold.empty_at else f"{said}."


def _saves(saved: Saved, notation: Notation) -> str:
    """What it takes off the bill, or what its losses and its own draw add, with the range."""
    if saved.likely is None:
        amount = notation.money(abs(saved.saving))
        return f"adds {amount} a year to the bill" if saved.saving < 0 else f"saves {amount} a year"
    less = saved.likely.negative
    likely = f"likely {notation.span_more_or_less(less)}"
    if either_way(saved.likely):
        return f"makes about no difference to the bill: it could go either way ({likely} a year)"
    amount = f"about {notation.estimate(abs(saved.saving), saved.likely)} a year"
    return f"{f'adds {amount} to the bill' if saved.saving < 0 else f'saves {amount}'} ({likely})"


def _next(saved: Saved, notation: Notation) -> str:
    if saved.next_kwh is None:
        return ", and is as large as its power fills in a day"
    return (
        f"; the next kWh saves {notation.money(saved.next_kwh)} a year"
        if saved.next_kwh > 0.5
        else "; the next kWh saves nothing"
    )


def _knee(saved: Saved, where: str, notation: Notation) -> str:
    place, knee = f" {where}" if where else "", saved.curve.knee_kwh
    if knee <= 0:
        return f"No size saves anything{place}."
    size = notation.brief(knee)
    if knee >= saved.curve.usable_kwh[-1]:
        return f"Up to {size} kWh{place} each further kWh still saves half of what the best one does."
    return f"Past {size} kWh{place} a further kWh saves less than half of what the best one does."


def _together_sentence(added: Together, notation: Notation) -> str:
    last = added.table().iloc[-1]
    saved, twice = notation.money(last["saving"]), float(last["too_high_by"])
    said = f"Panels, battery and the best schedule together save {saved} a year"
    if twice >= 0:
        return f"{said}; adding up what each saves by itself would count {notation.money(twice)} twice."
    return f"{said}, {notation.money(-twice)} more than what each saves by itself, added up."


def _sizes(found: BatteryWorth, notation: Notation) -> Table:
    """Saving by size, beside panels too where there are some."""
    names = {"saving": "saved_amount", "next_kwh": "next_kwh_amount", "after_wear": "after_wear_amount"}
    frame = found.alone.curve.table()[[*names, "cycles"]].rename(columns=names)
    shown = [Column(name) for name in frame.columns]
    if found.beside_panels is not None:
        beside = found.beside_panels.curve.table()
        for name, ours in names.items():
            frame[f"panels_{ours}"] = beside[name]
        shown += [Column(f"panels_{ours}") for ours in names.values()]
    frame.index = pd.Index([f"{notation.brief(size)} kWh" for size in frame.index], name="size")
    return Table("sizes", "What each size saves a year", frame, tuple(shown), first="Usable content")


def _week(found: BatteryWorth) -> Table:
    week = found.coldest.week
    frame = week.assign(carried_share=(week["carried_kwh"] / week["expensive_kwh"]).where(week["expensive_kwh"] > 0))
    return Table("coldest_week", "Does it carry the coldest week?", frame, first="Day")


def _together(added: Together) -> Table:
    names = {
        "cost": "year_cost", "saving": "saved_amount", "sum_of_parts": "own_savings_amount",
        "too_high_by": "counted_twice_amount", "after_wear": "after_wear_amount", "comfort": "comfort",
    }  # fmt: skip
    frame = added.table()[list(names)].rename(columns=names)
    return Table("together", "What each adds to the others", frame, note=TWICE, first="With")


def _picture(found: BatteryWorth) -> Picture:
    from simkit import figures
    from simkit.figures.decide.battery_size import HIGH_INCHES, SHEET

    curve, notation = found.alone.curve, found.case.notation
    sizes, other = curve.table(), None if found.beside_panels is None else found.beside_panels.curve.table()
    return Picture(
        "sizes",
        lambda figure: figures.battery_size(
            sizes, knee_kwh=curve.knee_kwh, notation=notation, other=other, names=("without panels", "beside panels"),
            ax=SHEET.axes([HIGH_INCHES], figure=figure)[0],
        ),
        figures.battery_size_sentence(sizes, knee_kwh=curve.knee_kwh, notation=notation),
    )  # fmt: skip


def _data(found: BatteryWorth, added: Together | None) -> dict[str, Any]:
    cold = found.coldest
    return {
        "case": found.case.name,
        "currency": found.case.currency,
        "assumed": found.assumed,
        "fill_below_price": require_battery(found.case).fill_below_price,
        "alone": _saved(found.alone),
        "beside_panels": None if found.beside_panels is None else _saved(found.beside_panels),
        "coldest_day": {
            "date": cold.date, "outdoor_c": cold.outdoor_c, "expensive_kwh": cold.expensive_kwh,
            "carried_kwh": cold.carried_kwh, "carries": cold.carries, "empty_at": cold.empty_at,
        },
        "coldest_week": cold.week.reset_index().to_dict("records"),
        "together": None if added is None else added.table().reset_index().to_dict("records"),
    }  # fmt: skip


def _saved(saved: Saved) -> dict[str, Any]:
    return {
        "usable_kwh": saved.usable_kwh,
        "saving": saved.saving,
        "range": saved.likely,
        "wear": saved.wear,
        "next_kwh": saved.next_kwh,
        "knee_kwh": saved.curve.knee_kwh,
        "sizes": saved.curve.table().reset_index().to_dict("records"),
    }
