"""A change of a home by its readings in; what it did to a day, and whether that may be nothing, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.meter.measured import METERS, Measured, between, figures
from simkit.answers.wording import provenance_of
from simkit.meter.account.before_after import Change
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

ASKED_SHARES = (0.05, 0.10, 0.20)
NINE = "Likely: nine in ten."
MONTH_DAYS = 30
SAME_ROOM_K = 0.15  # own: what two weeks of a logger in a lived-in room differ by anyway
COMFORT = "The meter doesn't say whether rooms and hot water stayed as warm: less energy for less comfort is no gain."
METHOD = (
    "A line on cold days' temperature, with another level and slope after the change; days that follow each other are "
    "alike, and ranges are widened for it. Whatever else changed on that day counts as the change; weeks in turn guard "
    "against it."
)


def change_answer(change: Change) -> Answer:
    """Say what one change did.

    Parameters
    ----------
    change
        What was found.
    """
    from simkit import figures as drawn

    notation, effect = change.case.notation, change.effect
    year = simulate(change.case)
    price = price_per_kwh(change, year)
    picture = Picture(
        "change", lambda figure: drawn.before_and_after(change, figure=figure), drawn.before_and_after_sentence(change)
    )
    month = _month(change, price)
    said = tuple(change_sentences(change, notation, month))
    return Answer(
        change.case.name, "What did the change do, at the same weather?", said, notation,
        tables=(_sides(change), _needed(change, notation)), pictures=(picture,),
        cautions=cautions_for([year], {"flow"}), notes=(*change.notes, METHOD), provenance=provenance_of(change),
        data={
            "case": change.case.name, "meter": change.meter, "on": f"{change.on:%Y-%m-%d}", "in_turn": change.in_turn,
            "effect_kwh_per_day": [effect.low_kwh, effect.effect_kwh, effect.high_kwh],
            "before_kwh_per_day": effect.before_kwh, "chance_of_nothing": effect.chance,
            "smallest_kwh_per_day": effect.smallest_kwh, "days_before": effect.days_before,
            "days_after": effect.days_after, "price_per_kwh": price, "rooms_c": change.rooms_c,
            "month_amount": None if month is None else [month.low, month.middle, month.high],
        },
    )  # fmt: skip


def price_per_kwh(change: Change, year: Year) -> float | None:
    """What a kWh of the meter costs at the prices of the case, as its heating falls on the hours; None for heat."""
    if change.meter == "fuel_kwh":
        fuel = change.case.fuel
        return fuel.price_per_unit / fuel.kwh_per_unit if fuel is not None else None
    if change.meter == "heat_kwh":
        return None
    used = year.hourly["heat_pump_kw"] if change.meter == "heat_pump_kwh" else year.hourly["import_kw"]
    return float((used * year.hourly["import_price_per_kwh"]).sum() / max(float(used.sum()), 1e-9))


def _month(change: Change, price: float | None) -> Range | None:
    """What the effect is worth in a month like the days compared [currency]."""
    if price is None:
        return None
    effect = change.effect
    return Range(*(MONTH_DAYS * price * kwh for kwh in (effect.low_kwh, effect.effect_kwh, effect.high_kwh)))


def _money(found: Range | None, notation: Notation) -> list[str]:
    """Say what the effect is worth in a month."""
    if found is None:
        return []
    span = notation.span_more_or_less(found)
    size = span if found.low < 0.0 < found.high else f"{notation.more_or_less(found.middle, found)} ({span})"
    return [f"At the prices of the case a month of such days costs {size}."]


def _rooms(change: Change, notation: Notation) -> str:
    """Whether the rooms stayed as warm, and what that is worth; a reminder where none was logged."""
    if change.rooms_c is None:
        return COMFORT
    before, after = change.rooms_c
    days = change.effect.days
    with_it = days[days["after"].astype(bool)]
    per_k = -float(np.polyfit(with_it["outdoor_c"], with_it["predicted_kwh"], 1)[0])
    means = f"{notation.number(before, 1)} °C without the change and {notation.number(after, 1)} °C with it"
    if abs(after - before) < SAME_ROOM_K:
        return f"The rooms that were logged stayed as warm ({means}). The meter doesn't say whether hot water did."
    way = "colder" if after < before else "warmer"
    worth = f"{figures(abs(per_k * (after - before)), notation)} kWh a day {'less' if after < before else 'more'}"
    return (
        f"But the rooms that were logged became {way} ({means}), which alone makes about {worth}: that part of the "
        "effect is warmth. The meter doesn't say whether hot water stayed as warm."
    )


def change_sentences(change: Change, notation: Notation, month: Range | None = None) -> list[str]:
    """The effect with its range and worth, the chance of nothing, and how small an effect could have been seen."""
    effect = change.effect
    since = "In the weeks with the change" if change.in_turn else f"Since {notation.date(change.on.date())}"
    taken = f"{METERS[change.meter]} shows"
    return [
        f"{since} {taken} {_found(change, notation)}. {NINE}",
        *_money(month, notation),
        f"A change that does nothing would seem to do as much in {_of_hundred(effect.chance)}.",
        f"With {effect.days_before} days without it and {effect.days_after} with it, an effect of "
        f"{figures(effect.smallest_kwh, notation)} kWh a day or more is seen four times in five; a smaller one needs "
        "more days.",
        _rooms(change, notation),
    ]


def _found(change: Change, notation: Notation) -> str:
    """More, less or about the same, to follow what shows it."""
    effect = change.effect
    if effect.low_kwh < 0.0 < effect.high_kwh:
        ends = f"{figures(-effect.low_kwh, notation)} kWh less to {figures(effect.high_kwh, notation)} kWh more"
        return f"about the same use: it could go either way ({ends} a day at the same weather)"
    way = "more" if effect.effect_kwh > 0.0 else "less"
    low, high = sorted((abs(effect.low_kwh), abs(effect.high_kwh)))
    share = notation.share(abs(effect.effect_kwh) / effect.before_kwh)
    size = f"{figures(abs(effect.effect_kwh), notation)} kWh {way} a day at the same weather"
    return f"{size} ({between(low, high, notation)}), {share} of a day before"


def _of_hundred(chance: float) -> str:
    return "less than 1 trial of 100" if chance < 0.01 else f"about {round(100.0 * chance)} of 100 trials"


def _sides(change: Change) -> Table:
    """Days without and with the change."""
    effect = change.effect
    days = effect.days.groupby("after")[["outdoor_c", "measured_kwh"]].mean()
    frame = pd.DataFrame(
        {
            "read_d": [effect.days_before, effect.days_after], "outdoor_c": days["outdoor_c"].to_numpy(),
            "day_kwh": days["measured_kwh"].to_numpy(),
            "same_weather_kwh": [effect.before_kwh, effect.before_kwh + effect.effect_kwh],
            "effect_kwh": [0.0, effect.effect_kwh], "effect_low_kwh": [0.0, effect.low_kwh],
            "effect_high_kwh": [0.0, effect.high_kwh],
        },
        index=["Without the change", "With it"],
    )  # fmt: skip
    shown = (Column("read_d"), Column("outdoor_c"), Measured("day_kwh"), Measured("same_weather_kwh"))
    return Table("change", "A day without and with the change", frame, shown, first="Days")


def _needed(change: Change, notation: Notation) -> Table:
    """How many days an effect of some size needs."""
    effects = [share * change.effect.before_kwh for share in ASKED_SHARES]
    frame = pd.DataFrame(
        {"sought_kwh": effects, "needed_d": [change.effect.days_needed(kwh) for kwh in effects]},
        index=[notation.share(share) for share in ASKED_SHARES],
    )
    shown = (Measured("sought_kwh"), Column("needed_d"))
    note = (
        "Days in all, half of them with the change and alike in weather, that show such an effect four times in five."
    )
    return Table("needed", "How long to try", frame, shown, note=note, first="Effect, of a day")
