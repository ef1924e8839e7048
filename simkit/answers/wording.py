"""Pieces of sentences that more than one answer says, worded once."""

from __future__ import annotations

import hashlib
import re
from importlib.metadata import version
from typing import Any, Protocol

from simkit.assemble.emitters import design_load_kw, emitter_rating_kw
from simkit.assemble.rooms import design_flow_c, highest_flow_c, rooms_bend
from simkit.case.case import Case
from simkit.kept.memory import memo
from simkit.notation import Notation, named, unit_of_range
from simkit.physics.emitters import relative_output
from simkit.profiles.one_home import SEEDS, asks_household
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort
from simkit.year.sizing import ENOUGH
from simkit.year.year import Year

ESTIMATE = "Estimates under the stated assumptions, not a guarantee."
SPF_MEANS = (
    "SPF, the seasonal performance factor: units of heat for one of electricity over the year. H4 counts heaters, "
    "circulation pumps and standby as well."
)
FLOW_MEANS = "Flow on average: over the heat given."
EQUAL_COMFORT = "At equal comfort "
OLD_COMFORT = "If the old comfort were good enough, "
NO_LIKE = "that is no like for like, since rooms or water are less warm"
MOSTLY = 0.5  # own: a range that lies for three quarters on one side of zero is said to be probably more, or less
ALL_WELL = "; rooms are warm enough and hot water comes"
AT_LIMIT_K = 0.5  # own: a flow that could rise by less stands at its limit
RANGE_MEANS = "Likely: eight of ten simulated futures lie in that range."
WHOSE_HOUSEHOLD = (
    f"Panels, battery and peaks depend on when you switch things on: the estimate is for the most usual of {SEEDS} "
    "households that use as much, the range for all of them."
)


def closing(*cases: Case, ranged: bool) -> str:
    """How sentences about money end: what their range means, whose household it is where that decides, what they are.

    Parameters
    ----------
    cases
        What they are about.
    ranged
        Whether a range was sampled.
    """
    if not ranged:
        return ESTIMATE
    household = [WHOSE_HOUSEHOLD] if any(case.household.one and asks_household(case) for case in cases) else []
    return " ".join([RANGE_MEANS, *household, ESTIMATE])


def either_way(found: Range) -> bool:
    """Whether the range of a difference spans zero."""
    return found.low < 0.0 < found.high


def costs_against(more: float, found: Range | None, other: str, notation: Notation, *, time: str = "a year") -> str:
    """Word what an option costs against another, to follow a subject.

    Parameters
    ----------
    more
        What it costs more in the time named [currency].
    found
        Range of that, on shared samples; None where nothing was sampled.
    other
        What it is compared with, such as “Oil boiler”.
    notation
        How numbers are written.
    time
        What both cost is counted over, such as ``over 20 years``.
    """
    if found is None:
        return (
            f"costs {notation.more_or_less(more)} {time} than {other}" if round(more) else f"costs as much as {other}"
        )
    likely = f"likely {notation.span_more_or_less(found)}"
    if round(more / unit_of_range(found)) == 0:
        return f"costs about as much {time} as {other} ({likely})"
    if either_way(found):
        lies = (found.low + found.high) / (found.high - found.low)
        if abs(lies) > MOSTLY:
            probably = f"probably costs {'more' if lies > 0 else 'less'} {time} than {other}"
            return f"{probably}, though it could go either way ({likely})"
        over = "" if time == "a year" else f" {time}"
        return f"costs about the same{over} as {other}: it could go either way ({likely})"
    return f"costs about {notation.more_or_less(more, found)} {time} than {other} ({likely})"


def of_ten(share: float) -> str:
    """A share of the simulated futures as a person would count them."""
    if share < 0.05:
        return "in hardly any simulated future"
    return "in nearly every simulated future" if share > 0.95 else f"in {round(10 * share)} of 10 simulated futures"


def capital(clause: str) -> str:
    """A clause as the beginning of a sentence."""
    return f"{clause[:1].upper()}{clause[1:]}"


def machine_too_small(year: Year) -> str:
    """That the machine is too small for the design day; nothing where it is not."""
    design, number = year.design_kw, year.case.notation.number
    if design is None or design[1] >= ENOUGH * design[0]:
        return ""
    load, made = (number(kw, 1) for kw in design)
    if design[1] <= 0.0:
        return "the cold of the design day stops the machine"
    return f"the machine makes {made} kW of the {load} kW needed on the design day"


def wrong_first(year: Year, clause: str, lead: str = "", *, well: str = "") -> str:
    """What is said of a year: what speaks against it first, in a sentence of its own, where something does.

    Parameters
    ----------
    year
        What may lack comfort or a large enough machine.
    clause
        What is said of it, as the clause of a sentence.
    lead
        What goes before either, such as ``with this setting``.
    well
        What ends the sentence where nothing speaks against it, such as `ALL_WELL`.
    """
    wrong = home_is(year)
    first = capital(f"{lead} {wrong or clause}".strip())
    return f"{first}. As it is, {clause}." if wrong else f"{first}{well}."


def home_is(year: Year) -> str:
    """What speaks against a year as a clause of its own: “the home is too cold: …”; empty where nothing does."""
    return "; ".join(filter(None, [comfort_is(year.comfort, year.case.notation), machine_too_small(year)]))


def comfort_is(comfort: YearComfort, notation: Notation) -> str:
    """What is missing of the needed comfort as a clause; empty where nothing is."""
    wrong = comfort.lacking(notation.number)
    return f"the home is {wrong}" if comfort.level else wrong


def with_option(year: Year, name: str) -> str:
    """The sentence that says what speaks against an option; empty where nothing does."""
    wrong = home_is(year)
    return f"With {named(name)} {wrong}." if wrong else ""


def like_for_like(comfort: YearComfort, other: YearComfort) -> str:
    """How a comparison begins: at equal comfort, or at the old one; empty where it is no like for like."""
    if not comfort.as_warm_as(other):
        return ""
    return EQUAL_COMFORT if other.as_warm_as(comfort) else OLD_COMFORT


def beside(other: Year, name: str) -> str:
    """What the other of two options lacks, to end the sentence that compares them; empty where it lacks nothing."""
    wrong = home_is(other)
    return f"; with {named(name)} {wrong}" if wrong else ""


def emitters_kw(year: Year) -> float:
    """What the emitters give on the design day at the flow that is set for it [kW]."""
    case, loss = year.case, year.loss_w_per_k
    flow = design_flow_c(case, loss)
    excess = max(flow - 0.5 * case.emitters.water_difference_k - case.comfort.warmest_c, 0.1)
    return float(emitter_rating_kw(case, loss) * relative_output(excess, rooms_bend(case)))


def what_would_mend(year: Year) -> str:
    """Why a heat pump's home lacks comfort, and what would mend it; empty where it lacks none.

    Hotter water is only named where the machine and the controller can give it.
    """
    comfort, case, number = year.comfort, year.case, year.case.notation.number
    if comfort.held or year.design_kw is None:
        return ""
    flow, most = design_flow_c(case, year.loss_w_per_k), highest_flow_c(case)
    load, given = design_load_kw(case, year.loss_w_per_k), emitters_kw(year)
    why, mend = [machine_too_small(year)], ["a larger machine"] if machine_too_small(year) else []
    if comfort.level and given < ENOUGH * load:
        at = f"at {number(flow)} °C the emitters give {number(given, 1)} kW of the {number(load, 1)} kW needed"
        if flow > most - AT_LIMIT_K:
            at += f", and {number(flow)} °C is the hottest water that the machine and its controller give"
        else:
            mend.append(f"hotter water (controls.design_flow_c may go up to {number(most)} °C)")
        why.append(at)
        mend.append("larger emitters")
    if comfort.level:
        if not any(why):
            limit = number(case.controls.heating_limit_c)
            why.append("machine and emitters are big enough on the design day, so that something stops the heating")
            mend.append(f"a look at the set-points and at controls.heating_limit_c, which is {limit} °C")
        else:
            mend.append("less heat loss")
    if comfort.water_short:
        why.append("the cylinder is too small for what is drawn, or reheated too slowly or too seldom")
        mend.append("a larger cylinder, a larger coil or more hours in which its water is heated")
    return f"Why: {'; '.join(filter(None, why))}. What would help: {'; '.join(mend)}."


class OfCase(Protocol):
    """A result that knows the case it is of."""

    @property
    def case(self) -> Case:
        """The case."""
        ...


def provenance_of(result: OfCase) -> dict[str, Any]:
    """What a result was made from: version, digest of the case, digest of every file that it names, samples."""
    files = {path.name: _file_digest(str(path), path.stat().st_mtime_ns) for path in result.case.files}
    return {
        "simkit": version("home-heat-simkit"), "case_sha256": result.case.digest, "files_sha256": files,
        "samples": result.case.uncertainty.lanes,
    }  # fmt: skip


@memo
def _file_digest(path: str, _changed: int) -> str:
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


OPTIONS_NAMED = re.compile(r" \(with “.*?”(?: worst)?\)")  # the end of what is said where it holds for some of them


def covers(said: str, caution: str) -> bool:
    """Whether a caution says what another says, of the same options or of more; one that names none is of all."""
    if OPTIONS_NAMED.sub("", said) != OPTIONS_NAMED.sub("", caution):
        return False
    of, other = (re.findall("“(.*?)”", "".join(OPTIONS_NAMED.findall(one))) for one in (said, caution))
    return not of or set(other) <= set(of)


def in_futures(share: float) -> str:
    """A share of the sampled futures in words: ``in 4 of 10 simulated futures``."""
    tenths = round(10.0 * share)
    if tenths == 10:
        return "in all simulated futures" if share == 1.0 else "in nearly all simulated futures"
    return f"in {tenths} of 10 simulated futures" if tenths else "in hardly any simulated future"
