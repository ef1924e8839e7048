"""What somebody typed or chose in, the value or one plain sentence out: the fields of a panel, without widgets."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic.fields import FieldInfo

from simkit.case.case import Case
from simkit.errors import nearest
from simkit.schema.hints import bounds_of, neat, out_of_bounds, unit_of
from simkit.schema.overlay import parts_of
from simkit.times_of_day import DAY_MINUTES, time_of

Value = float | str
SPACES = str.maketrans("", "", " \t\u00a0\u2009\u202f'")


@dataclass(frozen=True)
class Reading:
    """What became of what was typed: a value, or a sentence that says what is wrong with it."""

    value: Value | None = None
    problem: str = ""


@dataclass(frozen=True)
class Number:
    """A field that holds a number.

    Attributes
    ----------
    name, label, unit
        Its key, what stands beside it, and the unit behind it.
    low, high
        Bounds, both allowed.
    step
        How far one press of a key moves it.
    why
        The bounds in words, where there is more to say than the figures.
    example
        A value that a message may propose.
    hint
        Given a value outside the bounds, what to do about it; None proposes the example.
    near
        Of two ways to read a number the one nearer to this is taken; None asks.
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    why: str = ""
    example: float = 0.0
    hint: Callable[[float], str] | None = None
    near: float | None = None

    def read(self, given: Any) -> Reading:
        """Read a number, or text with a decimal point or a decimal comma."""
        if isinstance(given, bool) or not isinstance(given, int | float | str):
            return Reading(problem=f"{given} is not a number. {self._example}.")
        typed = str(given).strip()
        found = numbers_in(given) if isinstance(given, str) else (float(given),)
        if not found:
            missing = f'"{typed}" is not a number' if typed else "Nothing is written here"
            return Reading(problem=f"{missing}. {self._example}.")
        inside = [value for value in found if self.low <= value <= self.high]  # NaN is neither
        if (near := self.near) is not None:
            inside = sorted(inside, key=lambda value: abs(value - near))[:1]
        if len(inside) > 1:
            return Reading(problem=f'"{typed}" can be read in two ways. Write {neat(inside[0])} or {neat(inside[1])}.')
        if inside:
            return Reading(inside[0])
        remedy = self.hint(found[0]) if self.hint else self._example
        return Reading(problem=f"{self._with_unit(found[0])} is outside {self.limits}. {remedy}.")

    @property
    def limits(self) -> str:
        """The bounds in words."""
        reason = f" ({self.why})" if self.why else ""
        return f"{neat(self.low)} to {self._with_unit(self.high)}{reason}"

    def words(self, value: Value | None) -> str:
        """The value as it is written into the field."""
        return "" if value is None else neat(float(value))

    @property
    def _example(self) -> str:
        return f"Write a number such as {neat(self.example)}"

    def _with_unit(self, value: float) -> str:
        return f"{neat(value)} {self.unit}".strip()


@dataclass(frozen=True)
class Choice:
    """A field that holds one of several values, each with its words.

    Attributes
    ----------
    name, label
        Its key and what stands beside it.
    options
        Value and words of each.
    """

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    unit: str = ""

    def read(self, given: Any) -> Reading:
        """Read a value, or the words that stand for it."""
        for value, words in self.options:
            if given in (value, words):
                return Reading(value)
        near = nearest(str(given), [words for _, words in self.options])
        listed = ", ".join(words for _, words in self.options)
        remedy = f"Perhaps {near} is meant" if near else f"Choose one of: {listed}"
        return Reading(problem=f'"{given}" is not among the choices. {remedy}.')

    @property
    def listed(self) -> tuple[tuple[str, str], ...]:
        """Words and value of each, as a list of a panel wants them."""
        return tuple((words, value) for value, words in self.options)

    @property
    def limits(self) -> str:
        """The choices in words."""
        return ", ".join(words for _, words in self.options)

    def words(self, value: Value | None) -> str:
        """The words of a value."""
        return dict(self.options).get(str(value), str(value))


@dataclass(frozen=True)
class TimeOfDay:
    """A field that holds a time of day by the wall clock, "HH:MM".

    Attributes
    ----------
    name, label
        Its key and what stands beside it.
    until_midnight
        Whether it may be "24:00".
    every_minutes
        Times lie so many minutes apart.
    also
        One more time that is allowed, whether it lies on those or not.
    """

    name: str
    label: str
    unit: str = ""
    until_midnight: bool = False
    every_minutes: int = 1
    also: str = ""

    def read(self, given: Any) -> Reading:
        """Read a time of day: "7:30", "07.30", "7h30" or "7"."""
        match = re.fullmatch(r"\s*(\d{1,2})(?:\s*[:.h]\s*(\d{2})?)?\s*", str(given))
        minutes = int(match[1]) * 60 + int(match[2] or 0) if match else -1
        most = DAY_MINUTES if self.until_midnight else DAY_MINUTES - 1
        if match is None or int(match[2] or 0) > 59 or not 0 <= minutes <= most:
            wrong = f'"{str(given).strip()}" is not a time of day from 00:00 to {time_of(most)}'
            wrong = wrong if str(given).strip() else "Nothing is written here"
            return Reading(problem=f"{wrong}. Write a time such as 07:00.")
        found = time_of(minutes)
        if minutes % self.every_minutes and found != self.also:
            below = minutes - minutes % self.every_minutes
            near = f"{time_of(below)} or {time_of((below + self.every_minutes) % DAY_MINUTES)}"
            return Reading(problem=f"{found} is not a multiple of {self.every_minutes} minutes. Write {near}.")
        return Reading(found)

    @property
    def listed(self) -> tuple[str, ...]:
        """Every time that is allowed, in order."""
        every = {time_of(minute) for minute in range(0, DAY_MINUTES, self.every_minutes)}
        return tuple(sorted(every | ({self.also} if self.also else set())))

    @property
    def limits(self) -> str:
        """What is allowed, in words."""
        apart = f", every {self.every_minutes} minutes" if self.every_minutes > 1 else ""
        return f"00:00 to {'24:00' if self.until_midnight else '23:59'}, wall time{apart}"

    def words(self, value: Value | None) -> str:
        """The value as it is written into the field."""
        return str(value or "")


@dataclass(frozen=True)
class Upload:
    """A file that is chosen on the reader's own computer; its value is the name that it was given.

    Attributes
    ----------
    name, label
        Its key and what stands beside it.
    accept
        Endings that the browser offers, such as ``.csv,.txt``.
    """

    name: str
    label: str
    accept: str = ""
    unit: str = ""
    limits: str = ""

    def read(self, given: Any) -> Reading:
        """The name of the file."""
        return Reading(str(given))

    def words(self, value: Value | None) -> str:
        """The name as it is shown."""
        return str(value or "")


@dataclass(frozen=True)
class Text:
    """A field that holds words of a form of its own; `reads` says what becomes of what was typed."""

    name: str
    label: str
    reads: Callable[[str], Reading]
    unit: str = ""
    limits: str = ""

    def read(self, given: Any) -> Reading:
        """Read what was typed."""
        return self.reads(str(given))

    def words(self, value: Value | None) -> str:
        """The words as they are shown."""
        return str(value or "")


Field = Number | Choice | TimeOfDay | Upload | Text


def numbers_in(text: str) -> tuple[float, ...]:
    """Every number that a text can be read as: a lone mark before three digits may be a decimal or a thousands mark."""
    bare = text.translate(SPACES).replace("−", "-")
    if not re.fullmatch(r"[-+]?(\d[\d.,]*|[.,]\d+)", bare):
        return ()
    last = max(bare.rfind(","), bare.rfind("."))
    mark = bare[last] if last >= 0 else ""
    if mark and bare.count(mark) > 1:  # 1.234.567: thousands only
        return (float(bare.replace(mark, "")),) if not set(",.") - {mark} & set(bare) else ()
    whole = bare[:last].replace(",", "").replace(".", "") if mark else bare
    found = float(f"{whole}.{bare[last + 1 :]}" if mark else whole)
    lone = re.fullmatch(r"[-+]?[1-9]\d{0,2}[.,]\d{3}", bare)
    return (float(bare.replace(mark, "")), found) if lone else (found,)


def case_number(
    name: str, label: str, path: str, *, step: float, low: float | None = None, high: float | None = None,
    unit: str | None = None, why: str = "", example: float | None = None,
) -> Number:  # fmt: skip
    """A number with the bounds, unit and hints of a key of the case.

    Parameters
    ----------
    name, label
        Its key in the panel and what stands beside it.
    path
        The key in the case, such as ``home.floor_area_m2``.
    step
        How far one press of a key moves it.
    low, high
        Narrower bounds than those of the case.
    unit, why, example
        Other words than those of the case.
    """
    field = case_field(path)
    bounds = bounds_of(field)
    assert bounds is not None  # every number of a case has bounds
    key = path.rpartition(".")[2]
    narrowed = low is not None or high is not None
    proposed = float(field.examples[0]) if example is None and field.examples else float(example or 0.0)
    return Number(
        name, label, unit_of(field) if unit is None else unit,
        bounds[0] if low is None else low, bounds[1] if high is None else high, step, why, proposed,
        None if narrowed else lambda value: out_of_bounds(key, value, field),
    )  # fmt: skip


def case_field(path: str) -> FieldInfo:
    """The key of a case at a dotted path."""
    section: Any = Case
    *tables, key = path.split(".")
    for table in tables:
        section = parts_of(section)[table].section
    return parts_of(section)[key].field
