"""What is not known exactly in, as shapes with a source and a reason each; the set that a home has out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.case.money.uncertainty import InputRange
from simkit.errors import Fault, nearest, raise_all
from simkit.notation import Notation
from simkit.quantities import INPUT_WORDS

Shape = Literal["normal", "lognormal", "uniform", "triangular"]

SAID = "said by you"  # source of a range that the case states itself
ASSUMED_BOILER = 2.0  # own: an efficiency that was assumed for the home, against one that was stated
NINE_OF_TEN = 1.2815515655446004  # standard deviations under which nine of ten lie: the normal quantile of 0.9
WIDEST = 2.5  # own: samples are held within so many standard deviations, so that no home is absurd


@dataclass(frozen=True)
class Distribution:
    """One input that is not known exactly.

    Attributes
    ----------
    name
        What it is; the names that a home knows are those of `usual_distributions`.
    shape
        "normal": centre ± spread as standard deviation; "lognormal": centre × exp(spread × a normal); "uniform" and
        "triangular": from centre − spread to centre + spread.
    centre, spread
        In the input's own unit; of a lognormal, the spread is that of the logarithm.
    unit
        The unit, as in messages.
    source, reason
        Where the spread comes from, and why it has that shape.
    """

    name: str
    shape: Shape
    centre: float
    spread: float
    unit: str
    source: str
    reason: str

    def at(self, unit: Floats) -> Floats:
        """Values at quantiles, any shape, each 0 to 1 [unit of the input]."""
        u: Floats = np.asarray(unit, dtype=np.float64)
        if not self.spread > 0.0:
            return np.full(u.shape, self.centre)
        if self.shape in ("uniform", "triangular"):
            rising, falling = np.sqrt(0.5 * u), 1.0 - np.sqrt(0.5 * (1.0 - u))
            place = u if self.shape == "uniform" else np.where(u < 0.5, rising, falling)
            return place * (2.0 * self.spread) + (self.centre - self.spread)
        from scipy.special import ndtr, ndtri

        bell: Floats = ndtri(np.clip(u, *ndtr((-WIDEST, WIDEST))))
        return bell * self.spread + self.centre if self.shape == "normal" else np.exp(self.spread * bell) * self.centre


SIDES = {  # what below and above is called of an input
    "efficiency": ("worse", "better"), "boiler": ("worse", "better"), "electricity_price": ("lower", "higher"),
    "fuel_price": ("lower", "higher"), "set_point_k": ("colder", "warmer"), "fuel_winter": ("colder", "warmer"),
}  # fmt: skip


def usual_distributions(case: Case) -> tuple[Distribution, ...]:
    """The kit's own set for a home, its spreads those of [uncertainty] and [money.escalation].

    A loss that is found from a year of fuel has no spread of its own: it is found anew for every sample, from the fuel
    and the winter of that sample. A boiler's efficiency that was assumed is known half as well as one that was stated.
    """
    spread, fuel = case.uncertainty, case.home.loss.fuel_amount is not None
    certified, boiler = case.home.loss.certificate_kwh_m2 is not None, spread.boiler_efficiency_sd
    stated = (case.base or case).stated  # what was burnt before any option stands there
    if "space_efficiency" not in stated.get("boiler", {}) and "boiler_efficiency_sd" not in stated.get(
        "uncertainty", {}
    ):
        boiler *= ASSUMED_BOILER
    rise = case.money.escalation if case.money else None
    electricity = case.money.rise("electricity") if case.money else 0.0
    dearer = case.money.rise("fuel") if case.money else 0.0
    loss = 0.0 if fuel else spread.certificate_sd if certified else spread.heat_loss_sd
    why_loss = "found from fuel in each sample" if fuel else "calculated losses miss by this much"
    amount, winter = (spread.fuel_amount_sd, spread.weather_sd_k) if fuel else (0.0, 0.0)
    rows: list[tuple[str, Shape, float, float, str, str, str]] = [
        ("efficiency", "lognormal", 1.0, spread.installation_sd, "factor", "[uncertainty]", "spread in the field"),
        ("set_point_k", "normal", 0.0, spread.set_point_sd_k, "K", "[uncertainty]", "held is not set"),
        ("boiler", "lognormal", 1.0, boiler, "factor", "[uncertainty]", "in use, not rated"),
        ("loss", "lognormal", 1.0, loss, "factor", "[uncertainty]", why_loss),
        ("draws", "lognormal", 1.0, spread.draws_sd, "factor", "[uncertainty]", "people differ"),
        ("weather", "uniform", 0.5, 0.5, "rank", "[uncertainty] weather_sd_k", "each kind of year is as likely"),
        ("electricity_price", "lognormal", 1.0, spread.price_sd, "factor", "[uncertainty]", "next year's price"),
        ("fuel_price", "lognormal", 1.0, spread.price_sd, "factor", "[uncertainty]", "next year's price"),
        ("electricity_rise", "normal", electricity, rise.electricity_sd if rise else 0.0, "share a year",
         "[money.escalation]", "nobody knows the next decades"),
        ("fuel_rise", "normal", dearer, rise.fuel_sd if rise else 0.0, "share a year", "[money.escalation]",
         "nobody knows the next decades"),
        ("fuel_amount", "lognormal", 1.0, amount, "factor", "[uncertainty]", "tanks, meters and bills of other days"),
        ("fuel_winter", "normal", 0.0, winter, "K", "[uncertainty] weather_sd_k", "it was burnt in one winter"),
    ]  # fmt: skip
    if (case.base or case).stove is not None:
        why_stove = "wood is counted roughly, and what of it warms the home by nobody"
        rows.append(("stove", "lognormal", 1.0, spread.stove_sd, "factor", "[uncertainty]", why_stove))
    return tuple(Distribution(*row) for row in rows)


def distributions_of(case: Case) -> tuple[Distribution, ...]:
    """What is sampled of a case: the kit's own set, with the ranges of [uncertainty] input in their places."""
    return with_own(usual_distributions(case), [_stated(one) for one in case.uncertainty.input or ()])


def _stated(one: InputRange) -> Distribution:
    """A stated range as centre and spread; the ends of a bell are what one and what nine samples of ten stay under."""
    unit = {"set_point_k": "K", "fuel_winter": "K"}.get(one.of, "share a year" if one.of.endswith("rise") else "factor")
    bell = one.shape in ("normal", "lognormal")
    low, high = (np.log(one.low), np.log(one.high)) if one.shape == "lognormal" else (one.low, one.high)
    spread = (high - low) / 2.0 / (NINE_OF_TEN if bell else 1.0)
    middle = float(np.exp((low + high) / 2.0)) if one.shape == "lognormal" else (low + high) / 2.0
    return Distribution(one.of, one.shape, float(middle), float(spread), unit, SAID, one.reason)


def input_lines(case: Case) -> tuple[str, ...]:
    """Say of each input of a case that is not known exactly within what it lies, who says so, and why."""
    found = []
    for one in distributions_of(case):
        if one.spread <= 0.0:
            continue
        if one.name == "weather":
            found.append(
                f"{INPUT_WORDS[one.name]}, from the coldest to the mildest of the sampled years ({one.source})."
            )
            continue
        low, high = one.at(np.array([0.1, 0.9])).tolist()
        found.append(
            f"{INPUT_WORDS[one.name]}, in eight of ten simulated futures {_within(one, low, case.notation)} to "
            f"{_within(one, high, case.notation)} "
            f"({one.source}: {one.reason})."
        )
    return tuple(found)


def _within(one: Distribution, value: float, notation: Notation) -> str:
    """An end of an input in words: a factor as per cent below or above what is stated."""
    if one.unit == "share a year":
        return f"{notation.change(value, 1)} a year"
    less, more = SIDES.get(one.name, ("less", "more"))
    away = value if one.unit == "K" else value - 1.0
    how_far = f"{notation.number(abs(away), 1)} K" if one.unit == "K" else notation.share(abs(away))
    return f"{how_far} {less if away < 0 else more}"


def with_own(usual: Sequence[Distribution], own: Sequence[Distribution]) -> tuple[Distribution, ...]:
    """Put the user's own distributions in the place of those of the same name.

    Raises
    ------
    CaseError
        For a name that a home doesn't know, and a spread below zero.
    """
    names = [one.name for one in usual]
    faults = []
    for one in own:
        if one.name not in names:
            near = nearest(one.name, names)
            remedy = f'Perhaps "{near}" is meant' if near else f"Known inputs are: {', '.join(names)}"
            faults.append(Fault("distributions", f'"{one.name}"', "is not an input that is sampled", remedy))
        if one.spread < 0:
            given = f"spread = {one.spread:g} of {one.name}"
            faults.append(Fault("distributions", given, "is below zero, and a spread can't be", "Write 0 for none"))
    raise_all(faults)
    by_name = {one.name: one for one in own}
    return tuple(by_name.get(one.name, one) for one in usual)
