"""Numbers in, links of a chain out: what a figure is made of, with the numbers put in, its unit and its source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import NamedTuple

from simkit.answered import Answered
from simkit.notation import Notation
from simkit.quantities import quantity
from simkit.year.year import Year

MONEY, PRICE, SHARE = "currency", "currency/kWh", "share"
SAME = 1e-9  # of its size: the kernel fuses products and sums, plain Python rounds in between


class Link(NamedTuple):
    """One step on the way to a figure.

    Attributes
    ----------
    what
        What it is.
    worked
        How it is made, the numbers put in; empty for an input.
    value, unit, digits
        What it comes to; unit as in `simkit.quantities`, decimals that are shown.
    source
        Where it stands: a key of the case, a law of the kit with its own source, or a line of the bill.
    """

    what: str
    worked: str
    value: float
    unit: str
    digits: int
    source: str

    def text(self, notation: Notation) -> str:
        """The value with its unit."""
        return written(self.value, self.unit, notation, self.digits)


def written(value: float, unit: str, notation: Notation, digits: int = 0) -> str:
    """A number with its unit, amounts and shares in their own notation; years that never come in words."""
    if unit == "years" and value == inf:
        return "not in the years looked at"
    if unit == MONEY:
        return notation.money(value, digits)
    if unit == PRICE:
        return notation.price(value)
    if unit == SHARE:
        return notation.share(value, digits)
    return (
        f"{notation.number(value, digits)}\u00a0{unit}".rstrip()
        if unit not in ("", "–")
        else notation.number(value, digits)
    )


Links = list[Link]
Years = Sequence[Year]


@dataclass(frozen=True, eq=False)
class Figure:
    """A figure that can be asked for.

    Parameters
    ----------
    key
        Its name, such as ``bill.energy.night`` or ``spf.h4``.
    label
        What it is, in words.
    column
        Quantity that says its unit and decimals.
    years
        The years that it is read off: one, or the baseline and an option.
    value
        Reads it off such years.
    links
        Makes its chain; the last link is the figure.
    """

    key: str
    label: str
    column: str
    years: tuple[Year, ...]
    value: Callable[[Years], float]
    links: Callable[[], Links]

    @property
    def made(self) -> Figure:
        """It, ready to be explained."""
        return self

    @property
    def amount(self) -> float:
        """Its value."""
        return self.value(self.years)

    @property
    def notation(self) -> Notation:
        """How it is written."""
        return self.years[-1].case.notation

    def text(self) -> str:
        """The value as it is shown."""
        return self.written(self.amount)

    def written(self, value: float) -> str:
        """A value of this kind, with its unit."""
        known = quantity(self.column)
        return written(value, known.unit, self.notation, known.digits)


@dataclass(frozen=True, eq=False)
class InputFigure(Figure):
    """A value that the case states, or that was filled in: it reads as it stands there, and nothing lies before it."""

    reads: str

    def written(self, value: float) -> str:
        """As it stands there."""
        return self.reads


@dataclass(frozen=True, eq=False)
class LaterFigure(Figure):
    """A figure whose own year is simulated when it is the one that is meant."""

    make: Callable[[], Figure]

    @property
    def made(self) -> Figure:
        """It, on its own year."""
        return self.make()


def fixed(  # noqa: PLR0917 - the parts of a figure, in its order
    key: str, label: str, column: str, years: Sequence[Year], amount: float, links: Callable[[], Links]
) -> Figure:
    """A figure of which only the chain is known, and not what moves it."""
    return Figure(key, label, column, tuple(years), lambda _: amount, links)


class Moved(NamedTuple):
    """What a figure becomes when one input is moved alone."""

    name: str
    how: str
    value: float


@dataclass(frozen=True, eq=False, repr=False)
class Explanation(Answered):
    """Why a figure is what it is.

    Attributes
    ----------
    figure
        What was asked for.
    links
        The chain to it; its last link is the figure.
    moved
        What it becomes with one input moved, the strongest first.
    checked
        What was worked out a second time, and agreed.
    """

    answered_by = "simkit.explaining.answer:explanation_answer"
    figure: Figure
    links: tuple[Link, ...]
    moved: tuple[Moved, ...] = ()
    checked: tuple[str, ...] = field(default_factory=tuple)

    def __repr__(self) -> str:
        notation = self.figure.notation
        return "\n".join(f"{link.what}: {link.worked} = {link.text(notation)}" for link in self.links)


@dataclass(frozen=True, eq=False, repr=False)
class Candidates(Answered):
    """Several figures that may be meant.

    Attributes
    ----------
    asked
        What was asked for.
    figures
        Those that it may be.
    notation, name
        How they are written, and of which home.
    """

    answered_by = "simkit.explaining.answer:candidates_answer"
    asked: str
    figures: tuple[Figure, ...]
    notation: Notation = field(repr=False)
    name: str

    def __repr__(self) -> str:
        return "\n".join(f"{figure.key}: {figure.label}, {figure.text()}" for figure in self.figures)


def differs(one: float, other: float) -> bool:
    """Whether two values of one thing are not the same, beyond how numbers are rounded."""
    return abs(one - other) > SAME * max(1.0, abs(one), abs(other))


class DisagreementError(ArithmeticError):
    """The kernel and the same laws in plain Python say different things: a defect of the kit, never of a case."""
