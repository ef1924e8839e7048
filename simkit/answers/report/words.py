"""The name of a language in; every word that a report says by itself, in that language, out: one catalogue.

A catalogue is a TOML file of `languages/`, keyed alike. What a language lacks is said in English. A text that counts
something is a table with one text for each plural form that the Unicode data give the language; a text holds its
numbers as ``{name}``, and they come written in the notation of the report.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from simkit.notation import Notation, unit_of_range
from simkit.uncertainty.ranges import Range

ENGLISH = "en"
ENGLISH_DATE = "d MMMM y"  # as the notation writes one


def languages() -> tuple[str, ...]:
    """Languages that have a catalogue."""
    folder = files("simkit.answers.report") / "languages"
    return tuple(sorted(path.name.removesuffix(".toml") for path in folder.iterdir() if path.name.endswith(".toml")))


@cache
def catalogue(language: str) -> Mapping[str, Any]:
    """Texts of a language by dotted key, as they stand in its file."""
    text = (files("simkit.answers.report") / "languages" / f"{language}.toml").read_text(encoding="utf-8")
    return {f"{section}.{key}": value for section, texts in tomllib.loads(text).items() for key, value in texts.items()}


@dataclass(frozen=True)
class Words:
    """The words of a report.

    Attributes
    ----------
    language
        One of `languages`.
    notation
        How numbers are written.
    """

    language: str
    notation: Notation

    def __call__(self, key: str, count: float | None = None, /, **parts: str) -> str:
        """Say one text; `count` chooses the plural form and is written as ``{count}``."""
        text = self._held(key)
        if isinstance(text, Mapping):
            text = text.get(self.plural(count), text["other"])
        if count is not None:
            parts["count"] = self.notation.number(count)
        return str(text).format(**parts) if parts else str(text)

    def lines(self, key: str, **parts: str) -> tuple[str, ...]:
        """Say a list of texts."""
        held: Sequence[str] = self._held(key)
        return tuple(line.format(**parts) if parts else line for line in held)

    def has(self, key: str) -> bool:
        """Whether there is such a text."""
        return key in catalogue(self.language) or key in catalogue(ENGLISH)

    def _held(self, key: str) -> Any:
        own = catalogue(self.language)
        return own[key] if key in own else catalogue(ENGLISH)[key]

    def plural(self, count: float | None) -> str:
        """The plural form of a count, by the Unicode data."""
        from babel import Locale

        return str(Locale.parse(self.language).plural_form(count or 0))

    def date(self, when: dt.date) -> str:
        """A date in words."""
        from babel.dates import format_date

        pattern = ENGLISH_DATE if self.language == ENGLISH else "long"
        return str(format_date(when, pattern, locale=self.language))

    def span(self, low: str, high: str) -> str:
        """A range whose ends are written already."""
        return self("money.span", low=low, high=high)

    def quoted(self, name: str) -> str:
        """A name in the quotation marks of the language."""
        return self("money.quoted", name=name)

    def range(self, found: Range) -> str:
        """A range of amounts."""
        unit, money = unit_of_range(found), self.notation.money
        return self.span(money(found.low, unit=unit), money(found.high, unit=unit))

    def more(self, amount: float, found: Range | None) -> str:
        """A difference in cost: so much more, so much less, or as much."""
        unit = unit_of_range(found)
        if round(amount / unit) == 0:
            return self("money.same")
        return self("money.more" if amount > 0 else "money.less", amount=self.notation.money(abs(amount), unit=unit))

    def more_range(self, found: Range) -> str:
        """A range of differences in cost; on one side of nothing the way is said once."""
        unit = unit_of_range(found)
        low, high = (round(end / unit) * unit for end in (found.low, found.high))
        if low < 0 < high:
            return self.span(self.more(low, found), self.more(high, found))
        near, far = (self.notation.money(end, unit=unit) for end in sorted((abs(low), abs(high))))
        return self(
            "money.more" if low + high > 0 else "money.less", amount=near if near == far else self.span(near, far)
        )
