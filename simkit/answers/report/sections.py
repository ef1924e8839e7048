"""What a report works from in; its sections by name, each an answer, out: those asked for, in one order.

To add one: a function here that gives an answer, or None where the case has nothing for it, an entry in `SECTIONS`, and
its heading under ``[section]`` of each catalogue.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from simkit.answers.answer import Answer
from simkit.answers.comparison import RUNNING_ONLY, comparison_answer
from simkit.answers.report.about_itself import limits, method, provenance, sign_off
from simkit.answers.report.basis import Basis
from simkit.answers.report.coldest import coldest_week
from simkit.answers.report.inputs import inputs
from simkit.answers.report.settings import settings
from simkit.answers.year import year_answer
from simkit.errors import CaseError, DataError, Fault, perhaps, raise_all

Maker = Callable[[Basis], Answer | None]
AS_DESCRIBED = (
    "All other figures of this report are of the home as described, not as these readings have it: a fitted home is "
    "reported on from the case that simkit fit writes with --write."
)
ELSEWHERE = {"difference", "performance", "cop", "cold_week"}  # tables and pictures that have a section of their own


@dataclass(frozen=True, eq=False)
class Section:
    """One part of a report.

    Attributes
    ----------
    name
        By which it is asked for.
    heading
        As it stands above it.
    answer
        What it says.
    """

    name: str
    heading: str
    answer: Answer


def _changes(basis: Basis) -> Answer | None:
    from simkit.answers.report.since import changes

    return changes(basis)


def _options(basis: Basis) -> Answer | None:
    if len(basis.comparison.years) < 2:
        return None
    answer = comparison_answer(basis.comparison, basis.case.name, whole=False)
    weighed = basis.weighed is not None  # then the sentence that sends the reader to that says nothing
    kept = tuple(said for said in answer.sentences if not (weighed and said == RUNNING_ONLY))
    return _own(replace(answer, sentences=kept))


def _own(answer: Answer) -> Answer:
    """An answer without the tables and pictures that have a section of their own."""
    return replace(
        answer, tables=tuple(table for table in answer.tables if table.name not in ELSEWHERE),
        pictures=tuple(picture for picture in answer.pictures if picture.name not in ELSEWHERE),
    )  # fmt: skip


def _why(basis: Basis) -> Answer | None:
    """Why what is advised costs more or less than what is kept, else than the baseline."""
    other = basis.kept or basis.comparison.base
    if other is basis.chosen:
        return None
    from simkit.finance.difference import difference

    return basis.titled(difference(other, basis.chosen).answer())


def _year(basis: Basis) -> Answer:
    answer = year_answer(basis.chosen)
    return replace(
        _own(basis.titled(answer)), question=f"{answer.question[:-1]} with {basis.chosen.case.name}?"
        if len(basis.comparison.years) > 1 else answer.question,
    )  # fmt: skip


def _rooms(basis: Basis) -> Answer | None:
    if basis.chosen.case.room is None:
        return None
    from simkit.answers.rooms import rooms_answer
    from simkit.decide.flow.emitters import emitter_ladder

    case = basis.chosen.case
    ladder = emitter_ladder(case) if any(room.candidate for room in case.room or ()) else None
    return basis.titled(rooms_answer(basis.chosen.rooms, ladder=ladder))


def _flow(basis: Basis) -> Answer | None:
    from simkit.decide.flow.sweep import sweep_flow
    from simkit.decide.flow.worth import flow_worth

    case = basis.chosen.case
    try:
        return basis.titled(sweep_flow(case).answer(today=basis.chosen, worth=flow_worth(case)))
    except CaseError:  # no heat pump, or no curve that is led by a design flow
        return None


def _tariffs(basis: Basis) -> Answer | None:
    """The tariffs that the options name, for what is advised."""
    named = {year.case.tariff.name: year.case.tariff for year in basis.comparison.years}
    if len(named) < 2:
        return None
    from simkit.decide.tariff.ranking import rank_tariffs

    return basis.titled(rank_tariffs(basis.chosen.case, list(named.values())).answer())


def _schedule(basis: Basis) -> Answer:
    from simkit.decide.schedule.search import best_schedule

    return basis.titled(best_schedule(basis.chosen.case, before_each=basis.begin).answer())


def _control(basis: Basis) -> Answer:
    from simkit.answers.optimum import optimum_answer
    from simkit.decide.optimum.optimum import optimum

    return basis.titled(optimum_answer(optimum(basis.chosen.case, before_each=basis.begin)))


def _battery(basis: Basis) -> Answer | None:
    case = next((year.case for year in (basis.chosen, *basis.comparison.years) if year.case.battery), None)
    if case is None:
        return None
    from simkit.decide.battery.worth import battery_worth

    return basis.titled(battery_worth(case).answer())


def _worth(basis: Basis) -> Answer | None:
    if basis.weighed is None:
        return None
    from simkit.answers.money.worth import weighed_answer

    return weighed_answer(basis.weighed, basis.case.name)


def _offers(basis: Basis) -> Answer | None:
    """Two offers line by line, where two options have a ledger."""
    from simkit.answers.money.offers import offers_answer
    from simkit.finance.beside import offers

    try:
        found = offers(basis.case)
    except CaseError:  # fewer than two ledgers
        return None
    one, other = (offer.year.case for offer in found.both)
    same = one.ledger == other.ledger and one.heat_pump == other.heat_pump and one.emitters == other.emitters
    return None if same else offers_answer(found, basis.case.name)


def _performance(basis: Basis) -> Answer | None:
    return None if basis.chosen.spf.h4 is None else basis.titled(basis.chosen.seasonal.answer())


def _readings(basis: Basis) -> Answer | None:
    """What was read, and the home fitted to it: how well that would have predicted; no year here is of that home."""
    if basis.readings is None:
        return None
    from simkit.meter.fitting.fitting import fit
    from simkit.meter.reading.reading import read_meter

    found = read_meter(basis.readings, zone=basis.case.site.zone)
    read = basis.titled(found.answer())
    if found.questions:
        return read
    try:
        fitted = fit(basis.case, found).answer()
    except (CaseError, DataError) as problem:
        return replace(read, notes=(*read.notes, *str(problem).splitlines()))
    return replace(
        read, sentences=(*read.sentences, *fitted.sentences, AS_DESCRIBED), tables=(*read.tables, *fitted.tables),
        pictures=(*read.pictures, *fitted.pictures[:1]), notes=(*read.notes, *fitted.notes),
    )  # fmt: skip


SECTIONS: Mapping[str, Maker] = MappingProxyType(
    {
        "changes": _changes, "options": _options, "why": _why, "year": _year, "rooms": _rooms, "flow": _flow,
        "tariffs": _tariffs,
        "schedule": _schedule, "control": _control, "settings": settings, "battery": _battery, "worth": _worth,
        "offers": _offers,
        "measures": lambda basis: basis.measures, "readings": _readings, "inputs": inputs, "method": method,
        "performance": _performance, "coldest_week": coldest_week, "limits": limits, "sign_off": sign_off,
        "provenance": provenance,
    }
)  # fmt: skip
BY_NAME_ONLY = ("schedule", "control")  # they take their own time


def chosen_sections(wanted: Sequence[str] | None, without: Sequence[str] = (), *, label: str = "") -> tuple[str, ...]:
    """Names of the sections of a report, in its order.

    Parameters
    ----------
    wanted
        Those that are asked for; None takes all but those that take their own time. A name with a plus sign before it
        is added to these.
    without
        Those that are left out.

    Raises
    ------
    CaseError
        With one sentence for each name that is none.
    """
    more = [name[1:] for name in wanted or () if name.startswith("+")]
    only = [name for name in wanted or () if not name.startswith("+")]
    faults = [
        Fault(label, f'section "{name}"', "is none of a report", perhaps(name, SECTIONS, f"Choose from {_listed()}"))
        for name in (*more, *only, *without)
        if name not in SECTIONS
    ]
    raise_all(faults)
    usual = only or [name for name in SECTIONS if name not in BY_NAME_ONLY]
    return tuple(name for name in SECTIONS if name in (*usual, *more) and name not in without)


def _listed() -> str:
    return ", ".join(SECTIONS)


def made_sections(basis: Basis, names: Sequence[str]) -> tuple[Section, ...]:
    """Make the sections of these names, those that the case has nothing for left out."""
    found = []
    for name in names:
        basis.begin(basis.words(f"section.{name}"))
        answer = SECTIONS[name](basis)
        if answer is not None:
            found.append(Section(name, basis.words(f"section.{name}"), answer))
    return tuple(found)
