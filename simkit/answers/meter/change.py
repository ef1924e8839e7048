"""A change of a home by its readings in; what it did to a day, and whether that may be nothing, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.meter.measured import METERS, Measured, between, figures
from simkit.answers.wording import provenance_of
from simkit.meter.account.before_after import Change
from simkit.notation import Notation
from simkit.year.simulate import simulate

ASKED_SHARES = (0.05, 0.10, 0.20)
NINE = "Likely: nine in ten."
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
    picture = Picture(
        "change", lambda figure: drawn.before_and_after(change, figure=figure), drawn.before_and_after_sentence(change)
    )
    return Answer(
        change.case.name, "What did the change do, at the same weather?", tuple(change_sentences(change, notation)),
        notation, tables=(_sides(change), _needed(change, notation)), pictures=(picture,),
        cautions=cautions_for([simulate(change.case)], {"flow"}), notes=(*change.notes, METHOD),
        provenance=provenance_of(change),
        data={
            "case": change.case.name, "meter": change.meter, "on": f"{change.on:%Y-%m-%d}", "in_turn": change.in_turn,
            "effect_kwh_per_day": [effect.low_kwh, effect.effect_kwh, effect.high_kwh],
            "before_kwh_per_day": effect.before_kwh, "chance_of_nothing": effect.chance,
            "smallest_kwh_per_day": effect.smallest_kwh, "days_before": effect.days_before,
            "days_after": effect.days_after,
        },
    )  # fmt: skip


def change_sentences(change: Change, notation: Notation) -> list[str]:
    """The effect with its range, the chance of nothing, and how small an effect could have been seen."""
    effect = change.effect
    since = "In the weeks with the change" if change.in_turn else f"Since {notation.date(change.on.date())}"
    taken = f"{METERS[change.meter]} shows"
    return [
        f"{since} {taken} {_found(change, notation)}. {NINE}",
        f"A change that does nothing would seem to do as much in {_of_hundred(effect.chance)}.",
        f"With {effect.days_before} days without it and {effect.days_after} with it, an effect of "
        f"{figures(effect.smallest_kwh, notation)} kWh a day or more is seen four times in five; a smaller one needs "
        "more days.",
        COMFORT,
    ]


def _found(change: Change, notation: Notation) -> str:
    """More, less or about even, to follow what shows it."""
    effect = change.effect
    if effect.low_kwh < 0.0 < effect.high_kwh:
        ends = f"{figures(-effect.low_kwh, notation)} kWh less to {figures(effect.high_kwh, notation)} kWh more"
        return f"about even: it could go either way ({ends} a day at the same weather)"
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
