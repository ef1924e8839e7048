"""Years that an answer speaks of in; what may hurt in them, who to ask and who says so, out: the one register.

Every answer asks this register for what touches it, so that a caution whose condition holds stands on every face. A
caution never advises less than a published minimum. What is said of a setting is read off what the year did, not off
what was set: water is as hot as the cylinder became, rooms as cold as they fell.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from simkit.answers.doubts.beside import fresh_air, has_collectors, room_heater, stove
from simkit.answers.doubts.empty_home import empty_home
from simkit.answers.doubts.old_certificate import old_certificate
from simkit.answers.doubts.plausible import DOUBTS, FAR_OFF
from simkit.answers.severity import (
    REACHED_K,
    STORED_C,
    Subject,
    days_unstored,
    hottest_c,
    missing_kw,
    over_fuse_kw,
    worst,
)
from simkit.case.heating.boiler import FUELS_BOUGHT
from simkit.kernel.balance import unclosed, unclosed_words
from simkit.profiles.one_home import draws_differ
from simkit.year.sizing import ENOUGH
from simkit.year.year import Year

SAFE_C = 18.0  # WHO Housing and Health Guidelines 2018
STORED_DAYS = 0.9  # own: water that gets there on nine days of ten is stored at 60 °C; what only cycles do is not
FUSE_MARGIN = 0.1  # own: a tenth of the fuse
COLD_NIGHT = (
    "For a night without heating let no room fall under 18 °C, and let no one who is old, ill or very young sleep in "
    "it. Ask a doctor where in doubt. Source: WHO Housing and Health Guidelines 2018, 18 °C as a safe minimum."
)
A_STEP = "That is a mean over a step: a kettle, or a motor that starts,"
FIVE_MINUTES = "That holds the highest five minutes of a home like it: a motor that starts, or two kettles at once,"
LAST = "This is an estimate, no design: local codes and the advice of licensed trades come before anything said here."
LEGIONELLA = "legionella grows between 20 and 45 °C, and published guidance is to store hot water at 60 °C or more"


class Caution(NamedTuple):
    """One entry of the register.

    Parameters
    ----------
    name
        What it is about, for tests and JSON.
    found
        The words where its condition holds, else None.
    ask
        Who knows, or does, it.
    source
        Who says so: a standard only for what it says itself.
    worse
        How bad it is, where options differ in it: it is then said once, with the worst and those that it holds for.
    by_option
        Whether options differ in it without one being worse, so that each wording names those that it holds for.
    """

    name: str
    found: Callable[[Subject], str | None]
    ask: str
    source: str
    worse: Callable[[Subject], float] | None = None
    by_option: bool = False


def _stored_water(on: Subject) -> str | None:
    water, number = on.case.hot_water, on.notation.number
    if water.heated_by != "heating":
        return f"How hot the water of this home gets is not part of this case: {LEGIONELLA}."
    hottest = hottest_c(on)
    reached = int((hottest >= STORED_C - REACHED_K).sum())
    if not reached:
        return f"Hot water never gets hotter than {number(float(hottest.max()), 1)} °C, whatever is set: {LEGIONELLA}."
    if water.target_c < STORED_C or reached < STORED_DAYS * len(hottest):
        target = number(water.target_c, int(water.target_c % 1.0 > 0.0))
        days = f"on {reached} of {len(hottest)} days"
        return f"Hot water is set to {target} °C and reaches 60 °C {days}: {LEGIONELLA}."
    return None


def _scald(on: Subject) -> str | None:
    hottest = float(on.year.flow("cylinder_hot_c").max())
    if on.case.hot_water.heated_by != "heating" or hottest < STORED_C - REACHED_K:
        return None
    return f"Water of {on.notation.number(hottest)} °C scalds within seconds; children and the old are scalded sooner."


def _cold_rooms(on: Subject) -> str | None:
    hours, number = on.year.comfort.hours_below_18, on.notation.number
    if hours <= 0.0:
        return None
    lowest = on.year.comfort.coldest_worded(number)
    told = f"{number(hours)} hours" if hours >= 1.5 else "an hour"
    return f"Rooms are under 18 °C for {told} of the year, down to {lowest} °C: a risk to health."


def _water_short(on: Subject) -> str | None:
    drawn = ", where people draw more on some days than on others" if draws_differ(on.case) else ""
    said = f"Hot water runs short by {on.notation.number(on.year.comfort.unmet_litres)} litres a year{drawn}."
    return said if on.year.comfort.water_short else None


def _machine(on: Subject) -> str | None:
    design, machine, number = on.year.design_kw, on.case.heat_pump, on.notation.number
    if design is None or machine is None:
        return None
    outdoor = on.year.setting.weather.frame["outdoor_c"].to_numpy()
    stopped = machine.lowest_outdoor_c
    if machine.source == "air" and min(outdoor.min(), on.case.site.design_outdoor_c) < stopped:
        hours = number(float((outdoor < stopped).sum()) * on.year.axis.hours)
        had = (
            f"this year has for {hours} hours" if outdoor.min() < stopped else "a design day has, though not this year"
        )
        return f"The machine stops below {number(stopped)} °C, which {had}."
    if design[1] < ENOUGH * design[0]:
        load, made = (number(kw, 1) for kw in design)
        return f"On the design day the machine makes {made} kW of the {load} kW needed."
    return None


def _fuse(on: Subject) -> str | None:
    use, number = on.year.fuse, on.notation.number
    if use is None or use.margin_a > FUSE_MARGIN * use.fuse_a:
        return None
    over = f", over it for {number(use.hours_over, 1)} hours" if use.hours_over > 0 else ""
    return (
        f"The highest import is {number(use.peak_kw, 1)} kW against a main fuse of {number(use.fuse_a, 0)} A on "
        f"{'three phases' if on.case.site.phases == 3 else 'one phase'}, {number(use.limit_kw, 1)} kW{over}. "
        f"{A_STEP if on.case.household.file is not None else FIVE_MINUTES} goes above it for seconds to minutes."
    )


def _battery(on: Subject) -> str | None:
    if on.case.battery is None and "battery" not in on.topics:
        return None
    return (
        "A battery can burn and give off gas: where it stands, how the place is ventilated and how people get out "
        "past it are settled before it is bought."
    )


def _panels(on: Subject) -> str | None:
    if on.case.solar is None and "panels" not in on.topics:
        return None
    return "Panels are work at height; their current can't be switched off in daylight; the roof must carry them."


def _refrigerant(on: Subject) -> str | None:
    if on.case.heat_pump is None or on.case.heat_source == "boiler":
        return None
    return (
        "The heat pump holds refrigerant under pressure, and some refrigerants burn: never open its circuit, and keep "
        "flames, drains and openings of the house as far away as its maker says."
    )


def _hot_circuit(on: Subject) -> str | None:
    if not on.topics & {"emitters", "cylinder", "heat source", "flow"}:
        return None
    return (
        "The heating circuit and the cylinder are hot and under pressure: draining, filling and safety valves are no "
        "work for you."
    )


def _solar_thermal(on: Subject) -> str | None:
    if "solar thermal" not in on.topics and not has_collectors(on.year):
        return None
    return (
        "An old solar-thermal circuit holds hot fluid under pressure: it is emptied and capped before anything is cut."
    )


def _bought(on: Subject) -> str | None:
    fuel = on.case.fuel
    return fuel.kind.replace("lpg", "LPG") if fuel is not None and fuel.kind in FUELS_BOUGHT else None


def _burner(on: Subject) -> str | None:
    kind, fuel = _bought(on), on.case.fuel
    burns = on.case.heat_source in ("boiler", "hybrid") or (fuel is not None and fuel.other_use_kwh > 0)
    if kind is None or not burns:
        return None
    return (
        f"Something in the home burns {kind}, so that carbon monoxide can form: keep an audible alarm "
        "(EN 50291) in every room with a burner or a flue, and have each burner serviced every year."
    )


def _giving_up(on: Subject) -> str | None:
    kind = _bought(on)
    if kind is None or on.case.heat_source != "heat_pump":
        return None
    return (
        f"Giving up {kind}: the supply is cut off and the tank or the pipes made safe by a licensed "
        "firm, never by yourself; only then the contract is ended, and alarms come down last of all."
    )


def _asbestos(on: Subject) -> str | None:
    if "old boiler" not in on.topics:
        return None
    return "Old boiler rooms, flues and pipes may hold asbestos: have it looked for before anything is cut or lifted."


def _noise(on: Subject) -> str | None:
    machine = on.case.heat_pump
    if machine is None or on.case.heat_source == "boiler" or machine.source != "air":
        return None
    return "An outdoor unit is heard: limits at the neighbour's window, and distances, are set locally."


def _unbalanced(on: Subject) -> str | None:
    run = on.year.run
    left = unclosed(on.year.inputs.home, run.totals, run.before, run.after)
    return unclosed_words(left) if left else None


def _asked(doubt: Callable[[Year], str | None]) -> Callable[[Subject], str | None]:
    def found(on: Subject) -> str | None:
        return doubt(on.year)

    return found


LOCAL, PLUMBER, ELECTRICIAN = "the building authority", "a licensed heating engineer", "a licensed electrician"
PRACTICE, SIMULATED = "common practice", "what was simulated here"
REGISTER = (
    Caution("balance", _unbalanced, "those who keep simkit, with the case", SIMULATED, by_option=True),
    Caution("stored water", _stored_water, PLUMBER, "Health and Safety Executive, HSG274 part 2", days_unstored),
    Caution("scald", _scald, f"{PLUMBER}, for mixing valves at the taps", PRACTICE,
            lambda on: float(on.year.flow("cylinder_hot_c").max())),
    Caution("cold rooms", _cold_rooms, "a doctor, where someone old, ill or very young lives in the home",
            "WHO Housing and Health Guidelines 2018, 18 °C as a safe minimum", lambda on: -on.year.comfort.min_room_c),
    Caution("hot water short", _water_short, PLUMBER, SIMULATED, lambda on: on.year.comfort.unmet_kwh),
    Caution("machine", _machine, f"{PLUMBER}, for a room-by-room heat loss", f"{SIMULATED}; the method is EN 12831-1",
            missing_kw),
    Caution("main fuse", _fuse, f"the network's operator or {ELECTRICIAN}: nobody else changes it", SIMULATED,
            over_fuse_kw),
    Caution("battery", _battery, f"{ELECTRICIAN} and the insurer", PRACTICE),
    Caution("panels", _panels, f"{ELECTRICIAN} and a roofer", PRACTICE),
    Caution("refrigerant", _refrigerant, "a technician certified for refrigerants",
            "Regulation (EU) 2024/573, on who may work at the circuit"),
    Caution("hot circuit", _hot_circuit, PLUMBER, PRACTICE),
    Caution("solar thermal", _solar_thermal, PLUMBER, PRACTICE),
    Caution("stove", _asked(stove), "a chimney sweep", PRACTICE, by_option=True),
    Caution("fresh air", _asked(fresh_air), "a ventilation engineer, and a sweep where anything burns",
            "DIN 1946-6; EN 16798-1", by_option=True),
    Caution("room heater", _asked(room_heater), ELECTRICIAN, PRACTICE),
    Caution("carbon monoxide", _burner, "a licensed engineer for that fuel", PRACTICE),
    Caution("giving up a fuel", _giving_up, "a licensed engineer for that fuel", PRACTICE),
    Caution("asbestos", _asbestos, "a surveyor for asbestos", PRACTICE),
    Caution("empty home", _asked(empty_home), PLUMBER, "Health and Safety Executive, HSG274 part 2"),
    Caution("noise", _noise, LOCAL, PRACTICE),
    *(Caution(name, _asked(doubt), whom, FAR_OFF, by_option=True) for name, doubt, whom in DOUBTS),
    Caution("certificate", _asked(old_certificate), "an energy assessor",
            "Directive 2010/31/EU, article 11, on the ten years"),
)  # fmt: skip


def cautions_for(
    years: Sequence[Year], topics: frozenset[str] | set[str] = frozenset(), names: Sequence[str] | None = None
) -> tuple[str, ...]:
    """Ask the register what touches an answer.

    Parameters
    ----------
    years
        The years that the answer speaks of.
    topics
        What it proposes beyond them: ``battery``, ``panels``, ``emitters``, ``cylinder``, ``flow``, ``heat source``,
        ``old boiler``, ``solar thermal``.
    names
        What to call each year; the name of its case when left out.

    Returns
    -------
    tuple
        One text for each entry whose condition holds in any of the years, with the words of the worst and the names of
        those that it holds for, whatever their order; last, the deference to local codes and licensed practice.
    """
    called = [names[place] if names else year.case.name for place, year in enumerate(years)]
    subjects = [Subject(year, year.case, frozenset(topics), year.case.notation) for year in years]
    said = []
    for entry in REGISTER:
        found = [(words, name, on) for name, on in zip(called, subjects, strict=True) if (words := entry.found(on))]
        worded = sorted({words for words, *_ in found})
        if entry.by_option:
            worded = [worst([one for one in found if one[0] == words], None, len(years)) for words in worded]
        elif entry.worse is not None and found:
            worded = [worst(found, entry.worse, len(years))]
        said += [f"{words[:-1]}. Ask {entry.ask}. Source: {entry.source}." for words in worded]
    return (*said, LAST)
