"""An account drawn up in; what was used and paid against what was expected and what the old fuel would cost, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.meter.drift import changed_words, drift_words
from simkit.answers.meter.measured import METERS, Measured, between, figures
from simkit.answers.money.difference import SHARED_OUT
from simkit.answers.wording import RANGE_MEANS, either_way, provenance_of
from simkit.errors import either
from simkit.meter.account.causes import CAUSES, adding_up
from simkit.meter.account.drift import RATES
from simkit.meter.account.kept import Replaced
from simkit.notation import Notation
from simkit.quantities import quantity
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate

if TYPE_CHECKING:
    from simkit.meter.account.account import Added
    from simkit.meter.account.old_fuel import PaidBack
    from simkit.meter.account.statement import Statement

OLD_WARMTH = "The old fuel is counted for rooms as they were held before: where they are warmer now, that is not in it."
NO_WHOLE_YEAR = "In how many years it is paid back can't be told from less than a whole one: winter and summer differ."
BELONGS = "The hours in which energy was used belong to use, and standing charges that changed to prices."
LOGGED = {"outdoor_c": "the temperature outdoors", "room_c": "the temperature of the room"}


def account_answer(statement: Statement) -> Answer:
    """Say how a running account stands.

    Parameters
    ----------
    statement
        The account drawn up.
    """
    from simkit import figures as drawn

    notation = statement.case.notation
    course = Picture(
        "account", lambda figure: drawn.running_account(statement, figure=figure),
        drawn.running_account_sentence(statement),
    )  # fmt: skip
    causes = Picture(
        "causes", lambda figure: drawn.what_did_it(statement, figure=figure), drawn.what_did_it_sentence(statement)
    )
    return Answer(
        statement.case.name, "What did the home use and cost, and was that to be expected?",
        tuple(account_sentences(statement, notation)), notation,
        tables=(_months(statement), _causes(statement), _causes_cost(statement)),
        pictures=(course, causes), cautions=cautions_for([simulate(statement.home)]),
        notes=(*statement.notes, SHARED_OUT, BELONGS, RATES),
        provenance=provenance_of(statement), data=_data(statement),
    )  # fmt: skip


def _data(statement: Statement) -> dict[str, Any]:
    drift, paid, changed = statement.drift, statement.paid_back, statement.changed
    dates = pd.DatetimeIndex(statement.days.index).strftime("%Y-%m-%d")
    causes = statement.causes.assign(day=dates)
    return {
        "months": statement.months.reset_index().to_dict("list"),
        "days": statement.days.assign(day=dates).to_dict("list"),
        "causes": {"months": statement.cause_months.reset_index().to_dict("list"), "days": causes.to_dict("list")},
        "efficiency_told_by": statement.efficiency.told_by, "efficiency_error_kwh": statement.efficiency.error_kwh,
        "away": [[f"{first:%Y-%m-%d}", f"{last:%Y-%m-%d}"] for first, last in statement.away],
        "drift": None if drift is None else {
            "since": f"{drift.since:%Y-%m-%d}", "kwh_per_day": [drift.low, drift.kwh_per_day, drift.high],
            "sure": drift.confidence, "kind": drift.kind, "meter": drift.meter,
            "look_at": None if changed is None else f"{changed.day:%Y-%m-%d}",
            "what": [] if changed is None else list(changed.what),
        },
        "old_fuel_cost": None if statement.saved is None else float(statement.days["old_cost"].sum()),
        "saved": None if statement.saved is None else _ends(statement.saved),
        "paid_back": None if paid is None else {
            "outlay": paid.outlay, "back": _ends(paid.back), "service": paid.service, "credit_interest": paid.interest,
            "years": None if paid.years is None else _ends(paid.years),
        },
    }  # fmt: skip


def _ends(found: Range) -> list[float]:
    return [found.low, found.middle, found.high]


def account_sentences(statement: Statement, notation: Notation) -> list[str]:
    """Used and paid against expected, what made the difference, saved and paid back to date, and what has changed."""
    days, drift = statement.days, statement.drift
    used, wanted = days["metered_kwh"].sum(), days["expected_kwh"].sum()
    low, high = np.quantile(statement.samples.sum(axis=1), (0.1, 0.9))
    share = used / wanted - 1.0
    apart = f"{notation.share(abs(share), 1)} {'more' if share > 0 else 'less'} than"
    said = [
        f"In {len(days)} days the home used {figures(used, notation)} kWh, {apart} expected in that weather "
        f"({figures(wanted, notation)} kWh, likely {between(float(low), float(high), notation)}), and cost "
        f"{notation.money(days['cost'].sum())}{'; but: ' + drift_words(drift, notation) if drift else ''}.",
        *([changed_words(statement.changed, drift, notation)] if drift and statement.changed else []),
        *_away(statement, notation),
        *_what_did_it(statement, notation),
        *_saved(statement, notation),
        *statement.other_prices,
        *_loggers(statement),
    ]
    quiet = [] if drift else ["Nothing has drifted by more than chance."]
    return [*said, *quiet, *([RANGE_MEANS] if statement.saved is not None else [])]


def _away(statement: Statement, notation: Notation) -> list[str]:
    """Days on which nearly nobody was in."""
    if not statement.away:
        return []
    ends = [[notation.date(day.date()) for day in span] for span in statement.away]
    spans = [first if first == last else f"{first} to {last}" for first, last in ends]
    return [f"Away, by the meter: {either(spans)}. These days count as use, never as drift or efficiency."]


def _what_did_it(statement: Statement, notation: Notation) -> list[str]:
    """What paid less usual comes to, by cause, the largest first, and how well use and efficiency are told apart."""
    sums = statement.causes.sum()
    parts = {cause: float(sums[f"{cause}_cost"]) for cause in CAUSES}
    ranked = sorted(CAUSES, key=lambda cause: -abs(parts[cause]))
    moved = [cause for cause in ranked if round(parts[cause])]
    named = either([f"{cause} took {notation.more_or_less(parts[cause])}" for cause in moved]) if moved else ""
    still = [cause for cause in ranked if cause not in moved]
    nothing = f"{either(still)} did nothing" if still else ""
    whole = notation.more_or_less(float(sums["cost"] - sums["usual_cost"]))
    split, than = statement.efficiency, "as" if whole.startswith("as") else "than"
    causes = "; ".join(part for part in (named, nothing) if part)
    said = [f"That is {whole} {than} in usual weather at the first day's prices: {causes}."]
    error, found = 1.28 * split.error_kwh, float(sums["efficiency_kwh"])
    if error > 0.0:
        may = ", so that efficiency may as well have stayed as it was" if abs(found) < error else ""
        said.append(
            f"Use and efficiency are told apart only by {split.told_by}: efficiency is known to "
            f"{figures(error, notation)} kWh either way{may}."
        )
    return said


def _saved(statement: Statement, notation: Notation) -> list[str]:
    """What the old fuel would have cost; nothing where no old option is named."""
    saved = statement.saved
    if saved is None:
        return []
    old, more = statement.days["old_cost"].sum(), saved.negative
    now = f"{notation.more_or_less(more.middle, more)} now"
    verdict = "about as much as now: it could go either way" if either_way(more) else now
    return [
        f"The old fuel would have cost {notation.estimate(old, saved)}, {verdict} "
        f"(likely {notation.span_more_or_less(more)} now).",
        *(_paid_back(statement.paid_back, notation) if statement.paid_back is not None else ()),
    ]


def _paid_back(paid: PaidBack, notation: Notation) -> Iterator[str]:
    """What is paid back to date with its range, and what stands against it."""
    back, outlay = paid.back, notation.money(paid.outlay)
    if back.high <= 0.0:
        yield f"So nothing of the {outlay} that the change cost is paid back yet."
    elif back.low <= 0.0:
        most = notation.share(back.high / paid.outlay, 1)
        yield f"Of the {outlay} that the change cost, at most {most} is paid back to date, and perhaps nothing."
    else:
        low, high = (notation.share(end / paid.outlay, 1) for end in (back.low, back.high))
        share = f"{notation.share(back.middle / paid.outlay, 1)} (likely {low} to {high})"
        yield f"What is paid back to date is {share} of the {outlay} that the change cost."
    against = []
    if round(paid.service):
        against.append(f"{notation.more_or_less(paid.service)} for service since, which is counted,")
    if paid.interest > 0.0:
        against.append(f"{notation.money(paid.interest)} of interest on its credit in all, which is not counted")
    if against:
        yield f"Beside it {'stand' if len(against) > 1 else 'stands'} {either(against)}."
    years = paid.years
    if years is not None:
        yield (
            f"At this pace the whole is paid back after {notation.number(years.middle, 1)} years "
            f"(likely {between(years.low, years.high, notation)})."
        )
    elif back.high > 0.0:
        yield NO_WHOLE_YEAR
    yield OLD_WARMTH


def _loggers(statement: Statement) -> list[str]:
    """Loggers that share only part of the days, named as a person would."""
    said = []
    for text in statement.loggers:
        name, _, rest = text.partition(" ")
        word = LOGGED.get(name, METERS[name])
        said.append(f"{word[:1].upper()}{word[1:]} {rest}")
    return said


def added_words(file: str, added: Added, notation: Notation) -> str:
    """What a file brought to an account, in one line."""
    said = [f"{file}: {notation.number(max(added.fresh.values(), default=0))} readings appended"]
    said += [_replaced(one, notation) for one in added.replaced]
    if added.coarser:
        said.append(f"{notation.number(added.coarser)} over longer intervals than those that are there left out")
    return f"{'; '.join(said)}."


def _replaced(one: Replaced, notation: Notation) -> str:
    unit = quantity(one.quantity).unit
    count = f"{notation.number(one.count)} reading{'s' if one.count > 1 else ''} of {METERS[one.quantity]} replaced"
    span = f"{one.first:%Y-%m-%d %H:%M} to {one.last:%Y-%m-%d %H:%M} UTC"
    values = f"{figures(one.before, notation)} {unit} became {figures(one.after, notation)} {unit}"
    return f"{count} ({span}, {values}), the old ones are kept in readings.csv"


def _months(statement: Statement) -> Table:
    names = {
        "days": "read_d", "metered_kwh": "metered_kwh", "expected_kwh": "expected_kwh", "cost": "paid_cost",
        "old_cost": "old_cost", "saved": "saved_cost", "running_saved": "saved_to_date_cost",
    }  # fmt: skip
    known = statement.saved is not None
    kept = [name for name in names if known or name not in ("old_cost", "saved", "running_saved")]
    frame = statement.months[[*kept, "expected_low", "expected_high"]].rename(columns=names)
    shown = tuple(
        Measured(name, "expected_low", "expected_high") if name == "expected_kwh" else
        Measured(name) if name.endswith("_kwh") else Column(name)
        for name in frame if not name.startswith("expected_l") and not name.startswith("expected_h")
    )  # fmt: skip
    note = "Under what was expected: its range, eight months in ten."
    return Table("months", "Month by month", pd.DataFrame(frame), shown, first="Month", note=note)


def _causes(statement: Statement) -> Table:
    """What made the difference in energy, in tenths of a kilowatt-hour that add up along rows and columns."""
    months = statement.cause_months
    causes = [f"{cause}_kwh" for cause in CAUSES if cause != "price"]
    whole = adding_up(months["metered_kwh"].to_numpy(), months["usual_kwh"].to_numpy(), months[causes].to_numpy(), 1)
    frame = _with_total(pd.DataFrame(whole, columns=["month_used_kwh", "usual_kwh", *causes], index=months.index))
    return Table("causes", "What did it, by month: energy", frame, first="Month", total=True, note=_adds("Was used"))


def _causes_cost(statement: Statement) -> Table:
    """The same in money, to the cent."""
    frame = statement.cause_months[["cost", "usual_cost", *(f"{cause}_cost" for cause in CAUSES)]]
    frame = _with_total(frame.rename(columns={"cost": "month_paid_cost"}))
    return Table(
        "causes_cost", "What did it, by month: money", frame, first="Month", total=True, note=_adds("Was paid")
    )


def _with_total(frame: pd.DataFrame) -> pd.DataFrame:
    return pd.concat([frame, frame.sum().to_frame("In all").T])


def _adds(what: str) -> str:
    return f"{what}: the usual and all that stands behind it, added up."
