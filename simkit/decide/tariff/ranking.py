"""A home and tariffs in; the tariffs ranked by what this home pays on them, as it is and after shifting, out.

Every tariff is charged on simulated years of the whole home, never on shares of kilowatt-hours: once as the home is,
once with the best of what may be moved, found anew for each tariff within window, power, fuse and comfort. So "now on
one" is never set against "changed habits on the other": what prices do and what moving does stand apart.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for, step_of
from simkit.billing.price_signal import price_signal
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.tariff.homes import homes_on
from simkit.decide.tariff.ranked import RankedTariff, TariffYear, break_even_share
from simkit.decide.tariff.samples import sampled_costs
from simkit.decide.tariff.shift_search import Home, best_shift
from simkit.decide.tariff.shifting import NOT_AT_ALL, Move, Shifting
from simkit.tariff.tariff import Tariff
from simkit.uncertainty.ranges import Range

WORTH_MOVING = 1.0  # own: nobody moves anything for less a year [currency]


@dataclass(frozen=True, eq=False, repr=False)
class TariffRanking(Answered):
    """Tariffs ranked for one home.

    Attributes
    ----------
    case
        The home on its own tariff.
    rows
        One for each tariff, the cheapest after shifting first.
    shifting
        What may be moved.
    notes
        What was assumed, one sentence each.
    """

    case: Case
    rows: tuple[RankedTariff, ...]
    shifting: Shifting
    notes: tuple[str, ...]
    answered_by = "simkit.answers.money.tariff:tariff_answer"

    @property
    def own(self) -> RankedTariff:
        """The home's own tariff."""
        return next(row for row in self.rows if row.tariff == self.case.tariff and not row.as_is.granted)

    @property
    def winner(self) -> RankedTariff:
        """The cheapest after shifting, scenarios left aside."""
        return next(row for row in self.rows if not row.as_is.granted)

    @property
    def beside(self) -> RankedTariff | None:
        """What the winner is held against: today's tariff, or the next where that one wins; None where it is alone."""
        return (
            self.own if self.winner is not self.own else next((row for row in self.rows if row is not self.own), None)
        )

    @property
    def standing_more(self) -> float:
        """What the winner's standing charges come to more than those of what it is held against [currency]."""
        against = self.beside
        return 0.0 if against is None else self.winner.shifted.bill.fixed_amount - against.as_is.bill.fixed_amount

    @property
    def winner_as_is(self) -> RankedTariff:
        """The cheapest with nothing moved, scenarios left aside."""
        rows = [row for row in self.rows if not row.as_is.granted]
        return min(rows, key=lambda row: row.as_is.cost)

    @cached_property
    def samples(self) -> dict[tuple[str, bool], Floats]:
        """Cost of every sampled year by name and whether shifted, (n,) each [currency]; all meet the same samples."""
        return sampled_costs(self.rows)

    def range(self, row: RankedTariff, *, shifted: bool = True) -> Range:
        """Likely range of a year's cost [currency]."""
        return Range.of(self.samples[row.name, shifted], (row.shifted if shifted else row.as_is).cost)

    def saving_range(self, row: RankedTariff, *, shifted: bool = True) -> Range:
        """Likely range of what a tariff saves against the own one as it is, taken on differences [currency]."""
        saved = self.own.as_is.cost - (row.shifted if shifted else row.as_is).cost
        return Range.of(self.samples[self.own.name, False] - self.samples[row.name, shifted], saved)

    def gap_range(self, row: RankedTariff, other: RankedTariff) -> Range:
        """Likely range of what one tariff costs more than another, both after moving [currency]."""
        more = row.shifted.cost - other.shifted.cost
        return Range.of(self.samples[row.name, True] - self.samples[other.name, True], more)

    @property
    def certainty(self) -> float:
        """Share of the samples in which the winner costs least after shifting [-]."""
        names = [row.name for row in self.rows if not row.as_is.granted]
        costs = np.stack([self.samples[name, True] for name in names])
        return float((np.argmin(costs, axis=0) == names.index(self.winner.name)).mean())

    def table(self, *, ranges: bool = True) -> pd.DataFrame:
        """One row by tariff, money in the currency of the case, energy in kWh, power in kW."""
        frame = pd.DataFrame([_row(row, self, ranges=ranges) for row in self.rows])
        return frame.set_index("tariff")

    def __repr__(self) -> str:
        amount = self.case.notation.amount
        rows = [
            f"{amount(row.shifted.cost):>12}  {amount(row.as_is.cost):>12}  {row.name}{' (own)' * (row is self.own)}"
            for row in self.rows
        ]
        head = f"{'shifted':>12}  {'as it is':>12}  a year"
        return "\n".join([head, *rows])


def rank_tariffs(
    case: Case,
    tariffs: Sequence[Tariff | str | Path] = (),
    *,
    shifting: Shifting | None = None,
    granted: bool = False,
    before_each: Callable[[str], None] | None = None,
) -> TariffRanking:
    """Rank tariffs for a home.

    Parameters
    ----------
    case
        The home; its own tariff is ranked with the others.
    tariffs
        Tariffs or paths of their files.
    shifting
        What may be moved; None allows water, car and 1 K of pre-heating.
    granted
        Whether tariffs whose supplier may grant cheap half-hours are ranked with them as well, as a scenario.
    before_each
        Called with the name of each tariff before it is worked out.

    Returns
    -------
    TariffRanking
        All of one heat loss, each on its own step; ranges are sampled when asked for.

    Raises
    ------
    CaseError, DataError
        With every tariff that is in another currency, bears a name twice, or can't be read.
    """
    say = before_each or (lambda _: None)
    allowed = Shifting() if shifting is None else shifting
    homes = homes_on(case, tariffs)
    made: list[tuple[Tariff, TariffYear, TariffYear]] = []
    for home in homes:
        say(home.tariff.name)
        with_granted = (False, True) if granted and home.tariff.granted else (False,)
        made += [(home.tariff, *_both(home, allowed, counted)) for counted in with_granted]
    own = next(as_is for tariff, as_is, _ in made if tariff == case.tariff)
    rows = [
        RankedTariff(
            tariff, as_is, shifted, as_is.cost - own.cost, shifted.cost - as_is.cost,
            None if tariff == case.tariff else break_even_share(as_is.bill, own.cost),
        )
        for tariff, as_is, shifted in made
    ]  # fmt: skip
    return TariffRanking(
        case,
        tuple(sorted(rows, key=lambda row: (row.shifted.cost, row.as_is.cost))),
        allowed,
        _notes(case, rows, allowed),
    )


def _both(case: Case, shifting: Shifting, counted: bool) -> tuple[TariffYear, TariffYear]:
    """The home's year on its tariff as it is, and with the best of what may be moved."""
    setting = setting_for(case)
    if counted:
        signal = price_signal(case.tariff, setting.axis, country=case.site.country, granted=True)
        setting = Setting(setting.axis, setting.weather, signal, setting.folder)
    home = Home(case, setting, loss_w_per_k(case), counted)
    today = home.run({})
    as_is = TariffYear(home.year(case, Move(), today), (), counted)
    move = Move() if shifting == NOT_AT_ALL else best_shift(home, today, shifting)
    if not move.words:
        return as_is, as_is
    shifted = TariffYear(home.year(vary(case, move.changes), move), move.words, counted)
    return (as_is, shifted) if shifted.cost < as_is.cost - WORTH_MOVING else (as_is, as_is)


def _row(row: RankedTariff, ranking: TariffRanking, *, ranges: bool) -> dict[str, object]:
    month, worst = row.shifted.worst_month
    found: dict[str, object] = {"tariff": row.name, "cost_as_is": row.as_is.cost, "cost_shifted": row.shifted.cost}
    if ranges:
        cost, saved = ranking.range(row), ranking.saving_range(row)
        found |= {"cost_low": cost.low, "cost_high": cost.high, "saving_low": saved.low, "saving_high": saved.high}
    fuse = row.shifted.year.fuse
    return found | {
        "saving": ranking.own.as_is.cost - row.shifted.cost,
        "price_effect": row.price_effect,
        "behaviour_effect": row.behaviour_effect,
        "winter_cost": row.shifted.winter_cost,
        "worst_month": month,
        "worst_month_cost": worst,
        "mean_price_per_kwh": row.shifted.bill.mean_price_per_kwh,
        "import_kwh": float(row.shifted.year.totals["import"]),
        "cheap_share_as_is": row.as_is.cheap_share,
        "cheap_share": row.shifted.cheap_share,
        "break_even_share": row.break_even_share,
        "peak_kw": row.shifted.peak_kw,
        "fuse_margin_a": fuse.margin_a if fuse else None,
        "hours_over_fuse": fuse.hours_over if fuse else None,
        "moved": "; ".join(row.shifted.moved),
    }


def _notes(case: Case, rows: Sequence[RankedTariff], shifting: Shifting) -> tuple[str, ...]:
    notes = [
        "Every tariff is charged on simulated years of the whole home; what is moved is found anew for each of them, "
        "and never costs warmth, hot water or the hygiene cycle.",
        *(note for home in dict.fromkeys(row.as_is.year.case for row in rows) for note in step_of(home)[1]),
    ]
    if case.emitters.lag_left_out and shifting.preheat_k > 0:
        notes.append("Rooms are not heated ahead: the case leaves out what its heated floor holds.")
    if case.car is not None and case.car.charging == "by_price":
        notes.append(
            "A car that charges by price follows every tariff by itself: what it does belongs to the home as it is."
        )
    for row in rows:
        notes += [note for note in row.as_is.bill.notes if f'"{row.tariff.name}"' in note]
    if (fuse := rows[0].as_is.year.fuse) is not None:
        notes.append(fuse.worded(case.notation.number))
    return tuple(dict.fromkeys(notes))
