"""A pupil's number in; a home of the pupil's own, and the years of it that the exercises are about, out."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import numpy as np

from simkit.case.build import case_from, vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault, raise_all
from simkit.kept.memory import memo_of_last
from simkit.notation import Notation
from simkit.schema.messages import checked
from simkit.tariff.tariff import Tariff
from simkit.year.simulate import simulate
from simkit.year.year import Year

HOME = Path(__file__).parent / "class_home.toml"
SEED = 50  # of every class; the pupil's number does the rest
LAST_PUPIL = 9999
LOWER_K = 5.0
WARM_C, SET_BACK_C = 20.5, 18.5  # held a little over SAFE_ROOM_C, so that no room falls below it in any night
WARM_FROM, COOL_FROM = "05:00", "22:00"
DRIVEN_BACK_K = 20.0  # the recovery called full elsewhere: as hot as the machine can
NIGHT = ("23:00", "08:00")


@dataclass(frozen=True)
class Pupil:
    """What one pupil's exercises are about; the same number always makes the same home.

    Attributes
    ----------
    number
        The pupil's number, which is the seed.
    case
        The home, steadily warm, on one price.
    """

    number: int
    case: Case

    @property
    def price(self) -> float:
        """The one price of a kilowatt-hour [currency/kWh]."""
        return _prices(self.case.tariff)[0]

    @property
    def day_and_night(self) -> tuple[float, float]:
        """The two prices with a cheap night [currency/kWh]."""
        day, night = _prices(self.tariffs[1])
        return day, night

    @property
    def written(self) -> Notation:
        """How numbers are written."""
        return self.case.notation

    @cached_property
    def tariffs(self) -> tuple[Tariff, Tariff]:
        """One price around the clock, and a cheap night."""
        draw = np.random.default_rng((SEED, self.number, 2))
        day = round(self.price + 0.01 * int(draw.integers(3, 6)), 2)
        night = round(self.price - 0.01 * int(draw.integers(9, 14)), 2)
        bands = [_band("Day", day, NIGHT[1], NIGHT[0]), _band("Night", night, *NIGHT)]
        return self.case.tariff, _tariff("Cheap night", self.case.tariff.standing_per_day, bands)

    @cached_property
    def steady(self) -> Year:
        """As warm by night as by day, on one price."""
        return simulate(self.case)

    @cached_property
    def cooler(self) -> Year:
        """With emitters so large that the water of the coldest day may be 5 K cooler."""
        flow = self.case.controls.design_flow_c - LOWER_K
        return simulate(vary(self.case, {"controls.design_flow_c": flow, "emitters.sized_for_flow_c": flow}))

    @cached_property
    def on_oil(self) -> Year:
        """As warm, from an oil boiler."""
        return simulate(vary(self.case, {"heat_source": "boiler"}))

    @cached_property
    def on_nights(self) -> Year:
        """Steady, with a cheap night."""
        return simulate(vary(self.case, tariff=self.tariffs[1]))

    @cached_property
    def set_back(self) -> Year:
        """Set back by night and driven back up with hot water, with a cheap night."""
        span = {"from": WARM_FROM, "to": COOL_FROM, "c": WARM_C, "days": "all"}
        changes = {"controls.periods": [span], "controls.setback_c": SET_BACK_C}
        return simulate(vary(self.on_nights.case, {**changes, "controls.recovery_lift_k": DRIVEN_BACK_K}))


@memo_of_last(4)  # each holds its years whole
def pupil(number: int) -> Pupil:
    """Make a pupil's home.

    Parameters
    ----------
    number
        The pupil's number on the list, 1 to 9999.

    Raises
    ------
    CaseError
        Where there is no such number.
    """
    if not 1 <= number <= LAST_PUPIL:
        allowed = f"is outside 1 to {LAST_PUPIL} (a number on the list of the class)"
        raise CaseError(Fault("", f"pupil {number}", allowed, "Write the pupil's number, such as 7"))
    draw = np.random.default_rng((SEED, number, 1))
    flow = float(draw.integers(46, 52))
    standing = round(0.05 * int(draw.integers(9, 16)), 2)
    prices = [_band("All day", round(0.01 * int(draw.integers(26, 35)), 2), "00:00", "24:00")]
    changes = {
        "home.loss.w_per_k": float(5 * draw.integers(24, 31)), "controls.design_flow_c": flow,
        "emitters.sized_for_flow_c": flow, "fuel.price_per_unit": round(0.01 * int(draw.integers(98, 125)), 2),
    }  # fmt: skip
    case = vary(_class_home(), changes, tariff=_tariff("One price", standing, prices))
    return Pupil(number, case)


@cache
def _class_home() -> Case:
    """The home that every pupil's is like."""
    table = tomllib.loads(HOME.read_text(encoding="utf-8"))
    price = _tariff("One price", 0.6, [_band("All day", 0.3, "00:00", "24:00")])
    return case_from({**table, "tariff": price}, folder=HOME.parent, label=HOME.name)


def _prices(tariff: Tariff) -> list[float]:
    return [float(band.price_per_kwh) for band in tariff.band or ()]


def _band(name: str, price: float, begins: str, ends: str) -> dict[str, object]:
    return {"name": name, "price_per_kwh": price, "from": begins, "to": ends, "days": "all"}


def _tariff(name: str, standing_per_day: float, bands: list[dict[str, object]]) -> Tariff:
    """A tariff of the lesson, tax included."""
    head = {
        "name": name, "note": "Invented for a lesson.", "currency": "EUR", "valid_from": "2025-01-01", "tax": 0.0,
        "prices_include_tax": True, "clock": "local", "standing_per_day": standing_per_day, "band": bands,
    }  # fmt: skip
    tariff, faults = checked(Tariff, head)
    raise_all(faults)
    assert tariff is not None  # no fault, so there is one
    return tariff
