"""The JSON of an earlier report and what a new one works from in; what changed, and what of the inputs did, out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.report.basis import Basis
from simkit.answers.report.inputs import inputs
from simkit.answers.report.words import Words
from simkit.answers.wording import provenance_of
from simkit.bounds import TABLE_BYTES, unreadable
from simkit.errors import DataError, Fault

FILLED = ("ranked", "small", "stated")  # tables of inputs
NEEDED = ("home", "currency", "advised", "sections", "provenance")


def read_since(path: str | Path) -> Mapping[str, Any]:
    """Read what `simkit report --json` printed.

    Raises
    ------
    DataError
        Where the file is no such thing.
    """
    path, remedy = Path(path), "Name a file that `simkit report CASE --json` printed"

    def fault(allowed: str) -> DataError:
        return DataError(Fault(path.name, "", allowed, remedy))

    why = unreadable(path, TABLE_BYTES)
    if why:
        raise fault(why)
    try:
        held = json.loads(path.read_text(encoding="utf-8-sig"))
    except (ValueError, RecursionError):
        raise fault("is not JSON") from None
    if not isinstance(held, dict) or not all(name in held for name in NEEDED):
        raise fault("is not the JSON of a report")
    return held


def changes(basis: Basis) -> Answer | None:
    """Say what changed since the last report; nothing where none is named."""
    old, words = basis.since, basis.words
    if old is None:
        return None
    results = pd.DataFrame(_results(basis, old), columns=["name", "was_cost", "now_cost", "more_cost"])
    before, after = _values(old), _values({"sections": {"inputs": inputs(basis).as_object}})
    moved = pd.DataFrame(_moved(words, before, after), columns=["name", "was_words", "now_words"])
    tables = [
        Table(
            "results", words("changes.results"), results.set_index("name"),
            (
                Column("was_cost", title=words("changes.was")), Column("now_cost", title=words("changes.now")),
                Column("more_cost", title=words("changes.apart"), as_difference=True),
            ),
            first=words("changes.option"),
        )
    ]  # fmt: skip
    if len(moved):
        heads = (Column("was_words", title=words("changes.was")), Column("now_words", title=words("changes.now")))
        tables.append(
            Table("inputs", words("changes.inputs"), moved.set_index("name"), heads, first=words("inputs.name"))
        )
    return Answer(
        basis.case.name, words("ask.changes"), tuple(_sentences(basis, old, len(moved))), words.notation,
        tables=tuple(tables), provenance=provenance_of(basis),
    )  # fmt: skip


def _sentences(basis: Basis, old: Mapping[str, Any], moved: int) -> Iterator[str]:
    """What is advised and costs now, and where the difference comes from."""
    words, was, now = basis.words, old["advised"], basis.chosen
    same = was.get("name") == now.case.name
    option, other = words.quoted(now.case.name), words.quoted(str(was.get("name")))
    yield words("changes.same_advice" if same else "changes.other_advice", option=option, other=other)
    cost = was.get("cost")
    if isinstance(cost, int | float) and old.get("currency") == basis.case.currency:
        found, money = now.range(), words.notation
        yield words(
            "changes.a_year", was=money.estimate(float(cost), found), now=money.estimate(now.bill.total, found),
            more=words.more(now.bill.total - float(cost), found),
        )  # fmt: skip
    yield words("changes.moved", moved) if moved else words("changes.none_moved")
    before, after = old["provenance"], provenance_of(basis)
    for name in ("simkit", "samples"):
        if before.get(name) != after[name]:
            yield words(f"changes.{name}", was=str(before.get(name)), now=str(after[name]))
    files = {name for name, digest in after["files_sha256"].items() if _files(before).get(name) != digest}
    if files:
        yield words("changes.files", files=", ".join(sorted(files)))


def _files(provenance: Mapping[str, Any]) -> Mapping[str, Any]:
    held = provenance.get("files_sha256")
    return held if isinstance(held, Mapping) else {}


def _results(basis: Basis, old: Mapping[str, Any]) -> Iterator[tuple[str, float | None, float | None, float | None]]:
    """What each option costs a year, then and now."""
    held = old["sections"].get("options", {}).get("options", [])
    before = {str(one.get("name")): _number(one.get("bill", {}).get("total")) for one in held}
    before = before or {str(old["advised"].get("name")): _number(old["advised"].get("cost"))}
    after = {year.case.name: year.bill.total for year in basis.comparison.years}
    for name in dict.fromkeys((*after, *before)):
        was, now = before.get(name), after.get(name)
        yield name, was, now, None if was is None or now is None else now - was


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _values(report: Mapping[str, Any]) -> dict[str, str]:
    """Every input of a report by its key, stated or filled in."""
    tables = report["sections"].get("inputs", {}).get("tables", {})
    rows = (row for name in FILLED for row in tables.get(name, ()))
    return {str(row.get("key")).rsplit("\n", maxsplit=1)[-1]: str(row.get("value_words")) for row in rows}


def _moved(words: Words, before: Mapping[str, str], after: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was is None or now is None or was.strip('"') != now.strip('"'):
            yield key, words("changes.absent") if was is None else was, words("changes.absent") if now is None else now
