"""An answer in English in; the same in another language, by a catalogue of what answers say, out.

Answers are worked out in English, which is what is checked, kept and compared. A report in another language says them
anew just before it is laid out. Its catalogue pairs a phrase in English with the same in that language; what differs
from answer to answer stands between braces, and its letter says what it may be: ``{n}`` a number, an amount or a share,
already written in the report's notation; ``{q}`` a name in quotation marks; ``{d}`` a date; ``{c}`` a clause that the
catalogue holds too, ``{s}`` one that then begins with a capital, ``{l}`` several in a row; ``{t}`` whatever somebody
wrote, which stays as it is. A phrase is a clause, a sentence or a few of them, and where its English changes its entry
does too. What has no entry stays English, and `Speech.unsaid` names it.
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files

from simkit.answers.answer import Column, Table
from simkit.answers.report.words import ENGLISH, Words
from simkit.answers.wording import capital
from simkit.notation import JOINED, Notation, Range

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip
SIGN = r"(?:[€$£¥₹]|[A-Z]{2,3}|kr\.?|zł|Kč|Ft)"
VALUE = re.compile(
    rf"[−+-]?(?:{SIGN}[\u00a0\u202f]?)?[−+-]?\d(?:[\d.,’'\u00a0\u202f]*\d)?"
    rf"(?:[\u00a0 ]%|[\u00a0\u202f]{SIGN})?(?:/kWh)?|–"
)
NAMED = re.compile("“[^”]*”")
DATE = re.compile(rf"(\d{{1,2}}) ({'|'.join(MONTHS)})(?: (\d{{4}}))?")
ANY = re.compile(r".+", re.DOTALL)
KINDS = {"n": VALUE, "q": NAMED, "d": DATE, "c": ANY, "s": ANY, "l": ANY, "t": ANY}
PLACE = re.compile(r"\{([a-z]\d?)\}")
SENTENCE_ENDS = re.compile(r"(?<=[.?!])\s+(?=[A-Z“\d(])")
HELD_TOGETHER = re.compile(f"{JOINED}(less\\b|more\\b|much\\b|°C)")
OUTSIDE_NAMES = "(?=(?:[^“”]*“[^”]*”)*[^“”]*$)"
COMMA, LAST = (re.compile(f"({between}){OUTSIDE_NAMES}") for between in (", ", " and | or "))
WORD = re.compile(r"[^\W\d_]{2}")
NAMES = ("name", "label")  # keys of a case
LONGEST = 2000  # own: no sentence of an answer is as long, only what people write

Said = str | Mapping[str, str]


@dataclass(frozen=True)
class Phrase:
    """One entry of a catalogue: its English, cut at its places, and what is said instead."""

    parts: tuple[str, ...]
    said: Said

    @property
    def certain(self) -> int:
        """How much of it is sure: the phrase that holds most of a text by itself is tried first."""
        return sum(map(len, self.parts[::2]))

    def fits(self, text: str) -> Iterator[dict[str, str]]:
        """Every way in which a text is this phrase with something in its places."""
        if text.startswith(self.parts[0]) and text.endswith(self.parts[-1]):
            yield from _fits(self.parts[1:], text[len(self.parts[0]) :])


def _fits(parts: tuple[str, ...], text: str) -> Iterator[dict[str, str]]:
    if not parts:
        yield from () if text else ({},)
        return
    place, after, *rest = parts
    ends = _found_in(text, after) if after or rest else iter((len(text),))
    for end in ends:
        if end and KINDS[place[0]].fullmatch(text[:end]):
            yield from ({place: text[:end], **more} for more in _fits(tuple(rest), text[end + len(after) :]))


def _found_in(text: str, wanted: str) -> Iterator[int]:
    at = text.find(wanted)
    while at >= 0:
        yield at
        at = text.find(wanted, at + 1)


@cache
def phrases(language: str) -> tuple[Mapping[str, Said], tuple[Phrase, ...]]:
    """What a language says for phrases without a place, and those with places, the surest first."""
    folder = files("simkit.answers.report") / "languages" / language
    held: dict[str, Said] = {}
    if folder.is_dir():
        for path in sorted(folder.iterdir(), key=lambda one: one.name):
            held |= tomllib.loads(path.read_text(encoding="utf-8"))
    bare = {english: said for english, said in held.items() if not PLACE.search(english)}
    placed = [Phrase(tuple(PLACE.split(english)), said) for english, said in held.items() if english not in bare]
    return bare, tuple(sorted(placed, key=lambda one: -one.certain))


def given_names(held: object) -> Iterator[str]:
    """Every name and label that a case, as it is stated, gives to anything."""
    if isinstance(held, Mapping):
        yield from (one for key, one in held.items() if key in NAMES and isinstance(one, str))
        yield from (name for one in held.values() for name in given_names(one))
    elif isinstance(held, list | tuple):
        yield from (name for one in held for name in given_names(one))


@dataclass(frozen=True)
class SpokenNotation(Notation):
    """A notation whose few words are said in another language."""

    say: Callable[[str], str] = field(compare=False)

    def money(self, amount: float, digits: int = 0, *, unit: float = 1.0) -> str:
        """As `Notation.money`."""
        return self.say(super().money(amount, digits, unit=unit))

    def span(self, found: Range) -> str:
        """As `Notation.span`."""
        return self.say(super().span(found))

    def more_or_less(self, amount: float, found: Range | None = None) -> str:
        """As `Notation.more_or_less`."""
        return self.say(super().more_or_less(amount, found))

    def span_more_or_less(self, found: Range) -> str:
        """As `Notation.span_more_or_less`."""
        unsaid = Notation(self.locale, self.currency)
        return self.say(unsaid.span_more_or_less(found))

    def cell(self, column: str, value: object) -> str:
        """As `Notation.cell`; words of a table are said already."""
        said = super().cell(column, value)
        return said if isinstance(value, str) else self.say(said)


@dataclass(frozen=True, eq=False)
class Speech:
    """Says what answers say in the language of a report.

    Attributes
    ----------
    words
        The words of the report, with its language and notation.
    own
        Names that somebody gave, which stay as they are whatever the catalogue holds.
    unsaid
        What was asked for and has no entry.
    """

    words: Words
    own: frozenset[str] = frozenset()
    unsaid: dict[str, None] = field(default_factory=dict)
    _known: dict[tuple[str, str], str | None] = field(default_factory=dict, repr=False)

    def __call__(self, text: str) -> str:
        """Say a text: line by line, as many sentences at once as one entry holds."""
        if self.words.language == ENGLISH or text in self.own or not WORD.search(text) or len(text) > LONGEST:
            return text
        return "\n".join(map(self._line, HELD_TOGETHER.sub(r" \1", text).split("\n")))

    def notation(self, own: Notation) -> Notation:
        """A notation with its words in the language."""
        return own if self.words.language == ENGLISH else SpokenNotation(own.locale, own.currency, self)

    def table(self, table: Table, notation: Notation) -> Table:
        """A table with its heads and its cells of words in the language."""
        if self.words.language == ENGLISH:
            return table
        frame = table.frame.map(lambda value: self(value) if isinstance(value, str) else value)
        frame.index = table.frame.index.map(lambda name: self(str(name)))
        columns = tuple(self._column(column, notation) for column in table.shown())
        return replace(
            table, title=self(table.title), note=self(table.note), first=self(table.first), frame=frame, columns=columns
        )

    def _column(self, column: Column, notation: Notation) -> Column:
        return replace(column, title=self(column.heading(notation)))

    def _line(self, line: str) -> str:
        pieces, said = SENTENCE_ENDS.split(line), list[str]()
        while pieces:
            ways = ((count, self._sentence(" ".join(pieces[:count]))) for count in range(len(pieces), 0, -1))
            count, found = next(((count, found) for count, found in ways if found is not None), (1, None))
            if found is None and WORD.search(pieces[0]):
                self.unsaid[pieces[0]] = None
            said.append(pieces[0] if found is None else found)
            del pieces[:count]
        return " ".join(said)

    def _sentence(self, text: str) -> str | None:
        found = self._clause(text)
        if found is None and text.endswith("."):
            clause = self._clause(text[:-1])
            found = None if clause is None else f"{clause}."
        return found

    def _clause(self, text: str) -> str | None:
        """A clause, which may begin a sentence, or several that are held together by semicolons."""
        found = self._phrase(text)
        if found is None and text[:1].isupper():
            lower = self._phrase(text[0].lower() + text[1:])
            found = None if lower is None else capital(lower)
        return found if found is not None else self._in_turn(text, "; ", "; ")

    def _in_turn(self, text: str, between: str, said_between: str) -> str | None:
        """Clauses with something between them; None where there is one alone, or one that can't be said."""
        first, _, rest = text.partition(between)
        both = (self._clause(first), self._clause(rest)) if rest else (None, None)
        return None if None in both else said_between.join(map(str, both))

    def _phrase(self, text: str) -> str | None:
        key = ("phrase", text)
        if key not in self._known:
            self._known[key] = None  # what holds itself ends here
            self._known[key] = self._found(text)
        return self._known[key]

    def _found(self, text: str) -> str | None:
        bare, placed = phrases(self.words.language)
        if text in bare:
            return self._filled(bare[text], {})
        if VALUE.fullmatch(text):
            return text
        kinds = (("q", NAMED), ("d", DATE))
        alone = next((self._piece(kind, text) for kind, shape in kinds if shape.fullmatch(text)), None)
        ways = ((one.said, self._pieces(found)) for one in placed for found in one.fits(text))
        return alone or next((self._filled(said, pieces) for said, pieces in ways if pieces is not None), None)

    def _pieces(self, found: Mapping[str, str]) -> dict[str, str] | None:
        """What stands in the places, said; None where some of it can't be."""
        said = {place: self._piece(place[0], text) for place, text in found.items()}
        return None if None in said.values() else {place: str(text) for place, text in said.items()}

    def _piece(self, kind: str, text: str) -> str | None:
        say = {"c": self._clause, "s": self._begun, "l": self._listed, "q": self._name, "d": self._date}
        return say[kind](text) if kind in say else text

    def _begun(self, text: str) -> str | None:
        said = self._clause(text)
        return None if said is None else capital(said)

    def _listed(self, text: str) -> str | None:
        """Clauses with commas, and perhaps a last “and” or “or”, between them."""
        return self._apart(text, COMMA, lambda piece: self._apart(piece, LAST, self._clause))

    def _apart(self, text: str, between: re.Pattern[str], say: Callable[[str], str | None]) -> str | None:
        """A clause, else the pieces between commas or words that join them, each said."""
        whole = self._clause(text)
        if whole is not None:
            return whole
        joins = {", ": ", ", " and ": self.words("faces.and"), " or ": self.words("faces.or")}
        pieces = between.split(text)
        said = [joins.get(piece) or say(piece) for piece in pieces] if len(pieces) > 1 else [None]
        return None if None in said else "".join(map(str, said))

    def _name(self, text: str) -> str:
        name = text[1:-1]  # what the kit calls a measure is said
        return self.words.quoted(name if name in self.own else self._phrase(name) or name)

    def _date(self, text: str) -> str:
        from babel.dates import format_skeleton

        day, month, year = DATE.fullmatch(text).groups()  # type: ignore[union-attr]
        when = dt.date(int(year or 2000), MONTHS.index(month) + 1, int(day))
        return self.words.date(when) if year else str(format_skeleton("MMMMd", when, locale=self.words.language))

    def _filled(self, said: Said, pieces: Mapping[str, str]) -> str:
        """What is said, its plural form by the first number in it."""
        if isinstance(said, Mapping):
            said = said.get(self.words.plural(self._count(pieces)), said["other"])
        return said.format(**pieces)

    def _count(self, pieces: Mapping[str, str]) -> float:
        from babel.numbers import parse_decimal

        number = next((text for place, text in pieces.items() if place[0] == "n"), "0")
        return float(parse_decimal(number.lstrip("−+"), locale=self.words.notation.locale))
