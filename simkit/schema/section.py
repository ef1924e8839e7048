"""Bounds, units and meanings in, pydantic fields out: what every part of a case is made of.

A part of a case is a `Section`: strict (``true`` is not a number, text is not a number), frozen and hashable, with no
key but its own. Models hold no default: a key that must be there has none, a key that may be left out is None when it
is, and every value that is filled in for the user stands in ``defaults.toml`` with its source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Annotated, Any, ClassVar, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, ValidationError, ValidatorFunctionWrapHandler, WrapValidator
from pydantic_core import PydanticCustomError

from simkit.errors import Fault, perhaps

Days = Literal["all", "workdays", "weekend"]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]

TIME_PATTERN = r"^([01][0-9]|2[0-3]):[0-5][0-9]$"
CLOCK_PATTERN = r"^(utc|local|[+-](0[0-9]|1[0-4]):[0-5][0-9])$"
_UNSEEN = (
    r"\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff"  # controls, marks of direction, ends of lines
)
TEXT_PATTERN = rf"^[^{_UNSEEN}]*[^{_UNSEEN}\s][^{_UNSEEN}]*$"
PROSE_PATTERN = rf"^(?:[^{_UNSEEN}]|[\n\t])*$"
END_PATTERN = r"^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$"


class Way(NamedTuple):
    """One of several ways to say the same thing.

    Parameters
    ----------
    key
        The key that chooses this way.
    needs
        Keys that must be given along with it.
    takes
        Keys that may be given along with it, and make no sense without it.
    """

    key: str
    needs: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()

    @property
    def companions(self) -> tuple[str, ...]:
        """Every key that belongs to this way, its own left out."""
        return self.needs + self.takes


def doubled(names: Iterable[str], given: str, remedy: str, where: str = "") -> Iterator[Fault]:
    """Yield a fault for each name that stands more than once; `given` is written with the name for its {}."""
    held = list(names)
    for name in sorted({name for name in held if held.count(name) > 1}):
        yield Fault(where, given.format(name), "stands more than once", remedy)


class Section(BaseModel):
    """One table of a case file.

    Attributes
    ----------
    choices
        Groups of ways of which exactly one is given (a class attribute; checked on the file's own keys, and when an
        option or `vary` gives another way the first one gives way).
    merged_by_name
        Whether an option that gives a list of this section changes the elements of the same name, and adds the others;
        any other list is replaced whole (a class attribute).
    one_line
        Whether it is written in one line, without a heading of its own (a class attribute).
    """

    model_config = ConfigDict(
        strict=True,
        extra="forbid",
        frozen=True,
        allow_inf_nan=False,
        validate_default=False,
        serialize_by_alias=True,
    )
    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ()
    merged_by_name: ClassVar[bool] = False
    one_line: ClassVar[bool] = False

    def clashes(self) -> Iterator[Fault]:
        """Yield what is wrong between keys that are each right; `where` is left empty for the reader to fill."""
        yield from ()


def number(
    low: float, high: float, unit: str, meaning: str, *, example: float, source: str = "own", absent: bool = False
) -> Any:
    """Describe a number of a section.

    Parameters
    ----------
    low, high
        Bounds, both allowed.
    unit
        Unit as it is written in messages, "share" for 0 to 1, "" for none.
    meaning
        What the number is, a phrase without its full stop.
    example
        A value that a message may propose.
    source
        Where the bounds come from.
    absent
        Whether the key may be left out; it is None then.

    Returns
    -------
    Any
        A pydantic field.
    """
    bracket = f" [{unit}]" if unit else ""
    description = f"{meaning}{bracket}, {low:g} to {high:g} (bounds: {source})."
    extra: dict[str, Any] = {"unit": unit, "meaning": meaning}
    if absent:
        return Field(
            default=None, ge=low, le=high, description=description, examples=[example], json_schema_extra=extra
        )
    return Field(ge=low, le=high, description=description, examples=[example], json_schema_extra=extra)


def months(
    low: float, high: float, unit: str, meaning: str, *, example: float, source: str = "own", absent: bool = False
) -> Any:
    """Describe twelve numbers, January to December, each from `low` to `high`; the words are those of `number`."""
    description = f"{meaning} [{unit}], twelve values from January on, {low:g} to {high:g} each (bounds: {source})."
    extra: dict[str, Any] = {"unit": unit, "meaning": meaning, "low": low, "high": high}
    bounds: dict[str, Any] = {"min_length": 12, "max_length": 12, "description": description}
    bounds |= {"examples": [[example] * 12], "json_schema_extra": extra}
    return Field(default=None, **bounds) if absent else Field(**bounds)


def said(meaning: str, *, example: Any, alias: str | None = None, absent: bool = False, **bounds: Any) -> Any:
    """Describe anything but a number: a name, one of several words, a switch, a table or a list of tables.

    Parameters
    ----------
    meaning
        What it is, a phrase without its full stop.
    example
        A value that a message may propose.
    alias
        The key in the file where it is no name for an attribute (``from``).
    absent
        Whether the key may be left out; it is None then.
    **bounds
        Further bounds that pydantic knows (``min_length``, ``pattern``).

    Returns
    -------
    Any
        A pydantic field.
    """
    extra: dict[str, Any] = {"meaning": meaning}
    rest: dict[str, Any] = {"description": f"{meaning}.", "examples": [example], "json_schema_extra": extra, **bounds}
    if alias is not None:
        rest["alias"] = alias
    return Field(default=None, **rest) if absent else Field(**rest)


def text(meaning: str, *, example: str, absent: bool = False) -> Any:
    """Describe a short line of text in which something can be seen, and nothing that can't."""
    return said(meaning, example=example, absent=absent, min_length=1, max_length=200, pattern=TEXT_PATTERN)


def worded(allowed: str, remedy: str, words: Iterable[str] = ()) -> WrapValidator:
    """Say in our own words what a field allows that pydantic refuses, or which of some `words` is meant.

    A list of the file is taken as the tuple that a frozen model holds, which strict validation asks for.
    """

    def told(value: Any, handler: ValidatorFunctionWrapHandler) -> Any:
        try:
            return handler(tuple(value) if isinstance(value, list) else value)
        except ValidationError:
            meant = perhaps(value, words, remedy) if isinstance(value, str) else remedy
            raise PydanticCustomError("worded", "", {"allowed": allowed, "remedy": meant}) from None

    return WrapValidator(told)


TimeOfDay = Annotated[str, Field(pattern=TIME_PATTERN)]
EndOfDay = Annotated[str, Field(pattern=END_PATTERN)]
