"""Pieces of sentences that more than one answer says, worded once."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from importlib.metadata import version
from typing import Any, Protocol

from simkit.case.case import Case
from simkit.notation import Notation, unit_of_range
from simkit.uncertainty.ranges import Range
from simkit.year.sizing import ENOUGH
from simkit.year.year import Year

ESTIMATE = "Estimates under the stated assumptions, not a guarantee."
SPF_MEANS = (
    "SPF, the seasonal performance factor: units of heat for one of electricity over the year. H4 counts heaters, "
    "circulation pumps and standby as well."
)
FLOW_MEANS = "Flow on average: over the heat given."
EQUAL_COMFORT, LESS_COMFORT = "At equal comfort ", "Less comfortable, "
OLD_COMFORT = "If the old comfort were good enough, "
MOSTLY = 0.5  # own: a range that lies for three quarters on one side of zero is said to be probably more, or less
RANGE_MEANS = "Likely: eight of ten simulated futures lie in that range."


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


def named(name: str) -> str:
    """A name in quotation marks: names of options hold commas and verbs."""
    return f"“{name}”"


def machine_too_small(year: Year) -> str:
    """That the machine is too small for the design day; nothing where it is not."""
    design, number = year.design_kw, year.case.notation.number
    if design is None or design[1] >= ENOUGH * design[0]:
        return ""
    load, made = (number(kw, 1) for kw in design)
    return f"the machine makes {made} kW of the {load} kW needed on the design day"


def stands_against(year: Year) -> str:
    """What speaks against a year, to follow its cost in the same breath; nothing where all is well."""
    comfort, number = year.comfort, year.case.notation.number
    said = [comfort.worded(number)] if comfort.level or comfort.water_short else []
    return "; ".join(filter(None, [*said, machine_too_small(year)]))


def ending(wrong: str) -> str:
    """What speaks against a cost, or that nothing does, to end its sentence."""
    return f"; but: {wrong}" if wrong else "; rooms are warm enough and hot water comes"


def but(year: Year) -> str:
    """What speaks against a year, to end the sentence of its cost; nothing where all is well."""
    wrong = stands_against(year)
    return f"; but: {wrong}" if wrong else ""


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


@lru_cache(maxsize=64)
def _file_digest(path: str, _changed: int) -> str:
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def in_futures(share: float) -> str:
    """A share of the sampled futures in words: ``in 4 of 10 simulated futures``."""
    tenths = round(10.0 * share)
    if tenths == 10:
        return "in all simulated futures" if share == 1.0 else "in nearly all simulated futures"
    return f"in {tenths} of 10 simulated futures" if tenths else "in hardly any simulated future"
