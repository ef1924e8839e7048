"""Faults in, sentences out: the one place where bad input is put into words.

A fault has four parts: where it is, what was given, what is allowed and why, and what to do about it. All faults of
one input are gathered first and raised together, so that a user mends a file once and not line by line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

# Control codes, marks that turn the direction of writing, separators of lines and what has no width, tabs and ends of
# lines aside: a terminal or a page obeys them, and nobody sees them.
UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
MESSAGE_CHARACTERS, LEAST_SHOWN = 500, 60  # own


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with an input, in the four parts of a sentence.

    Parameters
    ----------
    where
        File and place, for example ``case.toml: [battery]``.
    given
        What was found there, for example ``charge_efficiency = 92``.
    allowed
        What would have been right and why, worded to follow `given`: ``is outside 0 to 1``.
    remedy
        What to do, a sentence without its full stop: ``It is a share, not per cent: write 0.92``.
    """

    where: str
    given: str
    allowed: str
    remedy: str

    def __str__(self) -> str:
        whole = self._worded()
        for part in ("given", "where", "allowed", "remedy"):
            held, over = getattr(self, part), len(whole) - MESSAGE_CHARACTERS
            if over > 0 and len(held) > LEAST_SHOWN:
                shown = max(LEAST_SHOWN, len(held) - over)
                return str(replace(self, **{part: f"{held[: shown - 13]} .. {held[-8:]}"}))
        return whole

    def _worded(self) -> str:
        place = f"{self.where} " if self.where.endswith((":", "]")) else f"{self.where}: " if self.where else ""
        given = f"{self.given} " if self.given else ""
        return f"{place}{given}{self.allowed.rstrip('.')}. {self.remedy.rstrip('.')}."


class SimkitError(Exception):
    """Something the user can mend; carries every fault found, one line each.

    Attributes
    ----------
    faults
        The faults, in the order in which they stand in the input.
    exit_code
        What the command line returns.
    """

    exit_code = 1

    def __init__(self, faults: Fault | Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class CaseError(SimkitError):
    """The description of a home or a tariff is wrong (exit code 2)."""

    exit_code = 2


class DataError(SimkitError):
    """A file of data (weather, prices, readings) is wrong (exit code 3)."""

    exit_code = 3


def raise_all(faults: Sequence[Fault], kind: type[SimkitError] = CaseError) -> None:
    """Raise `kind` with every fault, or do nothing when there is none."""
    if faults:
        raise kind(faults)


def perhaps(name: str, names: Iterable[str], otherwise: str) -> str:
    """Propose the legal name most like `name`, or say what to do `otherwise`."""
    near = nearest(name, names)
    return otherwise if near is None else f'Perhaps "{near}" is meant'


def nearest(name: str, names: Iterable[str]) -> str | None:
    """Return the legal name most like `name`, or None when none is near enough to be worth proposing."""
    found = get_close_matches(name, list(names), n=1, cutoff=0.6)
    return found[0] if found else None


def either(names: Sequence[str]) -> str:
    """Write names as a list within a sentence: ``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
