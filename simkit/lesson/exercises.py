"""A pupil in; the twelve exercises of the lesson, three levels of each of four facts of the trade, out."""

from __future__ import annotations

from collections.abc import Iterator

from simkit.kept.memory import memo
from simkit.lesson import figures
from simkit.lesson.exercise import Exercise
from simkit.lesson.pupil import LOWER_K, NIGHT, SET_BACK_C, WARM_C, Pupil, pupil
from simkit.physics.constants import KELVIN, SAFE_ROOM_C
from simkit.physics.heat_pump import carnot

# own: what rounding makes of what is read and of each step between; usual slips lie further off, which a test proves
RATIO, PER_KELVIN, PER_CENT, SHARE, MONEY_SHARE, FEW_EUROS = 0.03, 0.06, 0.3, 0.6, 0.006, 1.5


@memo
def exercises(number: int) -> tuple[Exercise, ...]:
    """The exercises of a pupil, in the order of the lesson.

    Parameters
    ----------
    number
        The pupil's number.
    """
    home = pupil(number)
    return (*_heat(home), *_kelvin(home), *_night(home), *_set_back(home))


def of_level(number: int, level: int) -> tuple[Exercise, ...]:
    """Those of a level: it holds the ones below it."""
    return tuple(one for one in exercises(number) if one.level <= level)


def _heat(home: Pupil) -> Iterator[Exercise]:
    n, year, price = home.written.number, home.steady, home.price
    worst, heat, taken = figures.worst_day(year), figures.heat_kwh(year), figures.taken_kwh(year)
    yield Exercise(
        "A1", f"On the worst day of the year your heat pump made {n(worst.heat, 1)} kWh of heat for rooms and hot "
        f"water. With its pumps, heaters and standby it took {n(worst.taken, 1)} kWh of electricity. How many "
        "kilowatt-hours of heat did it give for each of electricity?", "", worst.heat / worst.taken, RATIO, 2,
        "Divide the heat by the electricity.",
        "Most of the heat comes from outdoors: even on its worst day the heat pump gives more than it takes. A direct "
        "electric heater gives 1 on every day.",
        ((worst.taken / worst.heat, "That is electricity for each of heat: turn it round."),),
    )  # fmt: skip
    yield Exercise(
        "A2", f"In the year it made {n(heat)} kWh of heat of {n(taken)} kWh of electricity, at "
        f"{home.written.price(price)}. A direct electric heater makes 1 kWh of heat of 1 kWh of electricity. How much "
        "more would the same heat cost with it?", "€", (heat - taken) * price, MONEY_SHARE * heat * price, 0,
        "The direct heater takes as much electricity as it gives heat. How much more is that, and what does it cost?",
        f"{n(heat / taken, 2)} kWh of heat for each of electricity over the year, against 1: the rest is from "
        "outdoors.",
        ((heat * price, "That is all that the direct heater costs: take off what the heat pump costs."),
         (heat - taken, "That is kilowatt-hours: what do they cost?")),
    )  # fmt: skip
    yield _of_both(home)


def _of_both(home: Pupil) -> Exercise:
    n, cold, mild = home.written.number, figures.in_month(home.steady, 1), figures.in_month(home.steady, 7)
    mean = (cold.heat / cold.taken + mild.heat / mild.taken) / 2.0
    return Exercise(
        "A3", f"In January it made {n(cold.heat)} kWh of heat of {n(cold.taken)} kWh of electricity, in July "
        f"{n(mild.heat)} kWh of {n(mild.taken)} kWh. How many kilowatt-hours of heat is that for each of "
        "electricity, over both months together?", "", (cold.heat + mild.heat) / (cold.taken + mild.taken), RATIO, 2,
        "Add the heat of both months, add their electricity, then divide.",
        f"The mean of both ratios would be {n(mean, 2)}: July counts there as much as January, though it makes little "
        "heat.", ((mean, "That is the mean of two ratios: in July little heat is made, and it counts too much "
        "there."),),
    )  # fmt: skip


def _kelvin(home: Pupil) -> Iterator[Exercise]:
    n, before, after = home.written.number, figures.rooms_kwh(home.steady), figures.rooms_kwh(home.cooler)
    hot, cool = home.case.controls.design_flow_c, home.cooler.case.controls.design_flow_c
    flowed, then = figures.flowed_c(home.steady), figures.flowed_c(home.cooler)
    saved = 100.0 * (1.0 - after / before)
    whole = (saved, "That is the whole saving: divide it by the kelvins.")
    yield Exercise(
        "B1", f"Larger radiators let the water of the coldest day be {n(cool)} °C instead of {n(hot)} °C. To heat the "
        f"rooms the heat pump then takes {n(after)} kWh a year instead of {n(before)} kWh. How many per cent less is "
        "that for each kelvin?", "%", saved / LOWER_K, PER_KELVIN, 2,
        "How many per cent less is it in all, counted from what it took before? Then divide by the kelvins.",
        "People say 2 to 3 % a kelvin. A kelvin on the coldest day gives about half of that.",
        (whole, (saved / LOWER_K / 100.0, "That is a share: write it in per cent.")),
    )  # fmt: skip
    yield Exercise(
        "B2", "On a milder day the water is cooler anyway. Over the year, counted by the heat it brought, it flowed at "
        f"{n(then, 1)} °C instead of {n(flowed, 1)} °C. How many per cent less is the saving of B1 for each kelvin of "
        "the water that really flowed?", "%", saved / (flowed - then), 1.5 * PER_KELVIN, 2,
        "Divide the whole saving by the kelvins between the two temperatures given here.",
        f"The rule is about the water that flows. Of {n(LOWER_K)} K on the coldest day {n(flowed - then, 1)} K are "
        "left "
        "over the year: so a kelvin of the design gives about half of the rule.",
        (whole, (saved / LOWER_K, "That is for each kelvin on the coldest day.")),
    )  # fmt: skip
    yield _limit(home, round(flowed))


def _limit(home: Pupil, water: int) -> Exercise:
    outdoor = round(figures.heated_at_c(home.steady))
    best, better = (carnot(float(c), float(c - outdoor)) for c in (water, water - 1))
    bare = [c / (c - outdoor) for c in (water, water - 1)]
    return Exercise(
        "B3", "No machine makes more heat of one kilowatt-hour than T divided by the lift: T is the temperature of the "
        f"water in kelvin, the lift what lies between water and outdoor air. Outdoors it is {outdoor} °C. By how many "
        f"per cent does that limit rise when the water is {water - 1} °C instead of {water} °C?", "%",
        100.0 * (better / best - 1.0), PER_KELVIN, 2,
        f"0 °C is {KELVIN:g} K. Work the limit out twice: {KELVIN:g} plus the degrees of the water, divided by the "
        "lift.",
        "The lift is small, so that one kelvin less of it is 2 to 3 % of it: that is where the rule comes from.",
        ((100.0 * (bare[1] / bare[0] - 1.0), "That is with degrees Celsius: T is counted in kelvin."),),
    )  # fmt: skip


def _night(home: Pupil) -> Iterator[Exercise]:
    n, w, price, (day, night) = home.written.number, home.written, home.price, home.day_and_night
    standing, one, two = home.case.tariff.standing_per_day, home.steady, home.on_nights
    by_day, by_night = figures.bought_kwh(two, "Day"), figures.bought_kwh(two, "Night")
    bought = one.totals["import"]
    yield Exercise(
        "C1", f"Your home, household included, buys {n(bought)} kWh a year. One tariff asks {w.price(price)} at any "
        "time, "
        f"and {w.money(standing, 2)} a day. What does the year of 365 days cost?", "€", one.bill.total,
        MONEY_SHARE * one.bill.total, 0, "Energy times price, and the daily charge 365 times.",
        "Cost is energy times price, and what is asked whether anything is used or not.",
        ((bought * price, "The daily charge is missing."),),
    )  # fmt: skip
    yield Exercise(
        "C2", f"Another tariff asks {w.price(night)} from {NIGHT[0]} to {NIGHT[1]} and {w.price(day)} by day, and as "
        "much "
        f"a day. Your home buys {n(by_night)} kWh at night and {n(by_day)} kWh by day. What does the year cost?", "€",
        two.bill.total, MONEY_SHARE * two.bill.total, 0, "Each energy times its own price, then the daily charge.",
        f"The mean of both prices is not what a home pays: yours buys {w.share(by_night / bought)} at night.",
        ((bought * (day + night) / 2.0 + 365.0 * standing, "That is with the mean of both prices, as if half were "
          "bought at night."), (by_day * day + by_night * night, "The daily charge is missing.")),
    )  # fmt: skip
    yield Exercise(
        "C3", f"Which share of its electricity must a home buy at night for {w.price(day)} by day and "
        f"{w.price(night)} at "
        f"night to cost as much as {w.price(price)} at any time?", "%", 100.0 * (day - price) / (day - night), SHARE, 1,
        "Call the share s: s times the night price and 1 − s times the day price make the one price.",
        f"Above that share the cheap night costs less. Yours is at {w.share(by_night / bought)}, before it moves "
        "anything.",
        ((100.0 * (price - night) / (day - night), "That is the share by day."),),
    )  # fmt: skip


def _set_back(home: Pupil) -> Iterator[Exercise]:
    n, w, steady, back = home.written.number, home.written, home.on_nights, home.set_back
    heat, less = steady.totals["space_heat"], back.totals["space_heat"]
    before, after = figures.rooms_kwh(steady), figures.rooms_kwh(back)
    taken = after / before - 1.0
    which = "less" if taken < 0.0 else "more"
    yield Exercise(
        "D1", f"At night the rooms may fall to {n(SET_BACK_C, 1)} °C instead of staying at {n(WARM_C, 1)} °C. They "
        f"then need {n(less)} kWh of heat a year instead of {n(heat)} kWh. How many per cent less?", "%",
        100.0 * (1.0 - less / heat), PER_CENT, 1, "The difference, as per cent of what they needed before.",
        f"A cooler home loses less heat. {n(SAFE_ROOM_C)} °C is the least that is safe for health, and more is right "
        "for the old, the ill and the very young.",
        ((100.0 * less / heat, "That is what is still needed: how much less is it?"),),
    )  # fmt: skip
    yield Exercise(
        "D2", f"To be warm in the morning the water runs hotter. For those {n(less)} kWh of heat the heat pump takes "
        f"{n(after)} kWh of electricity. How many of heat is that for each of electricity?", "", less / after, RATIO, 2,
        "Divide the heat by the electricity.",
        f"Steadily warm it was {n(heat / before, 2)}: hotter water in the coldest hours gives less heat for the same "
        f"electricity. {w.share(1 - less / heat, 1)} less heat is {w.share(abs(taken), 1)} {which} electricity.",
        ((heat / after, "That is the heat of the steady home."),),
    )  # fmt: skip
    yield _in_money(home)


def _in_money(home: Pupil) -> Exercise:
    n, w, (day, night) = home.written.number, home.written, home.day_and_night
    years = (home.on_nights, home.set_back)
    held, back = ([figures.bought_kwh(year, band) for band in ("Night", "Day")] for year in years)
    more = years[1].bill.total - years[0].bill.total
    at_one = (sum(back) - sum(held)) * home.price
    return Exercise(
        "D3", f"With a cheap night ({w.price(night)}, by day {w.price(day)}) the steady home buys {n(held[0])} kWh at "
        f"night and {n(held[1])} kWh by day; set back it buys {n(back[0])} kWh and {n(back[1])} kWh. How much more "
        "does the year cost set back? Write a minus where it costs less.", "€", more, FEW_EUROS, 0,
        "Work out both costs of energy with the two prices, and take steady from set back.",
        f"Set back it costs {w.more_or_less(more)}: what is saved is saved in cheap hours, and what is driven back up "
        f"is bought by day. At one price it would cost {w.more_or_less(at_one)}. How hard the home is driven back up "
        "decides too: left to come back slowly it costs less, and is cool for longer.",
        ((-more, "Which of the two costs more?"), (at_one, "That is at one price: here night and day have their own.")),
    )  # fmt: skip
