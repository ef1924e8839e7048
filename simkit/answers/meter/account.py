"""An account drawn up in; what was used and paid against what was expected and what the old fuel would cost, out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.meter.measured import Measured, figures
from simkit.answers.wording import RANGE_MEANS, either_way, provenance_of
from simkit.meter.account.drift import RATES, Drift
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate

if TYPE_CHECKING:
    from simkit.meter.account.statement import Statement


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
    return Answer(
        statement.case.name, "What did the home use and cost, and was that to be expected?",
        tuple(account_sentences(statement, notation)), notation, tables=(_months(statement),), pictures=(course,),
        cautions=cautions_for([simulate(statement.home)]), notes=(*statement.notes, RATES),
        provenance=provenance_of(statement),
        data={"months": statement.months.reset_index().to_dict("list")},
    )  # fmt: skip


def account_sentences(statement: Statement, notation: Notation) -> list[str]:
    """Used and paid against expected, saved to date, and what has changed."""
    days, drift = statement.days, statement.drift
    used, wanted = days["metered_kwh"].sum(), days["expected_kwh"].sum()
    share = used / wanted - 1.0
    apart = f"{notation.share(abs(share), 1)} {'more' if share > 0 else 'less'} than"
    said = [
        f"In {len(days)} days the home used {figures(used, notation)} kWh, {apart} expected in that weather "
        f"({figures(wanted, notation)} kWh), and cost {notation.money(days['cost'].sum())}"
        f"{'; but: ' + drift_words(drift, notation) if drift else ''}.",
        *_saved(statement, notation),
        *statement.other_prices,
    ]
    quiet = [] if drift else ["Nothing has drifted by more than chance."]
    return [*said, *quiet, *([RANGE_MEANS] if statement.saved is not None else [])]


def _saved(statement: Statement, notation: Notation) -> list[str]:
    """What the old fuel would have cost; nothing where no old option is named."""
    saved = statement.saved
    if saved is None:
        return []
    old, more = statement.days["old_cost"].sum(), Range(-saved.high, -saved.middle, -saved.low)
    now = f"{notation.more_or_less(more.middle, more)} now"
    verdict = "about as much as now: it could go either way" if either_way(more) else now
    said = [
        f"The old fuel would have cost {notation.estimate(old, saved)}, {verdict} "
        f"(likely {notation.span_more_or_less(more)} now).",
    ]
    if statement.outlay > 0 and saved.low > 0:
        share, outlay = notation.share(saved.middle / statement.outlay, 1), notation.money(statement.outlay)
        said.append(f"What was saved is {share} of the {outlay} that the change cost.")
    return said


def drift_words(drift: Drift, notation: Notation) -> str:
    """A drift, to follow what was used in the same breath."""
    way, sign = ("more", 1.0) if drift.kwh_per_day > 0 else ("less", -1.0)
    low, high = sorted((sign * drift.low, sign * drift.high))
    return (
        f"since about {notation.date(drift.since.date())} a day takes {notation.number(abs(drift.kwh_per_day), 1)} kWh "
        f"{way} than expected ({notation.number(low, 1)} to {notation.number(high, 1)}, "
        f"{notation.share(drift.confidence, 1)} sure): {drift.kind}"
    )


def _months(statement: Statement) -> Table:
    names = {
        "days": "read_d", "metered_kwh": "metered_kwh", "expected_kwh": "expected_kwh", "cost": "paid_cost",
        "old_cost": "old_cost", "saved": "saved_cost", "running_saved": "saved_to_date_cost",
    }  # fmt: skip
    known = statement.saved is not None
    kept = [name for name in names if known or name not in ("old_cost", "saved", "running_saved")]
    frame = statement.months[kept].rename(columns=names)
    shown = tuple(Measured(name) if name.endswith("_kwh") else Column(name) for name in frame)
    return Table("months", "Month by month", pd.DataFrame(frame), shown, first="Month")
