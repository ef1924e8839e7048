"""A setting that is tried on a home in; what a year with it costs beside the home as it is, at what comfort, out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf

from simkit.answers.answer import Answer, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.comparison import options_table
from simkit.answers.rooms import limit_sentence, rooms_picture, rooms_table, years_words
from simkit.answers.wording import ALL_WELL, beside, closing, costs_against, provenance_of, wrong_first
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range
from simkit.year.year import Year

THIS, BEFORE = "This setting", "Your home"


def setting_answer(
    year: Year, before: Year, others: Mapping[str, Year], picture: Picture, *, ranged: bool = True, whole: bool = True
) -> Answer:
    """Say what a setting of the controller does to a year.

    Parameters
    ----------
    year, before
        With the setting, and as the case stands.
    others
        What else they stand beside, by name.
    picture
        What shows them beside each other.
    ranged
        Whether to sample the likely ranges as well.
    whole
        Whether with cautions, notes and provenance, which a drag has no time for.
    """
    said = [setting_sentence(year, before, year.case.notation, ranged=ranged)]
    for name, other in others.items():
        said.append(f"It {_against(year, other, named(name), ranged=ranged)}{beside(other, name)}.")
    tables = [options_table({THIS: year, BEFORE: before, **others}, before, ranged=ranged, against=BEFORE)]
    return _answer(year, said, tables, picture, ranged=ranged, whole=whole)


def emitters_answer(year: Year, before: Year, price: float, *, ranged: bool = True, whole: bool = True) -> Answer:
    """Say what a flow and other emitters do to a year, and to each room.

    Parameters
    ----------
    year, before
        With the emitters that are tried, and as the case stands.
    price
        Of those emitters, fitted [currency].
    ranged
        Whether to sample the likely ranges as well.
    whole
        Whether with cautions, notes and provenance, which a drag has no time for.
    """
    notation, rooms = year.case.notation, year.rooms
    said = [setting_sentence(year, before, notation, ranged=ranged)]
    if price:
        said.append(f"The emitters cost {notation.money(price)}, fitted{_earned(year, before, price, ranged=ranged)}.")
    said.append(limit_sentence(rooms, notation))
    tables = [rooms_table(rooms), options_table({THIS: year, BEFORE: before}, before, ranged=ranged, against=BEFORE)]
    return _answer(year, said, tables, rooms_picture(rooms), ranged=ranged, whole=whole)


def setting_sentence(year: Year, before: Year, notation: Notation, *, ranged: bool) -> str:
    """What speaks against a setting, where something does; what a year costs with it, against the home as it stands."""
    found = year.range() if ranged else None
    likely = f" (likely {notation.span(found)})" if found is not None else ""
    said = f"a year costs about {notation.estimate(year.bill.total, found)}{likely}"
    if year is before:
        return wrong_first(year, said, "as your home stands,", well=ALL_WELL)
    said += f"; it {_against(year, before, 'your home as it stands', ranged=ranged)}"
    return wrong_first(year, said, "with this setting", well=ALL_WELL)


def _against(year: Year, other: Year, called: str, *, ranged: bool) -> str:
    more = year.bill.total - other.bill.total
    found = Range.of(year.samples.total - other.samples.total, more) if ranged else None
    return costs_against(more, found, called, year.case.notation)


def _earned(year: Year, before: Year, price: float, *, ranged: bool) -> str:
    """When the price is earned back; empty where nothing was sampled."""
    if not ranged:
        return ""
    saved = Range.of(before.samples.total - year.samples.total)
    soon, late = (price / end if end > 0 else inf for end in (saved.high, saved.low))
    return f"; earned back in {years_words(soon, late, year.case.notation)}" if soon < inf else "; never earned back"


def _answer(
    year: Year, said: Sequence[str], tables: Sequence[Table], picture: Picture, *, ranged: bool, whole: bool
) -> Answer:
    made = Answer(
        year.case.name, "What does this setting do to a year?",
        (*said, closing(year.case, ranged=ranged)), year.case.notation,
        tables=tuple(tables), pictures=(picture,), notes_of_case=True,
    )  # fmt: skip
    if not whole:
        return made
    return replace(made, cautions=cautions_for([year], {"flow"}), notes=year.notes, provenance=provenance_of(year))
