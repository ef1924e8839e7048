"""Texts in; the same with what the fonts of a PDF can't show replaced, and the names of what was, out.

Only fonts that packages bring are used: text in the one that typst holds, and whatever that lacks in matplotlib's
DejaVu Sans. A character that neither has would be left out silently.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

INSTEAD = "\N{WHITE SQUARE}"
UNSEEN = ("Cc", "Cf", "Zl", "Zp", "Cs", "Co", "Cn")  # controls, marks of direction, what is no character
LONG_RUN = re.compile(r"\S{40,}")
BREAK_EVERY = 12
ZERO_WIDTH = "\u200b"  # where a line may break
MOST_NAMED = 12


def font_folder() -> Path:
    """Folder of the fonts that matplotlib brings."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@cache
def shown_characters() -> frozenset[int]:
    """Code points that the fonts show."""
    from fontTools.ttLib import TTFont

    with TTFont(font_folder() / "DejaVuSans.ttf", lazy=True) as font:
        return frozenset(font.getBestCmap())


class Glyphs:
    """Replaces what can't be shown, and counts it.

    Attributes
    ----------
    replaced
        How often each character was.
    """

    def __init__(self) -> None:
        self.replaced: Counter[str] = Counter()

    def within(self, value: Any) -> Any:
        """Every text of plain data, its keys left alone."""
        if isinstance(value, dict):
            return {key: self.within(one) for key, one in value.items()}
        if isinstance(value, list | tuple):
            return [self.within(one) for one in value]
        return self.text(value) if isinstance(value, str) else value

    def text(self, text: str) -> str:
        """A text that can be shown, and broken where it would run out of the page."""
        shown = "".join(map(self._character, text))
        return LONG_RUN.sub(lambda run: _breakable(run[0]), shown)

    def _character(self, one: str) -> str:
        if one in "\n\t " or (ord(one) in shown_characters() and unicodedata.category(one) not in UNSEEN):
            return one
        if unicodedata.category(one) in UNSEEN:
            return ""
        self.replaced[one] += 1
        return INSTEAD

    def names(self) -> list[str]:
        """What was replaced, by its name in the Unicode data."""
        most = self.replaced.most_common(MOST_NAMED)
        named = [f"U+{ord(one):04X} {unicodedata.name(one, '').lower()}".strip() for one, _ in most]
        return [*named, "…"] if len(self.replaced) > MOST_NAMED else named


def _breakable(run: str) -> str:
    """A long run of characters with places where a line may break."""
    return ZERO_WIDTH.join(run[at : at + BREAK_EVERY] for at in range(0, len(run), BREAK_EVERY))
