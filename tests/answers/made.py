"""Samples and invented homes in, every answer that the checks of the faces go through out: each made once.

Years and answers of one home take a hundred megabytes: those of the last home that was asked for are kept, and of the
others what they say.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path

from decide.invented import few_candidates
from decide.optimum.test_optimum import told as optimum
from homes import NAMES, SAMPLES, sample
from invented_homes import invented_home
from meter.homes import days_of, fitted, twin

from simkit.answers.answer import Answer
from simkit.answers.cautions import LAST
from simkit.answers.comparison import comparison_answer
from simkit.answers.description import description_answer
from simkit.answers.flow import flow_answer
from simkit.answers.meter.account import account_answer
from simkit.answers.meter.change import change_answer
from simkit.answers.meter.fit import fit_answer
from simkit.answers.meter.projection import projection_answer
from simkit.answers.meter.readings import readings_answer
from simkit.answers.money.battery import battery_answer
from simkit.answers.money.difference import difference_answer
from simkit.answers.money.measures import measures_answer
from simkit.answers.money.offers import offers_answer
from simkit.answers.money.tariff import tariff_answer
from simkit.answers.money.worth import worth_answer
from simkit.answers.optimum import optimum_answer
from simkit.answers.performance import performance_answer
from simkit.answers.rooms import rooms_answer
from simkit.answers.schedule import schedule_answer
from simkit.answers.setback import setback_answer
from simkit.answers.year import year_answer
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.clients.answer import clients_answer
from simkit.clients.outcomes import Clients, Outcome
from simkit.commands.tariffs import beside
from simkit.decide.assumptions import assumptions_of
from simkit.decide.battery.worth import battery_worth
from simkit.decide.flow.emitters import emitter_ladder
from simkit.decide.flow.sweep import sweep_flow
from simkit.decide.flow.worth import flow_worth
from simkit.decide.measures.ladder import rank_measures
from simkit.decide.measures.usual import usual_measures
from simkit.decide.schedule.search import best_schedule
from simkit.decide.schedule.setback import set_back
from simkit.decide.tariff.ranking import rank_tariffs
from simkit.errors import CaseError, Fault
from simkit.explaining.explain import explain
from simkit.finance.beside import offers
from simkit.finance.difference import difference
from simkit.finance.worth import worth
from simkit.meter.account.account import add_readings, start_account
from simkit.meter.account.before_after import change
from simkit.meter.account.statement import Statement, statement
from simkit.meter.fitting.projection import project
from simkit.meter.reading.reading import read_meter
from simkit.stock.answer import stock_answer
from simkit.stock.stock import sweep_homes
from simkit.year.compare import Comparison, compare
from simkit.year.simulate import simulate
from simkit.year.year import Year

INVENTED = int(os.environ.get("SIMKIT_FACES_CASES", "8"))  # 40 for the long check
CASES = (*NAMES, *range(INVENTED))
PLACES = ("canal_terrace in de_DE", "canal_terrace in fr_FR")  # a sample whose numbers are written as elsewhere
FLAGSHIP = "estuary_bungalow"  # the one with rooms, prices over the years and readings
FUTURES = 16  # enough for a range to be there


@dataclass(frozen=True)
class Said:
    """An answer, with the years that it speaks of, what it calls them, and, where it is one, the comparison."""

    answer: Answer
    years: tuple[Year, ...] = ()
    comparison: Comparison | None = None
    names: tuple[str, ...] = ()

    @property
    def called(self) -> dict[str, Year]:
        """The years by the names that cautions give them: those of their cases, unless the answer has others."""
        names = self.names or tuple(year.case.name for year in self.years)
        return dict(zip(names, self.years, strict=True))


def home_of(which: str | int) -> Case:
    """A sample, a sample whose numbers are written as in another place, or an invented home."""
    if isinstance(which, int):
        return invented_home(which)[0]
    name, _, locale = which.partition(" in ")
    return vary(sample(name), {"site.locale": locale, "uncertainty.lanes": FUTURES}) if locale else sample(name)


@lru_cache(maxsize=1)
def said_of(which: str | int) -> tuple[Said, ...]:
    """The answers of a sample, ranges and all, or of an invented home, a few of which have ranges."""
    ranged = isinstance(which, str) or which % 4 == 0
    compared = compare(home_of(which)) if isinstance(which, str) else _invented(which)
    one = compared.base if isinstance(which, int) else simulate(home_of(which))
    found = [
        Said(year_answer(one, ranged=ranged), (one,)),
        Said(comparison_answer(compared, ranged=ranged), compared.years, compared),
        Said(difference_answer(difference(*compared.years[::-1][:2])), compared.years[-2:]),
    ]
    if isinstance(which, str):
        found.append(Said(description_answer(assumptions_of(one, compared.years)), (one, *compared.years)))
    return tuple(found)


def _invented(number: int) -> Comparison:
    """An invented home beside itself: kept warmer, run hotter, and with water of 60 °C."""
    home = home_of(number)
    options = {
        "as drawn": {}, "kept at 20 °C": {"controls.setback_c": 20.0}, "flow 60 °C": {"controls.design_flow_c": 57.0},
        "water at 60 °C": {"hot_water.target_c": 60.0},
    }  # fmt: skip
    years = [simulate(vary(home, {"name": name, **changes})) for name, changes in options.items()]
    return Comparison(tuple(years), "as drawn")


@lru_cache(maxsize=1)
def decided_of(which: str | int) -> tuple[Said, ...]:
    """The answers about what to do: all of them of a sample, those that cost least to make of an invented home."""
    case = vary(home_of(which), {"uncertainty.lanes": FUTURES})
    found = [*_tariffs(case, which), *_machine(case)]
    if isinstance(which, str):
        found += [*_steps(case), *(_flagship() if which == FLAGSHIP else ())]
    return tuple(found)


def texts(answer: Answer) -> Iterator[str]:
    """Every piece of text of an answer, the names of rows left out."""
    yield from (answer.question, *answer.sentences, *answer.cautions, *answer.notes)
    for picture in answer.pictures:
        yield picture.sentence
    for table in answer.tables:
        yield from (table.title, table.note, *table.heads(answer.notation))
        for row in table.cells(answer.notation):
            yield from row[1:]


@cache
def printed_by(which: str | int) -> tuple[list[str], list[str]]:
    """What all answers of a home say, and what it calls its options, the longest name first."""
    names = {year.case.name for said in said_of(which) for year in said.years}
    said = [text for said in (*said_of(which), *decided_of(which)) for text in texts(said.answer) if text]
    return said, sorted(names, key=len, reverse=True)


def _tariffs(case: Case, which: str | int) -> Iterator[Said]:
    ranking = rank_tariffs(case, beside(case)[:3])
    years = {f"{ranking.own.name}, as it is": ranking.own.as_is.year}
    years |= {row.name: row.shifted.year for row in ranking.rows}
    answer = tariff_answer(ranking, ranged=isinstance(which, str))
    yield Said(answer, tuple(years.values()), names=tuple(years))


def _machine(case: Case) -> Iterator[Said]:
    """Design flows and seasonal performance: some homes have no curve, or no machine that a season can be asked of."""
    today = simulate(case)
    with suppress(CaseError):
        yield Said(flow_answer(sweep_flow(case, None), today=today, worth=flow_worth(case)), (today,))
    with suppress(CaseError):
        yield Said(performance_answer(today.seasonal), (today,))


def _steps(case: Case) -> Iterator[Said]:
    """Schedule, set-back, battery and measures."""
    with few_candidates():
        best = best_schedule(case)
    verdict = set_back(case)
    yield Said(schedule_answer(best, verdict), (best.best,))
    yield Said(setback_answer(verdict))
    yield Said(battery_answer(battery_worth(case)))
    yield Said(measures_answer(rank_measures(case, usual_measures(case))))


def _flagship() -> Iterator[Said]:
    """What only the flagship has: single rooms, prices over the years, readings; and the optimum of an invented home."""
    case = sample(FLAGSHIP)
    yield Said(worth_answer(worth(case), samples=FUTURES))
    yield Said(offers_answer(offers(case)))
    yield from (Said(explain(case, what).answer()) for what in ("bill.total", "2025-01-08 07:30"))
    by_room = read_case(SAMPLES / FLAGSHIP / "rooms.toml")
    roomy = vary(by_room, {"option": None, "baseline": None, "uncertainty.lanes": FUTURES})
    rooms = simulate(roomy).rooms
    yield Said(rooms_answer(rooms, ladder=emitter_ladder(roomy, lowest_c=45.0)), (rooms.year,), names=("as it is",))
    yield Said(readings_answer(read_meter(SAMPLES / FLAGSHIP / "readings.csv", zone=case.site.zone)))
    yield Said(fit_answer(fitted(), files=("readings.csv",)), (simulate(fitted().fitted_case()),))
    readings = read_meter(SAMPLES / FLAGSHIP / "readings.csv", zone=case.site.zone)
    maybe = change(case, readings, "2025-01-27")
    less = replace(maybe.effect, low_kwh=-9.0, effect_kwh=-7.0, high_kwh=-5.0, chance=0.003)
    for one in (maybe, replace(maybe, effect=less)):
        yield Said(change_answer(one), (simulate(one.case),))
    account = _account()
    yield Said(account_answer(account), (simulate(account.home),))
    yield Said(_stock())
    yield Said(clients_answer(_clients()))
    best = optimum()
    yield Said(optimum_answer(best), (best.schedule.best,))
    yield Said(projection_answer(project(fitted(), lanes=FUTURES, weather_count=4), files=("readings.csv",)))


def _account() -> Statement:
    """The flagship's twin over a hundred days, one of whose bills doesn't fit its prices."""
    with tempfile.TemporaryDirectory() as folder:
        case, first = SAMPLES / FLAGSHIP / "case.toml", days_of(twin().readings, 0, 40)
        account, _ = add_readings(start_account(Path(folder) / "account", case, fitted(), first), twin().readings)
        return statement(account, weather=twin().weather, billed={"2025-03": 90.0})


def _stock() -> Answer:
    """Six invented homes, one of them wrong, under two tariffs, in three winters; said while its files are there."""
    with tempfile.TemporaryDirectory() as folder:
        table = Path(folder) / "street.csv"
        rows = [f"Home {k},{'north' if k % 2 else 'south'},{150 + 20 * k}" for k in range(5)]
        table.write_text("\n".join(["name,group,home.loss.w_per_k", *rows, "Home 5,north,much"]), encoding="utf-8")
        tariffs = [SAMPLES / "tariffs" / f"estuary_{name}.toml" for name in ("flat", "long_night")]
        found = sweep_homes(table, Path(folder) / "years", place=FLAGSHIP, tariffs=tariffs, weathers=2)
        return stock_answer(found)


def _clients() -> Clients:
    """Three invented clients, one cold, one whose row is wrong, as their records tell."""
    record = {
        "country": "IE", "currency": "EUR", "advised": "The offer", "decision": "", "years": 20, "more": -3120.0,
        "more_low": -6010.0, "more_high": -240.0, "year_cost": 2310.0, "level": 0, "water_short": False, "rooms": "",
        "cautions": [LAST], "told": 5, "taken": 31, "assumed": 44, "report": "a.html", "case": "a.toml", "made_from": "1",
    }  # fmt: skip
    cold = record | {"more": 900.0, "more_low": -400.0, "more_high": 2300.0, "level": 2, "water_short": True}
    wrong = Fault("clients.csv line 4", "offer", "is missing", "Write the number alone")
    outcomes = (
        Outcome("Alder", 2, record), Outcome("Birch", 3, cold, kept=True), Outcome("Cedar", 4, None, (wrong,)),
    )  # fmt: skip
    return Clients(Path("clients.csv"), Path("reports"), outcomes)
