"""What a report works from in; every input with value, unit, source and quality, ranked by what it moves, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.description import ASSUMED, MATTERS_SHARE
from simkit.answers.report.basis import Basis
from simkit.answers.report.words import Words
from simkit.answers.wording import provenance_of
from simkit.case.case import Case
from simkit.schema.hints import shown, unit_of
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

QUALITY = {"own": "own", "common practice": "practice", "from memory": "memory"}
NOT_INPUTS = ("option", "baseline", "name", "note", "ledger")  # what a report says elsewhere
MOST_VALUES = 12  # of a list that is shown in full
FILES = ("tariff", "file")  # keys of paths
LONGEST = 120  # characters of a value


def inputs(basis: Basis) -> Answer:
    """Say what went in."""
    words, year, table = basis.words, basis.chosen, basis.assumptions.table
    stated = _stated(basis.chosen.case, words)
    said = words("inputs.summary", len(table), stated=words.notation.number(len(stated.frame)))
    notes = tuple(note for note in year.notes if not note.startswith(ASSUMED))
    return Answer(
        basis.case.name, words("ask.inputs"), (said,), words.notation, tables=(*_filled(basis), stated), notes=notes,
        provenance=provenance_of(basis),
    )  # fmt: skip


def _filled(basis: Basis) -> Iterator[Table]:
    """What was filled in: first what matters, worst first, then the rest."""
    table, words = basis.assumptions.table, basis.words
    if table.empty:
        return
    frame = table[["value_words", "moved_cost", "source_words", "settled_words"]].copy()
    named = zip(table["meaning_words"], table.index, strict=True)
    frame.index = pd.Index([f"{meaning}\n{key}" for meaning, key in named], name="key")
    frame["unit_words"] = [_unit(words, one) for one in table["unit_words"]]
    frame["quality_words"] = [_quality(words, source) for source in frame["source_words"]]
    least = MATTERS_SHARE * abs(basis.chosen.bill.total)
    matters = frame["moved_cost"] >= least
    head = {
        name: Column(name, title=words(f"inputs.{title}"))
        for name, title in (
            ("value_words", "value"), ("unit_words", "unit"), ("moved_cost", "moves"), ("source_words", "source"),
            ("quality_words", "quality"), ("settled_words", "settled"),
        )
    }  # fmt: skip
    first, note = words("inputs.name"), words("inputs.ranked_note")
    yield Table("ranked", words("inputs.ranked"), frame[matters], tuple(head.values()), note, first=first)
    if (~matters).any():
        title = words("inputs.small", least=words.notation.money(least))
        kept = tuple(head[name] for name in ("value_words", "unit_words", "source_words", "quality_words"))
        yield Table("small", title, frame[~matters], kept, first=first)


def _unit(words: Words, unit: str) -> str:
    """A unit as it is written, the currency by its code."""
    return unit.replace("currency", words.notation.currency or "currency")


def _quality(words: Words, source: str) -> str:
    """How good a value is, by what its source says of itself."""
    begins = source.split(":", maxsplit=1)[0].strip()
    return words(f"inputs.{QUALITY.get(begins, 'published')}")


def _stated(case: Case, words: Words) -> Table:
    """Every value that the case states, by its key."""
    rows = list(stated_values(case))
    frame = pd.DataFrame(
        {
            "value_words": [value for _, value, _ in rows],
            "unit_words": [_unit(words, unit) for *_, unit in rows],
            "source_words": [words("inputs.stated_source")] * len(rows),
            "quality_words": [words("inputs.stated_quality")] * len(rows),
        },
        index=pd.Index([key for key, *_ in rows], name="key"),
    )  # fmt: skip
    titles = ("value", "unit")  # source and quality are the same of each: the note says them once
    shown_columns = tuple(Column(f"{name}_words", title=words(f"inputs.{name}")) for name in titles)
    return Table(
        "stated", words("inputs.stated"), frame, shown_columns, words("inputs.stated_note"), first=words("inputs.name")
    )


def stated_values(case: Case) -> Iterator[tuple[str, str, str]]:
    """Key, value and unit of everything that a case states, but for what a report says elsewhere."""
    stated = {key: value for key, value in case.stated.items() if key not in NOT_INPUTS}
    if isinstance(stated.get("money"), Mapping):
        stated["money"] = {key: value for key, value in stated["money"].items() if key != "measure"}
    yield from _values(Case, stated, "")


def _values(section: type[Section], table: Mapping[str, Any], place: str) -> Iterator[tuple[str, str, str]]:
    """Key, value and unit of everything in a table of a case file."""
    parts = parts_of(section)
    for key, value in table.items():
        part, name = parts.get(key), f"[{place}] {key}" if place else key
        below = f"{place}.{key}" if place else key
        if isinstance(value, Mapping) and part is not None and part.section is not None:
            yield from _values(part.section, value, below)
        elif isinstance(value, list | tuple) and part is not None and part.section is not None and _tables(value):
            for number, one in enumerate(value, start=1):
                at = f"{below} {one['name']}" if isinstance(one.get("name"), str) else f"{below} {number}"
                yield from _values(part.section, {k: v for k, v in one.items() if k != "name"}, at)
        else:
            held = Path(value).name if key in FILES and isinstance(value, str) else value  # its name, not where it lies
            yield name, _written(held), "" if part is None else unit_of(part.field)


def _tables(value: Any) -> bool:
    return bool(value) and all(isinstance(one, Mapping) for one in value)


def _written(value: Any) -> str:
    """A value as a file holds it, a long one cut with its length told."""
    if isinstance(value, list | tuple) and len(value) > MOST_VALUES and not _tables(value):
        return f"{', '.join(map(_written, value[:MOST_VALUES]))}, … ({len(value)})"
    if isinstance(value, dt.date):
        return value.isoformat()
    text = value if isinstance(value, str) else str(getattr(value, "name", "")) or shown(value)
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}… ({len(text)})"
