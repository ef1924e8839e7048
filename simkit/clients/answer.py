"""What became of every row of a table in; what is said over all of them, cautions first, out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import inf
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.wording import either_way
from simkit.clients.outcomes import Clients, Outcome
from simkit.errors import either
from simkit.notation import PLAIN, Notation, usual_locale
from simkit.uncertainty.ranges import Range

LEVELS = ("warm", "cool at times", "too cold at times")
QUESTION = "Which of these homes gain most by their offer?"
NAMED = 5  # own: homes that are named before a caution
Record = Mapping[str, Any]


def clients_answer(found: Clients) -> Answer:
    """Say over all homes who gains by an offer, and by how much; what may hurt stands first.

    Parameters
    ----------
    found
        What became of every row.
    """
    made = _ranked([outcome for outcome in found.outcomes if outcome.record is not None])
    records = [outcome.record or {} for outcome in made]
    without = [outcome for outcome in found.outcomes if outcome.record is None]
    notation = _notation(records[0]) if records else PLAIN
    return Answer(
        found.table.name, QUESTION, tuple(_said(made, without)), notation,
        tables=(_table(made, records), *([_left_out(without)] if without else [])),
        cautions=_cautions(made), notes=tuple(_notes(made, records)), in_full=True,
        provenance={"made_from": {outcome.name: (outcome.record or {})["made_from"] for outcome in made}},
        data={
            "table": found.table.name, "folder": str(found.folder),
            "clients": [{"name": one.name, "line": one.line, "kept": one.kept, **(one.record or {})} for one in made],
            "without_report": [
                {"name": one.name, "line": one.line, "faults": [str(fault) for fault in one.faults]} for one in without
            ],
        },
    )  # fmt: skip


def _ranked(made: Sequence[Outcome]) -> list[Outcome]:
    """Homes by what their offer saves, the most first; those of one currency together, the most frequent first."""
    times = Counter((outcome.record or {})["currency"] for outcome in made)

    def key(outcome: Outcome) -> tuple[Any, ...]:
        record = outcome.record or {}
        more = record["more"]
        return -times[record["currency"]], record["currency"], inf if more is None else more, outcome.name

    return sorted(made, key=key)


def _notation(record: Record) -> Notation:
    return Notation(usual_locale(record["country"]), record["currency"])


def _range(record: Record) -> Range | None:
    if record["more_low"] is None or record["more_high"] is None:
        return None
    return Range(record["more_low"], record["more"], record["more_high"])


def _lean(record: Record) -> str:
    """What the offer comes to against what is there."""
    gap = _range(record)
    if gap is None:
        return "is open"
    return "may go either way" if either_way(gap) else "saves" if gap.high <= 0 else "costs more"


def _said(made: Sequence[Outcome], without: Sequence[Outcome]) -> list[str]:
    records = [outcome.record or {} for outcome in made]
    cold = [one.name for one, record in zip(made, records, strict=True) if record["level"]]
    short = [one.name for one, record in zip(made, records, strict=True) if record["water_short"]]
    said = []
    if without:
        listed = "; ".join(f"line {outcome.line} ({outcome.name or 'without a name'})" for outcome in without)
        said.append(f"{_count(len(without))} without a report, because of what is wrong with it: {listed}.")
    if cold:
        said.append(f"Rooms are not as warm as needed with what is advised in {_count(len(cold))}: {', '.join(cold)}.")
    if short:
        said.append(f"Hot water runs short with what is advised in {_count(len(short))}: {', '.join(short)}.")
    leans = Counter(map(_lean, records))
    if made:
        parts = [f"in {leans[lean]} it {lean}" for lean in ("saves", "may go either way", "costs more") if leans[lean]]
        said.append(f"Of {_count(len(made))} with a report, the offer against what is there now: {', '.join(parts)}.")
    return said or ["No row has a report."]


def _count(number: int) -> str:
    return f"{number} home" if number == 1 else f"{number} homes"


def _table(made: Sequence[Outcome], records: Sequence[Record]) -> Table:
    rows = []
    for record in records:
        gap, notation = _range(record), _notation(record)
        over = "a year" if record["years"] is None else f"over {record['years']} years"
        more = record["more"]
        rows.append({
            "rooms_words": _rooms(record), "advised_words": record["advised"],
            "gain_words": "not known" if more is None else f"{notation.more_or_less(more, gap)} {over}",
            "span_words": "" if gap is None else notation.span_more_or_less(gap),
            "cost_words": notation.money(record["year_cost"]), "currency_words": record["currency"],
            "offer_cost": more, "offer_cost_low": record["more_low"],
            "offer_cost_high": record["more_high"], "year_cost": record["year_cost"], "told_count": record["told"],
            "taken_count": record["taken"], "assumed_count": record["assumed"], "report_words": record["report"],
        })  # fmt: skip
    frame = pd.DataFrame(rows, index=pd.Index([outcome.name for outcome in made], name="client"))
    shown = (
        "rooms_words", "gain_words", "span_words", "advised_words", "cost_words", "told_count", "taken_count",
        "assumed_count", "report_words",
    )  # fmt: skip
    columns = tuple(map(Column, shown)) if rows else ()
    note = "Estimates, never promises; the most saved first. Amounts of different currencies are not compared."
    return Table("clients", "The homes", frame, columns, note=note, first="Client")


def _rooms(record: Record) -> str:
    return LEVELS[record["level"]] + (", water short" if record["water_short"] else "")


def _left_out(without: Sequence[Outcome]) -> Table:
    frame = pd.DataFrame(
        {"fault_words": [" ".join(map(str, outcome.faults)) for outcome in without]},
        index=pd.Index([outcome.name or f"line {outcome.line}" for outcome in without], name="client"),
    )
    return Table("without", "Rows without a report", frame, (Column("fault_words"),), first="Client")


def _cautions(made: Sequence[Outcome]) -> tuple[str, ...]:
    """Every caution of the reports; one that is not said of all homes with whose it is in front, and first."""
    whose: dict[str, list[str]] = {}
    for outcome in made:
        for said in (outcome.record or {})["cautions"]:
            whose.setdefault(said, []).append(outcome.name)
    few = [f"{_listed(names)}: {said}" for said, names in whose.items() if len(names) < len(made)]
    return (*few, *(said for said, names in whose.items() if len(names) == len(made)))


def _listed(names: Sequence[str]) -> str:
    """Whose it is, a few by name."""
    return either(names) if len(names) <= NAMED else f"{', '.join(names[:NAMED])} and {len(names) - NAMED} more"


def _notes(made: Sequence[Outcome], records: Sequence[Record]) -> list[str]:
    kept = sum(outcome.kept for outcome in made)
    said = [f"{_count(kept)} had a report of the same row already, which was kept."] if kept else []
    if records:
        fewest = min(records, key=lambda record: record["told"])
        said.append(
            f"A row tells {fewest['told']} values or more; the case of its place and the defaults hold for the rest, "
            "and each report lists them with their sources."
        )
    return said
