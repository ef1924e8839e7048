"""What a battery is worth in; what the terminal and `--json` show of it out."""

from __future__ import annotations

from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.decide.battery.together import Together
from simkit.decide.battery.worth import BatteryWorth, Saved
from simkit.reporting.grid import Grid
from simkit.reporting.money import money, span
from simkit.reporting.terminal import NAME, NOTE, heading, paragraph
from simkit.reporting.words import ESTIMATE

WEAR = (
    "Savings are those of the bill. Wear, at the price stated for a kWh given, stands beside them; worth and measures "
    "count the battery's price over its life instead, never both."
)


def battery_answer(found: BatteryWorth) -> str:
    """Say what it saves, what the next kWh would, and what panels make of it."""
    currency = found.case.currency
    text = f"A battery of {found.alone.usable_kwh:g} kWh {_saves(found.alone, currency)}"
    text += " without panels" if found.beside_panels else ""
    text += f"{_next(found.alone, currency)}."
    if found.beside_panels is None:
        return text + " The case has no panels, so that nothing is said of it beside them."
    beside = found.beside_panels
    return text + f" With the panels first it {_saves(beside, currency)}{_next(beside, currency)}."


def _saves(saved: Saved, currency: str) -> str:
    """What it saves, or what its losses and its own draw add to the bill, with the range."""
    worse = saved.saving < 0
    likely = ""
    if saved.likely is not None:
        low, high = (-saved.likely.high, -saved.likely.low) if worse else (saved.likely.low, saved.likely.high)
        likely = f" (likely {span(low, high, currency)})"
    amount = f"{money(abs(saved.saving), currency)}{likely}"
    return f"adds {amount} a year to the bill" if worse else f"saves {amount} a year"


def _next(saved: Saved, currency: str) -> str:
    if saved.next_kwh is None:
        return ", and is as large as its power fills in a day"
    return f", the next kWh {money(saved.next_kwh, currency)}"


def battery_view(found: BatteryWorth, together: Together | None = None) -> RenderableType:
    """The answer, saving by size, the coldest week, and where asked what each part adds to the others."""
    currency = found.case.currency
    parts: list[RenderableType] = [
        heading(found.case.name, "what the battery is worth"), paragraph(battery_answer(found), NAME),
        *([paragraph(found.assumed, NOTE)] if found.assumed else []), _sizes(found), Text(), paragraph(_knees(found)),
        heading("Does it carry the coldest week?", "kWh"), _week(found.coldest.week), Text(),
        paragraph(found.coldest.words),
    ]  # fmt: skip
    if together is not None:
        said = paragraph(together.sentence)
        parts += [
            heading("What each adds to the others", currency),
            _together(together.table(), currency),
            Text(),
            said,
        ]
    return Group(*parts, Text(f"{WEAR} {ESTIMATE}", style=NOTE))


def _sizes(found: BatteryWorth) -> Grid:
    curves = [saved.curve.table() for saved in (found.alone, found.beside_panels) if saved is not None]
    rows = []
    for size, row in curves[0].iterrows():
        amounts = [
            [money(curve.at[size, name], found.case.currency) for name in ("saving", "next_kwh", "after_wear")]
            for curve in curves
        ]
        rows.append(
            (f"{size:g} kWh", *amounts[0], f"{row['cycles']:.0f}", *(cell for more in amounts[1:] for cell in more))
        )
    titles = ("Size", "saves", "per further kWh", "after wear", "cycles a year")
    return Grid(titles + ("beside panels", "per further kWh", "after wear") * (len(curves) - 1), tuple(rows))


def _knees(found: BatteryWorth) -> str:
    told = [_knee(found.alone, "without panels" if found.beside_panels else "")]
    if found.beside_panels is not None:
        told.append(_knee(found.beside_panels, "beside panels"))
    return " ".join(told)


def _knee(saved: Saved, where: str) -> str:
    place, knee = f" {where}" if where else "", saved.curve.knee_kwh
    if knee <= 0:
        return f"No size saves anything{place}."
    if knee >= saved.curve.usable_kwh[-1]:
        return f"No knee{place} up to {knee:g} kWh: each further kWh still saves half of what the best one does."
    return f"The knee{place} is at {knee:g} kWh: past it a further kWh saves less than half of what the best one does."


def _week(week: pd.DataFrame) -> Grid:
    rows = tuple(
        (
            str(date), f"{row['outdoor_c']:.1f} °C", f"{row['expensive_kwh']:.1f}", f"{row['carried_kwh']:.1f}",
            f"{row['carried_kwh'] / row['expensive_kwh']:.0%}" if row["expensive_kwh"] > 0 else "",
            f"{row['import_kwh']:.1f}",
        )
        for date, row in week.iterrows()
    )  # fmt: skip
    return Grid(("Day", "mean outdoors", "in the expensive hours", "battery gave", "share", "bought"), rows)


def _together(table: pd.DataFrame, currency: str) -> Grid:
    shown = ["cost", "saving", "sum_of_parts", "too_high_by", "after_wear"]
    rows = tuple((str(name), *(money(amount, currency) for amount in row)) for name, row in table[shown].iterrows())
    return Grid(("With", "a year", "saves", "own savings added", "too high by", "after wear"), rows)


def battery_object(found: BatteryWorth, together: Together | None = None) -> dict[str, Any]:
    """Make the object of a battery's worth: stable keys."""
    cold = found.coldest
    return {
        "case": found.case.name,
        "currency": found.case.currency,
        "answer": battery_answer(found),
        "assumed": found.assumed,
        "alone": _saved(found.alone),
        "beside_panels": None if found.beside_panels is None else _saved(found.beside_panels),
        "coldest_day": {
            "date": cold.date, "outdoor_c": cold.outdoor_c, "expensive_kwh": cold.expensive_kwh,
            "carried_kwh": cold.carried_kwh, "carries": cold.carries, "empty_at": cold.empty_at,
        },
        "coldest_week": found.coldest.week.reset_index().to_dict("records"),
        "together": None if together is None else together.table().reset_index().to_dict("records"),
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
