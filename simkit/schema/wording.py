"""A refused value and pydantic's reason for it in, two phrases of ours out: what is allowed and why, what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, get_args

from pydantic.fields import FieldInfo

from simkit.errors import nearest
from simkit.schema.hints import example_of, meaning_of, out_of_bounds, shown, span_of, time_hint, words_for, wrong_kind
from simkit.schema.overlay import Part

Phrases = tuple[str, str]


class Refusal(NamedTuple):
    """One value that a field refused."""

    kind: str
    key: str
    value: Any
    part: Part
    context: Mapping[str, Any]
    place: str

    @property
    def field(self) -> FieldInfo:
        """The field that refused."""
        return self.part.field

    @property
    def why(self) -> str:
        """What the field means, in brackets."""
        meaning = meaning_of(self.field)
        return f" ({meaning})" if meaning else ""

    @property
    def example(self) -> str:
        """A line that would be right."""
        return f"{self.key} = {shown(example_of(self.field))}"

    @property
    def path(self) -> str:
        """Dotted path of the key, for a heading."""
        table = self.place.partition("|")[0]
        return f"{table}.{self.key}" if table else self.key


def reason(refusal: Refusal) -> Phrases:
    """Say what is allowed and why, and what to do.

    Parameters
    ----------
    refusal
        What was refused and for which of pydantic's kinds of reason.

    Returns
    -------
    allowed, remedy
        Third and fourth part of a `Fault`.
    """
    if refusal.kind not in REASONS:
        return f"can't be used here{refusal.why}", f"Write for example {refusal.example}"
    return REASONS[refusal.kind](refusal)


def is_monthly(field: FieldInfo) -> bool:
    """Whether a field is a list of twelve, January to December."""
    return "low" in words_for(field)


def _not_a_word(refusal: Refusal) -> Phrases:
    words = words_of(refusal.field)
    if not words:
        return (
            f"is not {refusal.context.get('expected', 'allowed')}{refusal.why}",
            f"Write for example {refusal.example}",
        )
    names = ", ".join(f'"{word}"' for word in words)
    allowed = f"is none of {names}{refusal.why}" if len(words) > 1 else f"is not {names}{refusal.why}"
    if not isinstance(refusal.value, str):
        return allowed, f"Write for example {refusal.example}"
    given = refusal.value.strip().lower()
    plain = {word.lower(): word for word in words}
    near = nearest(given.replace("_", " "), plain) or nearest(given.replace(" ", "_"), plain)
    return (
        allowed,
        f'Perhaps {refusal.key} = "{plain[near]}" is meant' if near else f"Write for example {refusal.example}",
    )


def words_of(field: FieldInfo) -> list[str]:
    """Words that a field may hold, in their order."""
    found: list[str] = []
    queue: list[Any] = [field.annotation]
    while queue:
        arguments = get_args(queue.pop(0))
        found += [argument for argument in arguments if isinstance(argument, str)]
        queue += [argument for argument in arguments if not isinstance(argument, str)]
    return found


def _wrong_length(refusal: Refusal) -> Phrases:
    """Of a list, or of text."""
    example = f"Write for example {refusal.example}"
    if is_monthly(refusal.field):
        allowed = f"holds {len(refusal.value)} values, and twelve are wanted, January to December{refusal.why}"
        return allowed, "Write one value for each month"
    if refusal.kind == "too_short":
        return f"is empty, and at least one entry is needed{refusal.why}", example
    if refusal.kind == "too_long":
        return f"holds too many entries{refusal.why}", example
    if refusal.value == "":
        return f"is empty{refusal.why}", example
    least, most = refusal.context.get("min_length"), refusal.context.get("max_length")
    limit = f"is shorter than {least}" if least is not None else f"is longer than {most}"
    return f"{limit} characters{refusal.why}", example


def _no_table(refusal: Refusal) -> Phrases:
    if refusal.part.many:
        return f"holds an entry that is not a table{refusal.why}", f"Write [[{refusal.path}]] and its keys beneath it"
    if isinstance(refusal.value, list):
        return f"is a list, and one table is wanted{refusal.why}", f"Write [{refusal.path}] with single brackets"
    return f"is not a table{refusal.why}", f"Write [{refusal.path}] and its keys beneath it"


def _no_list(refusal: Refusal) -> Phrases:
    if refusal.part.section is not None:
        if isinstance(refusal.value, Mapping):
            allowed = f"is one table, and a list of tables is wanted{refusal.why}"
            return allowed, f"Write [[{refusal.path}]] with double brackets"
        return (
            f"is not a list of tables{refusal.why}",
            f"Write [[{refusal.path}]] and its keys beneath it, once for each",
        )
    if is_monthly(refusal.field):
        allowed = f"is not a list of twelve values, January to December{refusal.why}"
        return allowed, f"Write twelve values in brackets: {refusal.example}"
    return f"is not a list{refusal.why}", f"Write it in brackets: {refusal.example}"


REASONS: Mapping[str, Callable[[Refusal], Phrases]] = {
    **dict.fromkeys(
        ("greater_than_equal", "less_than_equal"),
        lambda no: (f"is outside {span_of(no.field)}{no.why}", out_of_bounds(no.key, no.value, no.field)),
    ),
    **dict.fromkeys(
        ("float_type", "int_type", "int_from_float", "finite_number"),
        lambda no: wrong_kind(no.key, no.value, no.field, no.why),
    ),
    "literal_error": _not_a_word,
    "string_pattern_mismatch": lambda no: time_hint(no.key, no.value, no.field, no.why),
    **dict.fromkeys(("too_short", "too_long", "string_too_short", "string_too_long"), _wrong_length),
    "string_type": lambda no: (f"is not text{no.why}", f"Write text in quotes, such as {no.example}"),
    "bool_type": lambda no: (
        f"is neither true nor false{no.why}",
        f"Write {no.key} = true or {no.key} = false, without quotes",
    ),
    **dict.fromkeys(("model_type", "model_attributes_type"), _no_table),
    **dict.fromkeys(("tuple_type", "list_type"), _no_list),
}
